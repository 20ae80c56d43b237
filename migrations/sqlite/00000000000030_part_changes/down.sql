DROP TABLE part_supplies;
ALTER TABLE tools DROP COLUMN retired_on;
DROP INDEX readings_by_use;
DROP INDEX part_uses_by_work_date;
ALTER TABLE part_uses DROP COLUMN tightenings;
DROP INDEX cost_lines_by_wear_part_id;
PRAGMA writable_schema = ON;
UPDATE sqlite_schema SET sql = replace(sql, ', FOREIGN KEY (site_id, wear_part_id) REFERENCES wear_parts (site_id, id)', '')
    WHERE type = 'table' AND name = 'cost_lines';
UPDATE sqlite_schema SET sql = replace(sql, 'FOREIGN KEY (site_id, follows_id) REFERENCES wear_parts (site_id, id), ', '')
    WHERE type = 'table' AND name = 'wear_parts';
PRAGMA writable_schema = RESET;
ALTER TABLE cost_lines DROP COLUMN wear_part_id;
DROP INDEX wear_parts_by_follows_id;
ALTER TABLE wear_parts DROP COLUMN retired_why;
ALTER TABLE wear_parts DROP COLUMN follows_id;
ALTER TABLE wear_parts DROP COLUMN spread_used;
ALTER TABLE wear_parts DROP COLUMN spread_over;
ALTER TABLE wear_parts DROP COLUMN spread_cents;
ALTER TABLE wear_parts DROP COLUMN booked_cents;
ALTER TABLE wear_parts DROP COLUMN cost_cents;
