DROP TABLE day_changes;
