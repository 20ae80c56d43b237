-- Tasks in the words of a manager, and what only some of them have as one JSON value.
ALTER TABLE care_tasks ADD COLUMN urgency TEXT NOT NULL DEFAULT 'this_week';
ALTER TABLE care_tasks ADD COLUMN safety BOOLEAN NOT NULL DEFAULT FALSE;
ALTER TABLE care_tasks ADD COLUMN detail TEXT NOT NULL DEFAULT '{}';
ALTER TABLE care_tasks ADD COLUMN retired BOOLEAN NOT NULL DEFAULT FALSE;
ALTER TABLE care_tasks ADD COLUMN version BIGINT NOT NULL DEFAULT 1;

-- Until when withheld work waits, where that is known.
ALTER TABLE unfitted_visits ADD COLUMN until_at TIMESTAMP;

-- When a task was last done, as somebody told it; without a day where nobody knows.
CREATE TABLE care_told (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    care_task_id BIGINT NOT NULL,
    court_id BIGINT,
    bank_id BIGINT,
    done_on DATE,
    told_at TIMESTAMP NOT NULL,
    user_id BIGINT NOT NULL REFERENCES users (id),
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, care_task_id) REFERENCES care_tasks (site_id, id),
    FOREIGN KEY (site_id, court_id) REFERENCES courts (site_id, id),
    FOREIGN KEY (site_id, bank_id) REFERENCES banks (site_id, id),
    CHECK ((court_id IS NULL) <> (bank_id IS NULL))
);
CREATE INDEX care_told_by_care_task_id ON care_told (site_id, care_task_id);
CREATE INDEX care_told_by_court_id ON care_told (site_id, court_id);
CREATE INDEX care_told_by_bank_id ON care_told (site_id, bank_id);

-- The closure that an order's work makes: the court rests. It goes where the order goes.
CREATE TABLE rests (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    order_id BIGINT NOT NULL,
    court_id BIGINT NOT NULL,
    rest_s BIGINT NOT NULL,
    starts_at TIMESTAMP NOT NULL,
    ends_at TIMESTAMP NOT NULL,
    reason TEXT NOT NULL,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, order_id) REFERENCES work_orders (site_id, id),
    FOREIGN KEY (site_id, court_id) REFERENCES courts (site_id, id),
    UNIQUE (site_id, order_id),
    CHECK (ends_at > starts_at)
);
CREATE INDEX rests_by_court_id_starts_at ON rests (site_id, court_id, starts_at);

-- What was put on a court that a label speaks of.
CREATE TABLE treatments (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    seq BIGINT NOT NULL,
    order_id BIGINT NOT NULL,
    person_id BIGINT NOT NULL,
    product TEXT NOT NULL,
    lot TEXT NOT NULL,
    amount BIGINT NOT NULL,
    unit TEXT NOT NULL,
    place TEXT NOT NULL,
    wind_mmps BIGINT NOT NULL,
    applied_at TIMESTAMP NOT NULL,
    booked_at TIMESTAMP NOT NULL,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, order_id) REFERENCES work_orders (site_id, id),
    FOREIGN KEY (site_id, person_id) REFERENCES people (site_id, id),
    UNIQUE (site_id, seq),
    CHECK (amount > 0),
    CHECK (unit IN ('gram', 'millilitre'))
);
CREATE INDEX treatments_by_order_id ON treatments (site_id, order_id);
CREATE INDEX treatments_by_person_id ON treatments (site_id, person_id);
CREATE TRIGGER treatments_no_update BEFORE UPDATE ON treatments
BEGIN
    SELECT RAISE(ABORT, 'treatments is append-only: reverse the row, do not change it');
END;
CREATE TRIGGER treatments_no_delete BEFORE DELETE ON treatments
BEGIN
    SELECT RAISE(ABORT, 'treatments is append-only: reverse the row, do not change it');
END;

-- Until when a person's skill is in date.
CREATE TABLE skill_dates (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    person_id BIGINT NOT NULL,
    skill TEXT NOT NULL,
    valid_until DATE NOT NULL,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, person_id) REFERENCES people (site_id, id),
    UNIQUE (site_id, person_id, skill)
);
