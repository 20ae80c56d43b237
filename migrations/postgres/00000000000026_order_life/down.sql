ALTER TABLE treatments DROP COLUMN reverses_id;
ALTER TABLE readings DROP COLUMN taken_back_at;
DROP TABLE order_rechecks;
DROP TABLE order_notes;
DROP TABLE defects;
DROP INDEX work_orders_by_follows_id;
UPDATE work_orders SET kind = 'care' WHERE kind = 'mend';
ALTER TABLE work_orders
    DROP CONSTRAINT work_orders_follows_id_fkey,
    DROP COLUMN follows_id,
    DROP CONSTRAINT work_orders_kind_check,
    ADD CONSTRAINT work_orders_kind_check CHECK (kind IN ('full_turnaround', 'short_turnaround', 'care'));
ALTER TABLE work_orders DROP COLUMN fit_hold_reason;
DELETE FROM memberships WHERE role = 'deputy';
ALTER TABLE memberships
    DROP CONSTRAINT memberships_role_check,
    ADD CONSTRAINT memberships_role_check CHECK (role IN ('manager', 'crew_lead', 'crew_member', 'finance', 'front_desk'));
