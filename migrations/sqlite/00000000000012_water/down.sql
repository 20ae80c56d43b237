CREATE TABLE waterings_before (
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
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, day_plan_id) REFERENCES day_plans (site_id, id),
    FOREIGN KEY (site_id, court_id) REFERENCES courts (site_id, id),
    FOREIGN KEY (site_id, order_id) REFERENCES work_orders (site_id, id),
    CHECK (kind IN ('soak', 'night_cycle')),
    CHECK (state IN ('planned', 'run', 'withdrawn'))
);
INSERT INTO waterings_before (id, site_id, day_plan_id, court_id, order_id, kind, starts_at, ends_at,
    flow_mlps, volume_ml, state)
    SELECT id, site_id, day_plan_id, court_id, order_id, kind, starts_at, ends_at, flow_mlps, volume_ml,
        CASE WHEN state = 'did_not_run' THEN 'withdrawn' ELSE state END
    FROM waterings;
DROP TABLE waterings;
ALTER TABLE waterings_before RENAME TO waterings;
CREATE INDEX waterings_by_day_plan_id ON waterings (site_id, day_plan_id);
CREATE INDEX waterings_by_court_id_starts_at ON waterings (site_id, court_id, starts_at);
DROP TABLE level_readings;
DROP TABLE water_needs;
DROP TABLE court_waters;
DROP TABLE water_rules;
DROP TABLE valve_courts;
DROP TABLE valves;
