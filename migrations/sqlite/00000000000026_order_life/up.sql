-- A deputy opens held courts in the manager's stead. SQLite changes a CHECK only in the schema's text; its own manual gives
-- this way for it (ALTER TABLE, section 7: changing CHECK constraints).
PRAGMA writable_schema = ON;
UPDATE sqlite_schema SET sql = replace(sql, '''finance'', ''front_desk''))', '''finance'', ''front_desk'', ''deputy''))')
    WHERE type = 'table' AND name = 'memberships';
PRAGMA writable_schema = RESET;

-- Why the crew that closed a court holds it, picked from the list of holds.
ALTER TABLE work_orders ADD COLUMN fit_hold_reason TEXT
    CHECK (fit_hold_reason IN ('lifted_tape', 'hole', 'net_or_post', 'glass', 'standing_water', 'other'));
