CREATE TABLE hours_entries (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    seq BIGINT NOT NULL,
    person_id BIGINT NOT NULL,
    order_id BIGINT,
    kind TEXT NOT NULL,
    starts_at TIMESTAMP NOT NULL,
    ends_at TIMESTAMP NOT NULL,
    work_date DATE NOT NULL,
    booked_at TIMESTAMP NOT NULL,
    source_kind TEXT NOT NULL,
    source_id BIGINT NOT NULL,
    reverses_id BIGINT,
    period_id BIGINT,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, person_id) REFERENCES people (site_id, id),
    FOREIGN KEY (site_id, order_id) REFERENCES work_orders (site_id, id),
    UNIQUE (site_id, seq),
    CHECK (ends_at >= starts_at),
    CHECK (kind IN ('order', 'walk', 'rain_wait', 'training', 'shed', 'other'))
);
CREATE INDEX hours_entries_by_person_id_work_date ON hours_entries (site_id, person_id, work_date);
CREATE INDEX hours_entries_by_order_id ON hours_entries (site_id, order_id);
CREATE INDEX hours_entries_by_work_date ON hours_entries (site_id, work_date);

CREATE TABLE stock_moves (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    seq BIGINT NOT NULL,
    material_id BIGINT NOT NULL,
    order_id BIGINT,
    kind TEXT NOT NULL,
    quantity BIGINT NOT NULL,
    value_cents BIGINT NOT NULL,
    beyond_stock BOOLEAN NOT NULL,
    work_date DATE NOT NULL,
    booked_at TIMESTAMP NOT NULL,
    source_kind TEXT NOT NULL,
    source_id BIGINT NOT NULL,
    reverses_id BIGINT,
    period_id BIGINT,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, material_id) REFERENCES materials (site_id, id),
    FOREIGN KEY (site_id, order_id) REFERENCES work_orders (site_id, id),
    UNIQUE (site_id, seq),
    CHECK (kind IN ('receipt', 'issue', 'count', 'return'))
);
CREATE INDEX stock_moves_by_material_id_seq ON stock_moves (site_id, material_id, seq);
CREATE INDEX stock_moves_by_order_id ON stock_moves (site_id, order_id);

CREATE TABLE cost_lines (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    seq BIGINT NOT NULL,
    court_id BIGINT NOT NULL,
    order_id BIGINT,
    kind TEXT NOT NULL,
    cents BIGINT NOT NULL,
    person_id BIGINT,
    material_id BIGINT,
    tool_id BIGINT,
    pay_week DATE,
    work_date DATE NOT NULL,
    booked_at TIMESTAMP NOT NULL,
    source_kind TEXT NOT NULL,
    source_id BIGINT NOT NULL,
    reverses_id BIGINT,
    period_id BIGINT,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, court_id) REFERENCES courts (site_id, id),
    FOREIGN KEY (site_id, order_id) REFERENCES work_orders (site_id, id),
    FOREIGN KEY (site_id, person_id) REFERENCES people (site_id, id),
    FOREIGN KEY (site_id, material_id) REFERENCES materials (site_id, id),
    FOREIGN KEY (site_id, tool_id) REFERENCES tools (site_id, id),
    UNIQUE (site_id, seq),
    CHECK (kind IN ('labour', 'material', 'water', 'tool_wear', 'equipment', 'contract_work', 'energy', 'overhead'))
);
CREATE INDEX cost_lines_by_court_id_work_date ON cost_lines (site_id, court_id, work_date);
CREATE INDEX cost_lines_by_work_date ON cost_lines (site_id, work_date);
CREATE INDEX cost_lines_by_order_id ON cost_lines (site_id, order_id);

CREATE TABLE running_totals (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    kind TEXT NOT NULL,
    subject_id BIGINT NOT NULL,
    period TEXT NOT NULL,
    used BIGINT NOT NULL,
    booked_cents BIGINT NOT NULL,
    UNIQUE (site_id, id),
    UNIQUE (site_id, kind, subject_id, period)
);
