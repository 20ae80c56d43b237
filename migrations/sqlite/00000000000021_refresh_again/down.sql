DROP INDEX sessions_by_generation;
ALTER TABLE sessions DROP COLUMN made_under;
