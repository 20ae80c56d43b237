CREATE TABLE sites (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    name TEXT NOT NULL,
    zone TEXT NOT NULL,
    units TEXT NOT NULL,
    currency TEXT NOT NULL,
    walk_mm_per_s BIGINT NOT NULL,
    shed_x_mm BIGINT NOT NULL,
    shed_y_mm BIGINT NOT NULL,
    pay_week_starts_on BIGINT NOT NULL,
    water_cents_per_m3 BIGINT NOT NULL,
    created_at TIMESTAMP NOT NULL,
    version BIGINT NOT NULL,
    CHECK (units IN ('us_customary', 'metric')),
    CHECK (pay_week_starts_on BETWEEN 1 AND 7),
    CHECK (walk_mm_per_s > 0)
);

CREATE TABLE site_head (
    site_id BIGINT PRIMARY KEY NOT NULL REFERENCES sites (id),
    seq BIGINT NOT NULL,
    hash BLOB NOT NULL
);

CREATE TABLE users (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    email TEXT NOT NULL,
    name TEXT NOT NULL,
    password_hash TEXT,
    is_owner BOOLEAN NOT NULL,
    disabled_at TIMESTAMP,
    created_at TIMESTAMP NOT NULL,
    version BIGINT NOT NULL,
    UNIQUE (email)
);

CREATE TABLE memberships (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    user_id BIGINT NOT NULL REFERENCES users (id),
    role TEXT NOT NULL,
    created_at TIMESTAMP NOT NULL,
    UNIQUE (site_id, id),
    UNIQUE (site_id, user_id, role),
    CHECK (role IN ('manager', 'crew_lead', 'crew_member', 'finance', 'front_desk'))
);
CREATE INDEX memberships_by_user_id ON memberships (user_id);

CREATE TABLE sessions (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    user_id BIGINT NOT NULL REFERENCES users (id),
    kind TEXT NOT NULL,
    family TEXT NOT NULL,
    generation BIGINT NOT NULL,
    token_digest BLOB NOT NULL,
    created_at TIMESTAMP NOT NULL,
    expires_at TIMESTAMP NOT NULL,
    replaced_at TIMESTAMP,
    revoked_at TIMESTAMP,
    UNIQUE (token_digest),
    CHECK (kind IN ('api', 'page'))
);
CREATE INDEX sessions_by_family ON sessions (family);
CREATE INDEX sessions_by_user_id ON sessions (user_id);

CREATE TABLE settings (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    key TEXT NOT NULL,
    value TEXT NOT NULL,
    updated_at TIMESTAMP NOT NULL,
    version BIGINT NOT NULL,
    UNIQUE (site_id, id),
    UNIQUE (site_id, key)
);

CREATE TABLE audit_events (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    seq BIGINT NOT NULL,
    at TIMESTAMP NOT NULL,
    actor_user_id BIGINT REFERENCES users (id),
    verb TEXT NOT NULL,
    subject_kind TEXT NOT NULL,
    subject_id BIGINT NOT NULL,
    data TEXT NOT NULL,
    prev_hash BLOB NOT NULL,
    hash BLOB NOT NULL,
    UNIQUE (site_id, id),
    UNIQUE (site_id, seq)
);

CREATE TABLE idempotency_keys (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    client_key TEXT NOT NULL,
    user_id BIGINT NOT NULL REFERENCES users (id),
    operation TEXT NOT NULL,
    request_digest BLOB NOT NULL,
    body TEXT NOT NULL,
    created_at TIMESTAMP NOT NULL,
    UNIQUE (site_id, id),
    UNIQUE (site_id, client_key)
);
