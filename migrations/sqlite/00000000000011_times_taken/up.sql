-- How a class of tool is pulled: its pace and its turns.
ALTER TABLE tool_classes ADD COLUMN pulled TEXT NOT NULL DEFAULT 'on_foot' CHECK (pulled IN ('on_foot', 'towed'));

-- What the standard gives for a step, beside what is planned: for the crew that does it, and for one person alone.
ALTER TABLE order_steps ADD COLUMN standard_s BIGINT;
ALTER TABLE order_steps ADD COLUMN alone_s BIGINT;

-- Players who brush and sweep the court after their hour.
ALTER TABLE play_sessions ADD COLUMN players_brush BOOLEAN NOT NULL DEFAULT FALSE;

-- How long a finished order took on its court beside what the standard gives for it. `work` names what is timed:
-- the kind of turnaround with the class it is groomed with, or the care task. `log_ratio` is the logarithm of
-- taken / standard in millionths, within half and double, so that a sum over it is all that a mean takes.
CREATE TABLE times_taken (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    order_id BIGINT NOT NULL,
    court_id BIGINT NOT NULL,
    work_date DATE NOT NULL,
    work TEXT NOT NULL,
    standard_s BIGINT NOT NULL,
    taken_s BIGINT NOT NULL,
    log_ratio BIGINT NOT NULL,
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, order_id) REFERENCES work_orders (site_id, id),
    FOREIGN KEY (site_id, court_id) REFERENCES courts (site_id, id),
    UNIQUE (site_id, order_id),
    CHECK (standard_s > 0),
    CHECK (taken_s > 0)
);
CREATE INDEX times_taken_by_work_date ON times_taken (site_id, work_date);
