-- What somebody decided about a visit of a date; of one visit the newest row holds.
CREATE TABLE day_changes (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    work_date DATE NOT NULL,
    visit_key TEXT NOT NULL,
    kind TEXT NOT NULL,
    crew_id BIGINT,
    start_at TIMESTAMP,
    user_id BIGINT NOT NULL REFERENCES users (id),
    created_at TIMESTAMP NOT NULL,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, crew_id) REFERENCES crews (site_id, id),
    CHECK (kind IN ('pin', 'drop', 'free')),
    CHECK ((kind = 'pin') = (crew_id IS NOT NULL)),
    CHECK (start_at IS NULL OR kind = 'pin')
);
CREATE INDEX day_changes_by_work_date ON day_changes (site_id, work_date);
