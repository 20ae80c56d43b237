DROP TABLE running_totals;
DROP TABLE cost_lines;
DROP TABLE stock_moves;
DROP TABLE hours_entries;
