-- Before this step every run had an asker: what the office proposed is put down to the first user who planned here.
UPDATE plan_runs SET requested_by = (
    SELECT COALESCE(MIN(other.requested_by), (SELECT MIN(id) FROM users))
    FROM plan_runs AS other WHERE other.site_id = plan_runs.site_id
) WHERE requested_by IS NULL;
ALTER TABLE plan_runs ALTER COLUMN requested_by SET NOT NULL;
DROP TABLE holds;
DROP TABLE stop_events;
