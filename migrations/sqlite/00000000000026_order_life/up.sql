-- A deputy opens held courts in the manager's stead. SQLite changes a CHECK only in the schema's text; its own manual gives
-- this way for it (ALTER TABLE, section 7: changing CHECK constraints).
PRAGMA writable_schema = ON;
UPDATE sqlite_schema SET sql = replace(sql, '''finance'', ''front_desk''))', '''finance'', ''front_desk'', ''deputy''))')
    WHERE type = 'table' AND name = 'memberships';
PRAGMA writable_schema = RESET;

-- Why the crew that closed a court holds it, picked from the list of holds.
ALTER TABLE work_orders ADD COLUMN fit_hold_reason TEXT
    CHECK (fit_hold_reason IN ('lifted_tape', 'hole', 'net_or_post', 'glass', 'standing_water', 'other'));

-- An order that mends a defect, and one that does what another left, which it names. A foreign key over two columns is
-- added to a table that stands in the schema's text too.
ALTER TABLE work_orders ADD COLUMN follows_id BIGINT;
PRAGMA writable_schema = ON;
UPDATE sqlite_schema SET sql = replace(replace(sql, '''full_turnaround'', ''short_turnaround'', ''care''))', '''full_turnaround'', ''short_turnaround'', ''care'', ''mend''))'),
    'CHECK ((court_id IS NULL) <> (bank_id IS NULL))',
    'FOREIGN KEY (site_id, follows_id) REFERENCES work_orders (site_id, id), CHECK ((court_id IS NULL) <> (bank_id IS NULL))')
    WHERE type = 'table' AND name = 'work_orders';
PRAGMA writable_schema = RESET;
CREATE INDEX work_orders_by_follows_id ON work_orders (site_id, follows_id);

-- Something seen on a court that needs work of its own; which order mends it, and when it was mended, stands beside it.
CREATE TABLE defects (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    court_id BIGINT NOT NULL,
    order_id BIGINT,
    kind TEXT NOT NULL,
    x_mm BIGINT,
    y_mm BIGINT,
    note TEXT,
    seen_at TIMESTAMP NOT NULL,
    learned_at TIMESTAMP NOT NULL,
    person_id BIGINT,
    user_id BIGINT NOT NULL REFERENCES users (id),
    client_key TEXT NOT NULL,
    mend_order_id BIGINT,
    mended_at TIMESTAMP,
    UNIQUE (site_id, id),
    UNIQUE (site_id, client_key),
    FOREIGN KEY (site_id, court_id) REFERENCES courts (site_id, id),
    FOREIGN KEY (site_id, order_id) REFERENCES work_orders (site_id, id),
    FOREIGN KEY (site_id, person_id) REFERENCES people (site_id, id),
    FOREIGN KEY (site_id, mend_order_id) REFERENCES work_orders (site_id, id),
    CHECK (kind IN ('low_spot', 'hole', 'loose_line', 'lifted_tape', 'torn_net', 'loose_net_cable', 'worn_strap', 'clogged_sprinkler', 'standing_water', 'weeds_or_algae', 'fence_or_windscreen', 'glass_or_sharp', 'other')),
    CHECK ((x_mm IS NULL) = (y_mm IS NULL))
);
CREATE INDEX defects_by_court_id ON defects (site_id, court_id);
CREATE INDEX defects_by_mended_at ON defects (site_id, mended_at);
CREATE INDEX defects_by_mend_order_id ON defects (site_id, mend_order_id);

-- What is said of an order beside its life. Only that the manager has seen it is added later.
CREATE TABLE order_notes (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    order_id BIGINT NOT NULL,
    kind TEXT NOT NULL,
    text TEXT NOT NULL,
    data TEXT NOT NULL,
    person_id BIGINT,
    user_id BIGINT NOT NULL REFERENCES users (id),
    happened_at TIMESTAMP NOT NULL,
    learned_at TIMESTAMP NOT NULL,
    client_key TEXT,
    seen_at TIMESTAMP,
    seen_by BIGINT REFERENCES users (id),
    UNIQUE (site_id, id),
    UNIQUE (site_id, client_key),
    FOREIGN KEY (site_id, order_id) REFERENCES work_orders (site_id, id),
    FOREIGN KEY (site_id, person_id) REFERENCES people (site_id, id),
    CHECK (kind IN ('note', 'late_closing', 'refused')),
    CHECK ((seen_at IS NULL) = (seen_by IS NULL))
);
CREATE INDEX order_notes_by_order_id ON order_notes (site_id, order_id);
CREATE INDEX order_notes_by_seen_at ON order_notes (site_id, seen_at, kind);

-- How good finished work was found by whoever looked it over; the newest holds.
CREATE TABLE order_rechecks (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    seq BIGINT NOT NULL,
    order_id BIGINT NOT NULL,
    grade TEXT NOT NULL,
    note TEXT,
    user_id BIGINT NOT NULL REFERENCES users (id),
    happened_at TIMESTAMP NOT NULL,
    learned_at TIMESTAMP NOT NULL,
    client_key TEXT NOT NULL,
    UNIQUE (site_id, id),
    UNIQUE (site_id, seq),
    UNIQUE (site_id, client_key),
    FOREIGN KEY (site_id, order_id) REFERENCES work_orders (site_id, id),
    CHECK (grade IN ('good', 'acceptable', 'poor'))
);
CREATE INDEX order_rechecks_by_order_id ON order_rechecks (site_id, order_id);
CREATE TRIGGER order_rechecks_no_update BEFORE UPDATE ON order_rechecks
BEGIN
    SELECT RAISE(ABORT, 'order_rechecks is append-only: reverse the row, do not change it');
END;
CREATE TRIGGER order_rechecks_no_delete BEFORE DELETE ON order_rechecks
BEGIN
    SELECT RAISE(ABORT, 'order_rechecks is append-only: reverse the row, do not change it');
END;

-- A closing that is taken back: its readings no longer count, and a treatment is taken back by a further row.
ALTER TABLE readings ADD COLUMN taken_back_at TIMESTAMP;
ALTER TABLE treatments ADD COLUMN reverses_id BIGINT;
