CREATE TABLE banks (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    name TEXT NOT NULL,
    position BIGINT NOT NULL,
    line_name TEXT NOT NULL,
    line_capacity_mlps BIGINT NOT NULL,
    x_mm BIGINT NOT NULL,
    y_mm BIGINT NOT NULL,
    version BIGINT NOT NULL,
    UNIQUE (site_id, id),
    UNIQUE (site_id, name),
    CHECK (line_capacity_mlps >= 0)
);

CREATE TABLE courts (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    bank_id BIGINT NOT NULL,
    name TEXT NOT NULL,
    position BIGINT NOT NULL,
    length_mm BIGINT NOT NULL,
    width_mm BIGINT NOT NULL,
    watering TEXT NOT NULL,
    lines TEXT NOT NULL,
    resurfaced_on DATE,
    sprinkler_flow_mlps BIGINT NOT NULL,
    soak_s BIGINT NOT NULL,
    night_cycles BIGINT NOT NULL,
    night_cycle_s BIGINT NOT NULL,
    x_mm BIGINT NOT NULL,
    y_mm BIGINT NOT NULL,
    version BIGINT NOT NULL,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, bank_id) REFERENCES banks (site_id, id),
    UNIQUE (site_id, name),
    CHECK (watering IN ('sprinkler', 'subsurface', 'hand')),
    CHECK (lines IN ('tape', 'painted')),
    CHECK (length_mm > 0 AND width_mm > 0)
);
CREATE INDEX courts_by_bank_id ON courts (site_id, bank_id);

CREATE TABLE closures (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    court_id BIGINT NOT NULL,
    starts_at TIMESTAMP NOT NULL,
    ends_at TIMESTAMP NOT NULL,
    reason TEXT NOT NULL,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, court_id) REFERENCES courts (site_id, id),
    CHECK (ends_at > starts_at)
);
CREATE INDEX closures_by_court_id_starts_at ON closures (site_id, court_id, starts_at);

CREATE TABLE play_sessions (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    court_id BIGINT NOT NULL,
    name TEXT NOT NULL,
    starts_at TIMESTAMP NOT NULL,
    ends_at TIMESTAMP NOT NULL,
    short_turnaround BOOLEAN NOT NULL,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, court_id) REFERENCES courts (site_id, id),
    UNIQUE (site_id, court_id, starts_at),
    CHECK (ends_at > starts_at)
);
CREATE INDEX play_sessions_by_starts_at ON play_sessions (site_id, starts_at);

CREATE TABLE care_tasks (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    code TEXT NOT NULL,
    name TEXT NOT NULL,
    position BIGINT NOT NULL,
    done_at TEXT NOT NULL,
    cadence TEXT NOT NULL,
    base_s BIGINT NOT NULL,
    min_hands BIGINT NOT NULL,
    skill TEXT,
    tool_action TEXT,
    ground TEXT NOT NULL,
    caution TEXT,
    skip_cents BIGINT NOT NULL,
    source TEXT NOT NULL,
    UNIQUE (site_id, id),
    UNIQUE (site_id, code),
    CHECK (done_at IN ('turnaround', 'court', 'bank'))
);
