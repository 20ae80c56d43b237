-- What a part cost and how it is carried over its life: by how far a measured part of a tool is pulled (mm), by the uses of a
-- tool's other parts, by the days of a court's. A part without a cost runs at its tool class's flat rate.
ALTER TABLE wear_parts ADD COLUMN cost_cents BIGINT CHECK (cost_cents >= 0);
ALTER TABLE wear_parts ADD COLUMN booked_cents BIGINT NOT NULL DEFAULT 0;
-- As it was last reckoned how long it lasts: what was still to be booked then, over how much use, and the use since.
ALTER TABLE wear_parts ADD COLUMN spread_cents BIGINT NOT NULL DEFAULT 0;
ALTER TABLE wear_parts ADD COLUMN spread_over BIGINT NOT NULL DEFAULT 1 CHECK (spread_over > 0);
ALTER TABLE wear_parts ADD COLUMN spread_used BIGINT NOT NULL DEFAULT 0;
-- The part it took the place of, and why it was taken off itself. A foreign key over two columns is added to a table that
-- stands in the schema's text (SQLite's manual, ALTER TABLE, section 7).
ALTER TABLE wear_parts ADD COLUMN follows_id BIGINT;
ALTER TABLE wear_parts ADD COLUMN retired_why TEXT CHECK (retired_why IN ('worn_out', 'broke', 'in_time', 'tool_retired'));
PRAGMA writable_schema = ON;
UPDATE sqlite_schema SET sql = replace(sql, 'CHECK ((tool_id IS NULL) <> (court_id IS NULL))',
    'FOREIGN KEY (site_id, follows_id) REFERENCES wear_parts (site_id, id), CHECK ((tool_id IS NULL) <> (court_id IS NULL))')
    WHERE type = 'table' AND name = 'wear_parts';
PRAGMA writable_schema = RESET;
CREATE INDEX wear_parts_by_follows_id ON wear_parts (site_id, follows_id);

ALTER TABLE cost_lines ADD COLUMN wear_part_id BIGINT;
PRAGMA writable_schema = ON;
UPDATE sqlite_schema SET sql = replace(sql, 'FOREIGN KEY (site_id, tool_id) REFERENCES tools (site_id, id)',
    'FOREIGN KEY (site_id, tool_id) REFERENCES tools (site_id, id), FOREIGN KEY (site_id, wear_part_id) REFERENCES wear_parts (site_id, id)')
    WHERE type = 'table' AND name = 'cost_lines';
PRAGMA writable_schema = RESET;
CREATE INDEX cost_lines_by_wear_part_id ON cost_lines (site_id, wear_part_id);

-- How often a strap or cable was tightened.
ALTER TABLE part_uses ADD COLUMN tightenings BIGINT NOT NULL DEFAULT 0;
-- What was used of late, and on each day of the last year, is summed from this alone.
CREATE INDEX part_uses_by_work_date ON part_uses (site_id, work_date, wear_part_id, weighed_mm);

-- What counts of what was measured, part by part in order of use, is read from this alone.
CREATE INDEX readings_by_use ON readings (site_id, wear_part_id, used_mm, measured_on, id, length_um, state, taken_back_at);

ALTER TABLE tools ADD COLUMN retired_on DATE;

-- How new parts of a kind come: for the tools of a class, or for courts.
CREATE TABLE part_supplies (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    kind TEXT NOT NULL,
    tool_class_id BIGINT,
    material_id BIGINT,
    supplier TEXT NOT NULL,
    lead_days BIGINT NOT NULL,
    cover_days BIGINT NOT NULL,
    life_days BIGINT,
    version BIGINT NOT NULL,
    UNIQUE (site_id, id),
    UNIQUE (site_id, kind, tool_class_id),
    FOREIGN KEY (site_id, tool_class_id) REFERENCES tool_classes (site_id, id),
    FOREIGN KEY (site_id, material_id) REFERENCES materials (site_id, id),
    CHECK (kind IN ('brush', 'sweeper_brush', 'centre_strap', 'net', 'headband', 'cable', 'line_tape', 'windscreen')),
    CHECK (lead_days >= 0),
    CHECK (cover_days >= 0),
    CHECK (life_days > 0)
);
CREATE UNIQUE INDEX part_supplies_of_courts ON part_supplies (site_id, kind) WHERE tool_class_id IS NULL;
CREATE INDEX part_supplies_by_tool_class_id ON part_supplies (site_id, tool_class_id);
CREATE INDEX part_supplies_by_material_id ON part_supplies (site_id, material_id);
