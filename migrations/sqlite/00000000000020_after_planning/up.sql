-- What changed after a day was planned is told on top of it: when play or a closure was last changed.
ALTER TABLE play_sessions ADD COLUMN changed_at TIMESTAMP;
ALTER TABLE closures ADD COLUMN changed_at TIMESTAMP;
CREATE INDEX play_sessions_by_changed_at ON play_sessions (site_id, changed_at);
CREATE INDEX closures_by_changed_at ON closures (site_id, changed_at);

-- When work that runs over is said to be done: a plan made later still knows it.
ALTER TABLE work_orders ADD COLUMN expected_end_at TIMESTAMP;
