-- The weather at the site, as it was read off or is foretold. What was not read is null.
CREATE TABLE weather_readings (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    read_at TIMESTAMP NOT NULL,
    kind TEXT NOT NULL,
    temp_mc BIGINT,
    humidity_permille BIGINT,
    wind_mmps BIGINT,
    gust_mmps BIGINT,
    rain_um BIGINT,
    solar_w_m2 BIGINT,
    frost BOOLEAN,
    UNIQUE (site_id, id),
    UNIQUE (site_id, read_at, kind),
    CHECK (kind IN ('observed', 'forecast'))
);

-- What somebody saw who looked a court over. What was not looked at is null.
CREATE TABLE inspections (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    court_id BIGINT NOT NULL,
    seen_at TIMESTAMP NOT NULL,
    firmness TEXT,
    moisture TEXT,
    standing_water BOOLEAN,
    frozen BOOLEAN,
    low_spots TEXT,
    algae BOOLEAN,
    hardpan BOOLEAN,
    baselines_packed BOOLEAN,
    newly_dressed BOOLEAN,
    note TEXT,
    user_id BIGINT NOT NULL REFERENCES users (id),
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, court_id) REFERENCES courts (site_id, id),
    CHECK (firmness IN ('soft', 'firm', 'hard')),
    CHECK (moisture IN ('dry', 'damp', 'wet'))
);
CREATE INDEX inspections_by_court_id_seen_at ON inspections (site_id, court_id, seen_at);
CREATE INDEX inspections_by_seen_at ON inspections (site_id, seen_at);
