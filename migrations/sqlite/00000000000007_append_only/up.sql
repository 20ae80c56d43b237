-- What was booked is never changed, only reversed by a further row.
CREATE TRIGGER audit_events_no_update BEFORE UPDATE ON audit_events
BEGIN
    SELECT RAISE(ABORT, 'audit_events is append-only: reverse the row, do not change it');
END;
CREATE TRIGGER audit_events_no_delete BEFORE DELETE ON audit_events
BEGIN
    SELECT RAISE(ABORT, 'audit_events is append-only: reverse the row, do not change it');
END;
CREATE TRIGGER order_events_no_update BEFORE UPDATE ON order_events
BEGIN
    SELECT RAISE(ABORT, 'order_events is append-only: reverse the row, do not change it');
END;
CREATE TRIGGER order_events_no_delete BEFORE DELETE ON order_events
BEGIN
    SELECT RAISE(ABORT, 'order_events is append-only: reverse the row, do not change it');
END;
CREATE TRIGGER hours_entries_no_update BEFORE UPDATE ON hours_entries
BEGIN
    SELECT RAISE(ABORT, 'hours_entries is append-only: reverse the row, do not change it');
END;
CREATE TRIGGER hours_entries_no_delete BEFORE DELETE ON hours_entries
BEGIN
    SELECT RAISE(ABORT, 'hours_entries is append-only: reverse the row, do not change it');
END;
CREATE TRIGGER stock_moves_no_update BEFORE UPDATE ON stock_moves
BEGIN
    SELECT RAISE(ABORT, 'stock_moves is append-only: reverse the row, do not change it');
END;
CREATE TRIGGER stock_moves_no_delete BEFORE DELETE ON stock_moves
BEGIN
    SELECT RAISE(ABORT, 'stock_moves is append-only: reverse the row, do not change it');
END;
CREATE TRIGGER cost_lines_no_update BEFORE UPDATE ON cost_lines
BEGIN
    SELECT RAISE(ABORT, 'cost_lines is append-only: reverse the row, do not change it');
END;
CREATE TRIGGER cost_lines_no_delete BEFORE DELETE ON cost_lines
BEGIN
    SELECT RAISE(ABORT, 'cost_lines is append-only: reverse the row, do not change it');
END;
