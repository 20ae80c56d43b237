-- Since when somebody works here: who is new starts on shorter work in the heat.
ALTER TABLE people ADD COLUMN came_on DATE;
-- What the label of a chemical says, as JSON; null where the material is none.
ALTER TABLE materials ADD COLUMN label TEXT;
-- The most wind that the label allowed when a chemical was put on, mm/s.
ALTER TABLE treatments ADD COLUMN wind_limit_mmps BIGINT;
-- Whether leaves lay on the court.
ALTER TABLE inspections ADD COLUMN leaves BOOLEAN;
-- Who of the crew begins on shorter work in the heat, as JSON.
ALTER TABLE rounds ADD COLUMN beginning TEXT;
