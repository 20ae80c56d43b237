ALTER TABLE rounds DROP COLUMN beginning;
ALTER TABLE inspections DROP COLUMN leaves;
ALTER TABLE treatments DROP COLUMN wind_limit_mmps;
ALTER TABLE materials DROP COLUMN label;
ALTER TABLE people DROP COLUMN came_on;
