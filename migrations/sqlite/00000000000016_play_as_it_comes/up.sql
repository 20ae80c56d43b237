-- Play changes: a session may have no fixed end, is over by a tap, is called off and stays on record.
-- Short turnarounds that were laid before were said yes to, also one after the other.
ALTER TABLE play_sessions ADD COLUMN open_ended BOOLEAN NOT NULL DEFAULT FALSE;
ALTER TABLE play_sessions ADD COLUMN over_at TIMESTAMP;
ALTER TABLE play_sessions ADD COLUMN short_ok BOOLEAN NOT NULL DEFAULT TRUE;
ALTER TABLE play_sessions ADD COLUMN cancelled_at TIMESTAMP;
ALTER TABLE play_sessions ADD COLUMN version BIGINT NOT NULL DEFAULT 1;
ALTER TABLE closures ADD COLUMN cancelled_at TIMESTAMP;
ALTER TABLE closures ADD COLUMN version BIGINT NOT NULL DEFAULT 1;

-- A tournament day: between matches these courts get the short service, and reopen in this order.
CREATE TABLE tournament_courts (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    work_date DATE NOT NULL,
    court_id BIGINT NOT NULL,
    reopens BIGINT NOT NULL,
    UNIQUE (site_id, id),
    UNIQUE (site_id, work_date, court_id),
    UNIQUE (site_id, work_date, reopens),
    FOREIGN KEY (site_id, court_id) REFERENCES courts (site_id, id),
    CHECK (reopens >= 1)
);
