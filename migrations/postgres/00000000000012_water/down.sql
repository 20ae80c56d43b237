DROP INDEX waterings_by_booked_ml_ends_at;
UPDATE waterings SET state = 'withdrawn' WHERE state = 'did_not_run';
ALTER TABLE waterings
    DROP CONSTRAINT waterings_state_check,
    ADD CONSTRAINT waterings_state_check CHECK (state IN ('planned', 'run', 'withdrawn')),
    DROP COLUMN again_of_id,
    DROP COLUMN booked_ml,
    DROP COLUMN told_at,
    DROP COLUMN told_by,
    DROP COLUMN real_ml,
    DROP COLUMN cycle,
    DROP COLUMN valve_id;
DROP TABLE level_readings;
DROP TABLE water_needs;
DROP TABLE court_waters;
DROP TABLE water_rules;
DROP TABLE valve_courts;
DROP TABLE valves;
