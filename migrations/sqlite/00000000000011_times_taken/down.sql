DROP TABLE times_taken;
ALTER TABLE play_sessions DROP COLUMN players_brush;
ALTER TABLE order_steps DROP COLUMN alone_s;
ALTER TABLE order_steps DROP COLUMN standard_s;
ALTER TABLE tool_classes DROP COLUMN pulled;
