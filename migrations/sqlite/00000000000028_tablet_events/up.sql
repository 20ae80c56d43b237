-- What tablets sent, as it came: written down before anything else is done with it, so that nothing a crew told is lost.
CREATE TABLE tablet_events (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    client_key TEXT NOT NULL,
    user_id BIGINT NOT NULL REFERENCES users (id),
    person_id BIGINT,
    crew_id BIGINT,
    order_id BIGINT,
    kind TEXT NOT NULL,
    told TEXT NOT NULL,
    device_at TIMESTAMP NOT NULL,
    clock_off_ms BIGINT NOT NULL,
    happened_at TIMESTAMP NOT NULL,
    learned_at TIMESTAMP NOT NULL,
    mends_key TEXT,
    UNIQUE (site_id, id),
    UNIQUE (site_id, client_key),
    FOREIGN KEY (site_id, person_id) REFERENCES people (site_id, id),
    FOREIGN KEY (site_id, crew_id) REFERENCES crews (site_id, id),
    FOREIGN KEY (site_id, order_id) REFERENCES work_orders (site_id, id)
);
CREATE INDEX tablet_events_by_order_id ON tablet_events (site_id, order_id);
CREATE INDEX tablet_events_by_person_id ON tablet_events (site_id, person_id);
CREATE INDEX tablet_events_by_learned_at ON tablet_events (site_id, learned_at);
CREATE INDEX tablet_events_by_mends_key ON tablet_events (site_id, mends_key);

-- What became of each.
CREATE TABLE tablet_answers (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    tablet_event_id BIGINT NOT NULL,
    outcome TEXT NOT NULL,
    why TEXT NOT NULL,
    answered_at TIMESTAMP NOT NULL,
    UNIQUE (site_id, id),
    UNIQUE (site_id, tablet_event_id),
    FOREIGN KEY (site_id, tablet_event_id) REFERENCES tablet_events (site_id, id),
    CHECK (outcome IN ('taken', 'noted', 'refused'))
);
CREATE INDEX tablet_answers_by_outcome ON tablet_answers (site_id, outcome);
CREATE TRIGGER tablet_events_no_update BEFORE UPDATE ON tablet_events
BEGIN
    SELECT RAISE(ABORT, 'tablet_events is append-only: reverse the row, do not change it');
END;
CREATE TRIGGER tablet_events_no_delete BEFORE DELETE ON tablet_events
BEGIN
    SELECT RAISE(ABORT, 'tablet_events is append-only: reverse the row, do not change it');
END;
CREATE TRIGGER tablet_answers_no_update BEFORE UPDATE ON tablet_answers
BEGIN
    SELECT RAISE(ABORT, 'tablet_answers is append-only: reverse the row, do not change it');
END;
CREATE TRIGGER tablet_answers_no_delete BEFORE DELETE ON tablet_answers
BEGIN
    SELECT RAISE(ABORT, 'tablet_answers is append-only: reverse the row, do not change it');
END;
