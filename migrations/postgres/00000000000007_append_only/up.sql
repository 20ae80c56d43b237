-- What was booked is never changed, only reversed by a further row.
CREATE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION '% is append-only: reverse the row, do not change it', TG_TABLE_NAME
        USING ERRCODE = 'check_violation';
END
$$;
CREATE TRIGGER audit_events_append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON audit_events
    FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER order_events_append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON order_events
    FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER hours_entries_append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON hours_entries
    FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER stock_moves_append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON stock_moves
    FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER cost_lines_append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON cost_lines
    FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
