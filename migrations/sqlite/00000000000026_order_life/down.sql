ALTER TABLE work_orders DROP COLUMN fit_hold_reason;
DELETE FROM memberships WHERE role = 'deputy';
PRAGMA writable_schema = ON;
UPDATE sqlite_schema SET sql = replace(sql, '''finance'', ''front_desk'', ''deputy''))', '''finance'', ''front_desk''))')
    WHERE type = 'table' AND name = 'memberships';
PRAGMA writable_schema = RESET;
