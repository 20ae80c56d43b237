CREATE TABLE people (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    user_id BIGINT REFERENCES users (id),
    name TEXT NOT NULL,
    skills TEXT NOT NULL,
    left_on DATE,
    version BIGINT NOT NULL,
    UNIQUE (site_id, id),
    UNIQUE (site_id, name)
);
CREATE INDEX people_by_user_id ON people (site_id, user_id);

CREATE TABLE pay_rates (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    person_id BIGINT NOT NULL,
    from_date DATE NOT NULL,
    cents_per_h BIGINT NOT NULL,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, person_id) REFERENCES people (site_id, id),
    UNIQUE (site_id, person_id, from_date),
    CHECK (cents_per_h >= 0)
);

CREATE TABLE crews (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    name TEXT NOT NULL,
    position BIGINT NOT NULL,
    kit_limit BIGINT NOT NULL,
    load_limit_g BIGINT NOT NULL,
    version BIGINT NOT NULL,
    UNIQUE (site_id, id),
    UNIQUE (site_id, name)
);

CREATE TABLE crew_members (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    crew_id BIGINT NOT NULL,
    person_id BIGINT NOT NULL,
    from_date DATE NOT NULL,
    until_date DATE,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, crew_id) REFERENCES crews (site_id, id),
    FOREIGN KEY (site_id, person_id) REFERENCES people (site_id, id),
    UNIQUE (site_id, crew_id, person_id, from_date)
);

CREATE TABLE shifts (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    crew_id BIGINT NOT NULL,
    work_date DATE NOT NULL,
    starts_at TIMESTAMP NOT NULL,
    ends_at TIMESTAMP NOT NULL,
    overtime_until TIMESTAMP NOT NULL,
    break_s BIGINT NOT NULL,
    break_from TIMESTAMP,
    break_until TIMESTAMP,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, crew_id) REFERENCES crews (site_id, id),
    UNIQUE (site_id, crew_id, work_date),
    CHECK (ends_at > starts_at),
    CHECK (overtime_until >= ends_at)
);
CREATE INDEX shifts_by_work_date ON shifts (site_id, work_date);

CREATE TABLE shift_people (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    shift_id BIGINT NOT NULL,
    person_id BIGINT NOT NULL,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, shift_id) REFERENCES shifts (site_id, id),
    FOREIGN KEY (site_id, person_id) REFERENCES people (site_id, id),
    UNIQUE (site_id, shift_id, person_id)
);
CREATE INDEX shift_people_by_person_id ON shift_people (site_id, person_id);

CREATE TABLE tool_classes (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    code TEXT NOT NULL,
    name TEXT NOT NULL,
    action TEXT NOT NULL,
    strength TEXT,
    width_mm BIGINT,
    brush_rows BIGINT,
    bristle_um BIGINT,
    wear_cents BIGINT NOT NULL,
    wear_uses BIGINT NOT NULL,
    UNIQUE (site_id, id),
    UNIQUE (site_id, code),
    CHECK (wear_cents >= 0),
    CHECK (wear_uses > 0)
);

CREATE TABLE tools (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    tool_class_id BIGINT NOT NULL,
    number TEXT NOT NULL,
    state TEXT NOT NULL,
    in_service_from DATE NOT NULL,
    version BIGINT NOT NULL,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, tool_class_id) REFERENCES tool_classes (site_id, id),
    UNIQUE (site_id, number),
    CHECK (state IN ('in_service', 'out_of_service'))
);
CREATE INDEX tools_by_tool_class_id ON tools (site_id, tool_class_id);

CREATE TABLE wear_parts (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    tool_id BIGINT,
    court_id BIGINT,
    kind TEXT NOT NULL,
    start_um BIGINT,
    limit_um BIGINT,
    fitted_on DATE NOT NULL,
    retired_on DATE,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, tool_id) REFERENCES tools (site_id, id),
    FOREIGN KEY (site_id, court_id) REFERENCES courts (site_id, id),
    CHECK ((tool_id IS NULL) <> (court_id IS NULL)),
    CHECK (kind IN ('brush', 'sweeper_brush', 'centre_strap', 'net', 'headband', 'cable', 'line_tape', 'windscreen'))
);
CREATE INDEX wear_parts_by_tool_id ON wear_parts (site_id, tool_id);
CREATE INDEX wear_parts_by_court_id ON wear_parts (site_id, court_id);

CREATE TABLE materials (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    code TEXT NOT NULL,
    name TEXT NOT NULL,
    unit TEXT NOT NULL,
    pack_name TEXT NOT NULL,
    pack_quantity BIGINT NOT NULL,
    on_hand BIGINT NOT NULL,
    value_cents BIGINT NOT NULL,
    version BIGINT NOT NULL,
    UNIQUE (site_id, id),
    UNIQUE (site_id, code),
    CHECK (unit IN ('gram', 'millilitre', 'piece')),
    CHECK (pack_quantity > 0)
);

CREATE TABLE condition_observations (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    court_id BIGINT NOT NULL,
    observed_at TIMESTAMP NOT NULL,
    condition TEXT NOT NULL,
    note TEXT,
    user_id BIGINT REFERENCES users (id),
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, court_id) REFERENCES courts (site_id, id)
);
CREATE INDEX condition_observations_by_court_id_observed_at ON condition_observations (site_id, court_id, observed_at);
