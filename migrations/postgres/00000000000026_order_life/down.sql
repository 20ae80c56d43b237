ALTER TABLE work_orders DROP COLUMN fit_hold_reason;
DELETE FROM memberships WHERE role = 'deputy';
ALTER TABLE memberships
    DROP CONSTRAINT memberships_role_check,
    ADD CONSTRAINT memberships_role_check CHECK (role IN ('manager', 'crew_lead', 'crew_member', 'finance', 'front_desk'));
