ALTER TABLE treatments DROP COLUMN reverses_id;
ALTER TABLE readings DROP COLUMN taken_back_at;
DROP TABLE order_rechecks;
DROP TABLE order_notes;
DROP TABLE defects;
DROP INDEX work_orders_by_follows_id;
UPDATE work_orders SET kind = 'care' WHERE kind = 'mend';
PRAGMA writable_schema = ON;
UPDATE sqlite_schema SET sql = replace(replace(sql, '''full_turnaround'', ''short_turnaround'', ''care'', ''mend''))', '''full_turnaround'', ''short_turnaround'', ''care''))'),
    'FOREIGN KEY (site_id, follows_id) REFERENCES work_orders (site_id, id), CHECK ((court_id IS NULL) <> (bank_id IS NULL))',
    'CHECK ((court_id IS NULL) <> (bank_id IS NULL))')
    WHERE type = 'table' AND name = 'work_orders';
PRAGMA writable_schema = RESET;
ALTER TABLE work_orders DROP COLUMN follows_id;
ALTER TABLE work_orders DROP COLUMN fit_hold_reason;
DELETE FROM memberships WHERE role = 'deputy';
PRAGMA writable_schema = ON;
UPDATE sqlite_schema SET sql = replace(sql, '''finance'', ''front_desk'', ''deputy''))', '''finance'', ''front_desk''))')
    WHERE type = 'table' AND name = 'memberships';
PRAGMA writable_schema = RESET;
