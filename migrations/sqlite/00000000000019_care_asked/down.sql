ALTER TABLE care_tasks DROP COLUMN taken_up_on;
