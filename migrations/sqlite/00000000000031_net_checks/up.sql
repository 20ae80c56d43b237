-- Nets that were gauged: their height at the centre and the width of the strap, as they were read off.
CREATE TABLE net_checks (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    seq BIGINT NOT NULL,
    tool_check_id BIGINT NOT NULL,
    court_id BIGINT NOT NULL,
    height_um BIGINT NOT NULL,
    strap_um BIGINT,
    read_in TEXT NOT NULL,
    happened_at TIMESTAMP NOT NULL,
    UNIQUE (site_id, id),
    UNIQUE (site_id, seq),
    UNIQUE (site_id, tool_check_id),
    FOREIGN KEY (site_id, tool_check_id) REFERENCES tool_checks (site_id, id),
    FOREIGN KEY (site_id, court_id) REFERENCES courts (site_id, id),
    CHECK (height_um > 0),
    CHECK (strap_um > 0),
    CHECK (read_in IN ('mm', 'in'))
);
CREATE INDEX net_checks_by_court_id ON net_checks (site_id, court_id, happened_at);
CREATE TRIGGER net_checks_no_update BEFORE UPDATE ON net_checks
BEGIN
    SELECT RAISE(ABORT, 'net_checks is append-only: reverse the row, do not change it');
END;
CREATE TRIGGER net_checks_no_delete BEFORE DELETE ON net_checks
BEGIN
    SELECT RAISE(ABORT, 'net_checks is append-only: reverse the row, do not change it');
END;
