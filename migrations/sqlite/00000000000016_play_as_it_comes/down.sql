DROP TABLE tournament_courts;
-- What was called off was in nobody's way: it must not come back as play.
DELETE FROM closures WHERE cancelled_at IS NOT NULL;
DELETE FROM play_sessions WHERE cancelled_at IS NOT NULL;
ALTER TABLE closures DROP COLUMN version;
ALTER TABLE closures DROP COLUMN cancelled_at;
ALTER TABLE play_sessions DROP COLUMN version;
ALTER TABLE play_sessions DROP COLUMN cancelled_at;
ALTER TABLE play_sessions DROP COLUMN short_ok;
ALTER TABLE play_sessions DROP COLUMN over_at;
ALTER TABLE play_sessions DROP COLUMN open_ended;
