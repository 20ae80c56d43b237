CREATE TABLE plan_runs (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    work_date DATE NOT NULL,
    state TEXT NOT NULL,
    seed BIGINT NOT NULL,
    limit_s BIGINT NOT NULL,
    inputs_digest TEXT NOT NULL,
    problem TEXT NOT NULL,
    plan TEXT,
    cost_cents BIGINT,
    lower_bound_cents BIGINT,
    stop_asked BOOLEAN NOT NULL,
    message TEXT,
    requested_by BIGINT NOT NULL REFERENCES users (id),
    created_at TIMESTAMP NOT NULL,
    started_at TIMESTAMP,
    ended_at TIMESTAMP,
    UNIQUE (site_id, id),
    CHECK (state IN ('waiting', 'running', 'ready', 'taken', 'refused', 'failed'))
);
CREATE INDEX plan_runs_by_work_date ON plan_runs (site_id, work_date);

CREATE TABLE day_plans (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    work_date DATE NOT NULL,
    state TEXT NOT NULL,
    plan_run_id BIGINT NOT NULL,
    cost_cents BIGINT NOT NULL,
    lower_bound_cents BIGINT NOT NULL,
    created_at TIMESTAMP NOT NULL,
    issued_at TIMESTAMP,
    version BIGINT NOT NULL,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, plan_run_id) REFERENCES plan_runs (site_id, id),
    CHECK (state IN ('planned', 'issued', 'replaced'))
);
CREATE INDEX day_plans_by_work_date ON day_plans (site_id, work_date);
-- One plan in force for a site and day; the ones it replaced are kept.
CREATE UNIQUE INDEX day_plans_in_force ON day_plans (site_id, work_date) WHERE state <> 'replaced';

CREATE TABLE rounds (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    day_plan_id BIGINT NOT NULL,
    crew_id BIGINT NOT NULL,
    shift_id BIGINT NOT NULL,
    leaves_at TIMESTAMP NOT NULL,
    returns_at TIMESTAMP NOT NULL,
    kit TEXT NOT NULL,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, day_plan_id) REFERENCES day_plans (site_id, id),
    FOREIGN KEY (site_id, crew_id) REFERENCES crews (site_id, id),
    FOREIGN KEY (site_id, shift_id) REFERENCES shifts (site_id, id),
    UNIQUE (site_id, day_plan_id, crew_id)
);

CREATE TABLE work_orders (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    day_plan_id BIGINT NOT NULL,
    round_id BIGINT NOT NULL,
    crew_id BIGINT NOT NULL,
    work_date DATE NOT NULL,
    court_id BIGINT,
    bank_id BIGINT,
    position BIGINT NOT NULL,
    visit_key TEXT NOT NULL,
    kind TEXT NOT NULL,
    state TEXT NOT NULL,
    direction TEXT,
    groom_class TEXT,
    planned_start TIMESTAMP NOT NULL,
    planned_end TIMESTAMP NOT NULL,
    due_at TIMESTAMP NOT NULL,
    started_at TIMESTAMP,
    ended_at TIMESTAMP,
    fit TEXT,
    fit_until TIMESTAMP,
    fit_reason TEXT,
    undone_reason TEXT,
    undone_note TEXT,
    version BIGINT NOT NULL,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, day_plan_id) REFERENCES day_plans (site_id, id),
    FOREIGN KEY (site_id, round_id) REFERENCES rounds (site_id, id),
    FOREIGN KEY (site_id, crew_id) REFERENCES crews (site_id, id),
    FOREIGN KEY (site_id, court_id) REFERENCES courts (site_id, id),
    FOREIGN KEY (site_id, bank_id) REFERENCES banks (site_id, id),
    CHECK ((court_id IS NULL) <> (bank_id IS NULL)),
    CHECK (kind IN ('full_turnaround', 'short_turnaround', 'care')),
    CHECK (state IN ('planned', 'issued', 'under_way', 'finished', 'left_undone', 'withdrawn')),
    CHECK (direction IS NULL OR direction IN ('along', 'across')),
    CHECK (fit IS NULL OR fit IN ('yes', 'not_yet', 'held'))
);
CREATE INDEX work_orders_by_work_date ON work_orders (site_id, work_date);
CREATE INDEX work_orders_by_court_id_work_date ON work_orders (site_id, court_id, work_date);
CREATE INDEX work_orders_by_day_plan_id ON work_orders (site_id, day_plan_id);
CREATE INDEX work_orders_by_round_id ON work_orders (site_id, round_id);

CREATE TABLE order_steps (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    order_id BIGINT NOT NULL,
    position BIGINT NOT NULL,
    care_task_id BIGINT NOT NULL,
    planned_s BIGINT NOT NULL,
    done BOOLEAN,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, order_id) REFERENCES work_orders (site_id, id),
    FOREIGN KEY (site_id, care_task_id) REFERENCES care_tasks (site_id, id),
    UNIQUE (site_id, order_id, position)
);
CREATE INDEX order_steps_by_care_task_id ON order_steps (site_id, care_task_id);

CREATE TABLE order_tools (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    order_id BIGINT NOT NULL,
    tool_id BIGINT NOT NULL,
    uses BIGINT,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, order_id) REFERENCES work_orders (site_id, id),
    FOREIGN KEY (site_id, tool_id) REFERENCES tools (site_id, id),
    UNIQUE (site_id, order_id, tool_id),
    CHECK (uses IS NULL OR uses >= 0)
);
CREATE INDEX order_tools_by_tool_id ON order_tools (site_id, tool_id);

CREATE TABLE order_events (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    seq BIGINT NOT NULL,
    order_id BIGINT NOT NULL,
    kind TEXT NOT NULL,
    happened_at TIMESTAMP NOT NULL,
    learned_at TIMESTAMP NOT NULL,
    user_id BIGINT NOT NULL REFERENCES users (id),
    data TEXT NOT NULL,
    client_key TEXT,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, order_id) REFERENCES work_orders (site_id, id),
    UNIQUE (site_id, client_key),
    UNIQUE (site_id, seq)
);
CREATE INDEX order_events_by_order_id ON order_events (site_id, order_id);

CREATE TABLE unfitted_visits (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    day_plan_id BIGINT NOT NULL,
    court_id BIGINT,
    bank_id BIGINT,
    visit_key TEXT NOT NULL,
    title TEXT NOT NULL,
    reason TEXT NOT NULL,
    opens_at TIMESTAMP NOT NULL,
    closes_at TIMESTAMP NOT NULL,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, day_plan_id) REFERENCES day_plans (site_id, id),
    FOREIGN KEY (site_id, court_id) REFERENCES courts (site_id, id),
    FOREIGN KEY (site_id, bank_id) REFERENCES banks (site_id, id)
);
CREATE INDEX unfitted_visits_by_day_plan_id ON unfitted_visits (site_id, day_plan_id);

CREATE TABLE waterings (
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
CREATE INDEX waterings_by_day_plan_id ON waterings (site_id, day_plan_id);
CREATE INDEX waterings_by_court_id_starts_at ON waterings (site_id, court_id, starts_at);

CREATE TABLE readings (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    wear_part_id BIGINT NOT NULL,
    measured_on DATE NOT NULL,
    length_um BIGINT NOT NULL,
    order_id BIGINT,
    user_id BIGINT REFERENCES users (id),
    booked_at TIMESTAMP NOT NULL,
    client_key TEXT,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, wear_part_id) REFERENCES wear_parts (site_id, id),
    FOREIGN KEY (site_id, order_id) REFERENCES work_orders (site_id, id),
    UNIQUE (site_id, client_key),
    CHECK (length_um >= 0)
);
CREATE INDEX readings_by_wear_part_id_measured_on ON readings (site_id, wear_part_id, measured_on);
