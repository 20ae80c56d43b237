-- Where a site's play comes from: files somebody sends, or an address that is asked every few minutes.
CREATE TABLE calendars (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    name TEXT NOT NULL,
    court_id BIGINT,
    courts TEXT NOT NULL,
    makes TEXT NOT NULL,
    short_turnaround BOOLEAN NOT NULL,
    address TEXT,
    allow_private BOOLEAN NOT NULL,
    etag TEXT,
    last_modified TEXT,
    asked_at TIMESTAMP,
    fetch_error TEXT,
    imported_at TIMESTAMP,
    report TEXT,
    version BIGINT NOT NULL,
    UNIQUE (site_id, id),
    UNIQUE (site_id, name),
    FOREIGN KEY (site_id, court_id) REFERENCES courts (site_id, id),
    CHECK (makes IN ('sessions', 'closures'))
);

-- What was taken of a calendar. `recurrence` is empty for an event that does not recur. One that the calendar took back is
-- gone: its session or closure is called off and stays on record.
CREATE TABLE calendar_events (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    calendar_id BIGINT NOT NULL,
    uid TEXT NOT NULL,
    recurrence TEXT NOT NULL,
    sequence BIGINT NOT NULL,
    digest TEXT NOT NULL,
    session_id BIGINT,
    closure_id BIGINT,
    gone BOOLEAN NOT NULL,
    UNIQUE (site_id, id),
    UNIQUE (site_id, calendar_id, uid, recurrence),
    FOREIGN KEY (site_id, calendar_id) REFERENCES calendars (site_id, id),
    FOREIGN KEY (site_id, session_id) REFERENCES play_sessions (site_id, id),
    FOREIGN KEY (site_id, closure_id) REFERENCES closures (site_id, id)
);
CREATE INDEX calendar_events_by_session_id ON calendar_events (site_id, session_id);
CREATE INDEX calendar_events_by_closure_id ON calendar_events (site_id, closure_id);

-- What a calendar would change on a date that is planned: it waits for somebody's yes.
CREATE TABLE calendar_changes (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    calendar_id BIGINT NOT NULL,
    kind TEXT NOT NULL,
    uid TEXT NOT NULL,
    recurrence TEXT NOT NULL,
    sequence BIGINT NOT NULL,
    digest TEXT NOT NULL,
    court_id BIGINT NOT NULL,
    name TEXT NOT NULL,
    starts_at TIMESTAMP NOT NULL,
    ends_at TIMESTAMP NOT NULL,
    was_starts_at TIMESTAMP,
    was_ends_at TIMESTAMP,
    state TEXT NOT NULL,
    proposed_at TIMESTAMP NOT NULL,
    decided_at TIMESTAMP,
    decided_by BIGINT REFERENCES users (id),
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, calendar_id) REFERENCES calendars (site_id, id),
    FOREIGN KEY (site_id, court_id) REFERENCES courts (site_id, id),
    CHECK (kind IN ('add', 'move', 'cancel')),
    CHECK (state IN ('proposed', 'accepted', 'refused', 'withdrawn'))
);
CREATE INDEX calendar_changes_by_calendar_id_state ON calendar_changes (site_id, calendar_id, state);
