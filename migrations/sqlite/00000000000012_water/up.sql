-- What lets water onto courts: a valve wets one court or several, and runs only when all are free.
CREATE TABLE valves (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    bank_id BIGINT NOT NULL,
    name TEXT NOT NULL,
    opened TEXT NOT NULL,
    flow_mlps BIGINT NOT NULL,
    in_use BOOLEAN NOT NULL,
    version BIGINT NOT NULL,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, bank_id) REFERENCES banks (site_id, id),
    CHECK (opened IN ('controller', 'by_hand', 'hose')),
    CHECK (flow_mlps > 0)
);
CREATE INDEX valves_by_bank_id ON valves (site_id, bank_id);

CREATE TABLE valve_courts (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    valve_id BIGINT NOT NULL,
    court_id BIGINT NOT NULL,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, valve_id) REFERENCES valves (site_id, id),
    FOREIGN KEY (site_id, court_id) REFERENCES courts (site_id, id),
    UNIQUE (site_id, valve_id, court_id)
);
CREATE INDEX valve_courts_by_court_id ON valve_courts (site_id, court_id);

-- When water may run and how much of it: the hours a line is free, local hours, an allowance a day.
CREATE TABLE water_rules (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    bank_id BIGINT,
    name TEXT NOT NULL,
    kind TEXT NOT NULL,
    weekdays TEXT NOT NULL,
    from_time TEXT,
    until_time TEXT,
    ml_a_day BIGINT,
    version BIGINT NOT NULL,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, bank_id) REFERENCES banks (site_id, id),
    CHECK (kind IN ('line_free', 'local_hours', 'allowance')),
    CHECK (ml_a_day >= 0)
);

-- What is a court's own of its water: how long it drains, and the level it is kept at from below.
CREATE TABLE court_waters (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    court_id BIGINT NOT NULL,
    drain_s BIGINT,
    level_target_mm BIGINT,
    version BIGINT NOT NULL,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, court_id) REFERENCES courts (site_id, id),
    UNIQUE (site_id, court_id),
    CHECK (drain_s >= 0)
);

-- How much water a plan gives a court at night, why, and what it stays short of.
CREATE TABLE water_needs (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    day_plan_id BIGINT NOT NULL,
    court_id BIGINT NOT NULL,
    base_s BIGINT NOT NULL,
    run_s BIGINT NOT NULL,
    permille BIGINT NOT NULL,
    why TEXT NOT NULL,
    wanted_ml BIGINT NOT NULL,
    short_ml BIGINT NOT NULL,
    short_why TEXT,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, day_plan_id) REFERENCES day_plans (site_id, id),
    FOREIGN KEY (site_id, court_id) REFERENCES courts (site_id, id),
    UNIQUE (site_id, day_plan_id, court_id)
);

CREATE TABLE level_readings (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    court_id BIGINT NOT NULL,
    read_on DATE NOT NULL,
    level_mm BIGINT NOT NULL,
    changed_mm BIGINT NOT NULL,
    note TEXT,
    user_id BIGINT NOT NULL REFERENCES users (id),
    booked_at TIMESTAMP NOT NULL,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, court_id) REFERENCES courts (site_id, id)
);
CREATE INDEX level_readings_by_court_id_read_on ON level_readings (site_id, court_id, read_on);

-- A run is planned, not done, until somebody says so; what is said and what is booked of it stand beside the plan.
-- SQLite changes a CHECK only by making the table anew.
CREATE TABLE waterings_anew (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    day_plan_id BIGINT NOT NULL,
    court_id BIGINT NOT NULL,
    order_id BIGINT,
    kind TEXT NOT NULL,
    starts_at TIMESTAMP NOT NULL,
    ends_at TIMESTAMP NOT NULL,
    flow_mlps BIGINT NOT NULL,
    volume_ml BIGINT NOT NULL,
    state TEXT NOT NULL,
    valve_id BIGINT,
    cycle BIGINT,
    real_ml BIGINT,
    told_by TEXT,
    told_at TIMESTAMP,
    booked_ml BIGINT,
    again_of_id BIGINT,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, day_plan_id) REFERENCES day_plans (site_id, id),
    FOREIGN KEY (site_id, court_id) REFERENCES courts (site_id, id),
    FOREIGN KEY (site_id, order_id) REFERENCES work_orders (site_id, id),
    FOREIGN KEY (site_id, valve_id) REFERENCES valves (site_id, id),
    FOREIGN KEY (site_id, again_of_id) REFERENCES waterings (site_id, id),
    CHECK (kind IN ('soak', 'night_cycle')),
    CHECK (state IN ('planned', 'run', 'withdrawn', 'did_not_run')),
    CHECK (told_by IN ('meter', 'controller', 'opening_walk')),
    CHECK (real_ml >= 0)
);
-- Whatever ran after an order was booked with it; the night's water never was.
INSERT INTO waterings_anew (id, site_id, day_plan_id, court_id, order_id, kind, starts_at, ends_at,
    flow_mlps, volume_ml, state, booked_ml)
    SELECT id, site_id, day_plan_id, court_id, order_id, kind, starts_at, ends_at,
    flow_mlps, volume_ml, state,
        CASE WHEN kind = 'soak' AND state = 'run' THEN volume_ml END
    FROM waterings;
DROP TABLE waterings;
ALTER TABLE waterings_anew RENAME TO waterings;
CREATE INDEX waterings_by_day_plan_id ON waterings (site_id, day_plan_id);
CREATE INDEX waterings_by_court_id_starts_at ON waterings (site_id, court_id, starts_at);
CREATE INDEX waterings_by_booked_ml_ends_at ON waterings (site_id, booked_ml, ends_at);
