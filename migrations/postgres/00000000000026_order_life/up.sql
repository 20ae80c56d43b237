-- A deputy opens held courts in the manager's stead.
ALTER TABLE memberships
    DROP CONSTRAINT memberships_role_check,
    ADD CONSTRAINT memberships_role_check CHECK (role IN ('manager', 'crew_lead', 'crew_member', 'finance', 'front_desk', 'deputy'));

-- Why the crew that closed a court holds it, picked from the list of holds.
ALTER TABLE work_orders ADD COLUMN fit_hold_reason TEXT
    CHECK (fit_hold_reason IN ('lifted_tape', 'hole', 'net_or_post', 'glass', 'standing_water', 'other'));
