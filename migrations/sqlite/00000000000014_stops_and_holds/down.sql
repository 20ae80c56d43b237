-- Before this step every run had an asker: what the office proposed is put down to the first user who planned here.
UPDATE plan_runs SET requested_by = (
    SELECT COALESCE(MIN(other.requested_by), (SELECT MIN(id) FROM users))
    FROM plan_runs AS other WHERE other.site_id = plan_runs.site_id
) WHERE requested_by IS NULL;
PRAGMA writable_schema = ON;
UPDATE sqlite_schema
    SET sql = replace(sql, 'requested_by BIGINT REFERENCES', 'requested_by BIGINT NOT NULL REFERENCES')
    WHERE type = 'table' AND name = 'plan_runs';
PRAGMA writable_schema = RESET;
DROP TABLE holds;
DROP TABLE stop_events;
