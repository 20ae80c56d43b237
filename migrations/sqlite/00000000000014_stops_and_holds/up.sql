-- Lightning and heat stops: each tap, each release is a row of its own; how things stand follows from them.
CREATE TABLE stop_events (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    seq BIGINT NOT NULL,
    stop_id BIGINT,
    kind TEXT NOT NULL,
    event TEXT NOT NULL,
    crew_id BIGINT,
    happened_at TIMESTAMP NOT NULL,
    learned_at TIMESTAMP NOT NULL,
    user_id BIGINT NOT NULL REFERENCES users (id),
    client_key TEXT NOT NULL,
    UNIQUE (site_id, id),
    UNIQUE (site_id, seq),
    UNIQUE (site_id, client_key),
    FOREIGN KEY (site_id, stop_id) REFERENCES stop_events (site_id, id),
    FOREIGN KEY (site_id, crew_id) REFERENCES crews (site_id, id),
    CHECK (kind IN ('lightning', 'heat')),
    CHECK (event IN ('told', 'again', 'released')),
    CHECK ((event = 'told') = (stop_id IS NULL)),
    CHECK (kind = 'heat' OR crew_id IS NULL)
);
CREATE INDEX stop_events_by_stop_id ON stop_events (site_id, stop_id);
CREATE TRIGGER stop_events_no_update BEFORE UPDATE ON stop_events
BEGIN
    SELECT RAISE(ABORT, 'stop_events is append-only: reverse the row, do not change it');
END;
CREATE TRIGGER stop_events_no_delete BEFORE DELETE ON stop_events
BEGIN
    SELECT RAISE(ABORT, 'stop_events is append-only: reverse the row, do not change it');
END;

-- A court kept shut by someone on shift until a person releases it.
CREATE TABLE holds (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    court_id BIGINT NOT NULL,
    order_id BIGINT,
    reason TEXT NOT NULL,
    note TEXT,
    held_at TIMESTAMP NOT NULL,
    learned_at TIMESTAMP NOT NULL,
    held_by BIGINT NOT NULL REFERENCES users (id),
    client_key TEXT,
    released_at TIMESTAMP,
    released_by BIGINT REFERENCES users (id),
    release_note TEXT,
    UNIQUE (site_id, id),
    UNIQUE (site_id, client_key),
    FOREIGN KEY (site_id, court_id) REFERENCES courts (site_id, id),
    FOREIGN KEY (site_id, order_id) REFERENCES work_orders (site_id, id),
    CHECK (reason IN ('lifted_tape', 'hole', 'net_or_post', 'glass', 'standing_water', 'other')),
    CHECK ((released_at IS NULL) = (released_by IS NULL))
);
CREATE INDEX holds_by_court_id ON holds (site_id, court_id, released_at);

-- A day that the office proposes by itself is asked for by nobody. SQLite takes NOT NULL off a column only in the
-- schema's text; its own manual gives this way for it (ALTER TABLE, section 7: "removing ... NOT NULL constraints").
PRAGMA writable_schema = ON;
UPDATE sqlite_schema
    SET sql = replace(sql, 'requested_by BIGINT NOT NULL REFERENCES', 'requested_by BIGINT REFERENCES')
    WHERE type = 'table' AND name = 'plan_runs';
PRAGMA writable_schema = RESET;
