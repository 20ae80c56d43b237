CREATE TABLE report_subscribers (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    email TEXT NOT NULL,
    name TEXT NOT NULL,
    language TEXT NOT NULL,
    UNIQUE (site_id, id),
    UNIQUE (site_id, email)
);

CREATE TABLE week_reports (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    iso_week TEXT NOT NULL,
    revision BIGINT NOT NULL,
    subject TEXT NOT NULL,
    text_body TEXT NOT NULL,
    html_body TEXT NOT NULL,
    figures TEXT NOT NULL,
    created_at TIMESTAMP NOT NULL,
    sent_at TIMESTAMP,
    UNIQUE (site_id, id),
    UNIQUE (site_id, iso_week, revision)
);

CREATE TABLE jobs (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT REFERENCES sites (id),
    kind TEXT NOT NULL,
    unique_key TEXT,
    payload TEXT NOT NULL,
    state TEXT NOT NULL,
    run_at TIMESTAMP NOT NULL,
    lease_until TIMESTAMP,
    attempts BIGINT NOT NULL,
    last_error TEXT,
    created_at TIMESTAMP NOT NULL,
    ended_at TIMESTAMP,
    UNIQUE (unique_key),
    CHECK (state IN ('waiting', 'done', 'failed'))
);
CREATE INDEX jobs_by_state_run_at ON jobs (state, run_at);

CREATE TABLE files (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    sha256 TEXT NOT NULL,
    media_type TEXT NOT NULL,
    bytes BIGINT NOT NULL,
    place TEXT NOT NULL,
    created_at TIMESTAMP NOT NULL,
    UNIQUE (site_id, id),
    UNIQUE (site_id, sha256),
    CHECK (bytes >= 0)
);
