DROP TABLE care_tasks;
DROP TABLE play_sessions;
DROP TABLE closures;
DROP TABLE courts;
DROP TABLE banks;
