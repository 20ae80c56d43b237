-- Play changes: a session may have no fixed end, is over by a tap, is called off and stays on record.
-- Short turnarounds that were laid before were said yes to, also one after the other.
ALTER TABLE play_sessions ADD COLUMN open_ended BOOLEAN NOT NULL DEFAULT FALSE;
ALTER TABLE play_sessions ADD COLUMN over_at TIMESTAMP;
ALTER TABLE play_sessions ADD COLUMN short_ok BOOLEAN NOT NULL DEFAULT TRUE;
ALTER TABLE play_sessions ADD COLUMN cancelled_at TIMESTAMP;
ALTER TABLE play_sessions ADD COLUMN version BIGINT NOT NULL DEFAULT 1;
ALTER TABLE closures ADD COLUMN cancelled_at TIMESTAMP;
ALTER TABLE closures ADD COLUMN version BIGINT NOT NULL DEFAULT 1;
