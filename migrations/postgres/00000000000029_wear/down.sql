ALTER TABLE wear_parts DROP COLUMN used_mm;
ALTER TABLE readings DROP COLUMN doubt;
ALTER TABLE readings DROP COLUMN state;
ALTER TABLE readings DROP COLUMN used_mm;
DROP TABLE reading_verdicts;
DROP TABLE part_uses;
