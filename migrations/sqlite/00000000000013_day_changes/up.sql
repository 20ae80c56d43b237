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
    CHECK (kind IN ('pin', 'drop', 'free', 'add')),
    CHECK ((kind = 'pin') = (crew_id IS NOT NULL)),
    CHECK (start_at IS NULL OR kind = 'pin')
);
CREATE INDEX day_changes_by_work_date ON day_changes (site_id, work_date);

-- What happened in a day that no other table holds: rain that keeps people in, and who went home.
CREATE TABLE day_news (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    work_date DATE NOT NULL,
    kind TEXT NOT NULL,
    crew_id BIGINT,
    person_id BIGINT,
    from_at TIMESTAMP NOT NULL,
    until_at TIMESTAMP,
    user_id BIGINT NOT NULL REFERENCES users (id),
    created_at TIMESTAMP NOT NULL,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, crew_id) REFERENCES crews (site_id, id),
    FOREIGN KEY (site_id, person_id) REFERENCES people (site_id, id),
    CHECK (kind IN ('rain', 'crew_away', 'person_away')),
    CHECK ((kind = 'crew_away') = (crew_id IS NOT NULL)),
    CHECK ((kind = 'person_away') = (person_id IS NOT NULL)),
    CHECK ((kind = 'rain') = (until_at IS NOT NULL)),
    CHECK (until_at > from_at)
);
CREATE INDEX day_news_by_work_date ON day_news (site_id, work_date);

-- Each time the rest of a day was planned anew: why, and what became of the visits.
CREATE TABLE day_replans (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    work_date DATE NOT NULL,
    day_plan_id BIGINT NOT NULL,
    because TEXT NOT NULL,
    cost_before_cents BIGINT NOT NULL,
    cost_cents BIGINT NOT NULL,
    moves TEXT NOT NULL,
    user_id BIGINT NOT NULL REFERENCES users (id),
    created_at TIMESTAMP NOT NULL,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, day_plan_id) REFERENCES day_plans (site_id, id)
);
CREATE INDEX day_replans_by_work_date ON day_replans (site_id, work_date);
