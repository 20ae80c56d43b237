ALTER TABLE work_orders DROP COLUMN expected_end_at;
DROP INDEX closures_by_changed_at;
DROP INDEX play_sessions_by_changed_at;
ALTER TABLE closures DROP COLUMN changed_at;
ALTER TABLE play_sessions DROP COLUMN changed_at;
