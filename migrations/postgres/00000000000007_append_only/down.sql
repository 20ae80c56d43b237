DROP TRIGGER audit_events_append_only ON audit_events;
DROP TRIGGER order_events_append_only ON order_events;
DROP TRIGGER hours_entries_append_only ON hours_entries;
DROP TRIGGER stock_moves_append_only ON stock_moves;
DROP TRIGGER cost_lines_append_only ON cost_lines;
DROP FUNCTION refuse_change();
