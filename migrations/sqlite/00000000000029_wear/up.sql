-- How much parts of tools were used: on each court by the order that took the tool, or as somebody told it.
CREATE TABLE part_uses (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    seq BIGINT NOT NULL,
    wear_part_id BIGINT NOT NULL,
    court_id BIGINT,
    order_id BIGINT,
    work_date DATE NOT NULL,
    use_mm BIGINT NOT NULL,
    weighed_mm BIGINT NOT NULL,
    note TEXT,
    user_id BIGINT REFERENCES users (id),
    booked_at TIMESTAMP NOT NULL,
    reverses_id BIGINT,
    client_key TEXT,
    UNIQUE (site_id, id),
    UNIQUE (site_id, seq),
    UNIQUE (site_id, client_key),
    FOREIGN KEY (site_id, wear_part_id) REFERENCES wear_parts (site_id, id),
    FOREIGN KEY (site_id, court_id) REFERENCES courts (site_id, id),
    FOREIGN KEY (site_id, order_id) REFERENCES work_orders (site_id, id),
    FOREIGN KEY (site_id, reverses_id) REFERENCES part_uses (site_id, id)
);
CREATE INDEX part_uses_by_wear_part_id ON part_uses (site_id, wear_part_id, work_date);
CREATE INDEX part_uses_by_court_id ON part_uses (site_id, court_id);
CREATE INDEX part_uses_by_order_id ON part_uses (site_id, order_id);
CREATE INDEX part_uses_by_reverses_id ON part_uses (site_id, reverses_id);
CREATE TRIGGER part_uses_no_update BEFORE UPDATE ON part_uses
BEGIN
    SELECT RAISE(ABORT, 'part_uses is append-only: reverse the row, do not change it');
END;
CREATE TRIGGER part_uses_no_delete BEFORE DELETE ON part_uses
BEGIN
    SELECT RAISE(ABORT, 'part_uses is append-only: reverse the row, do not change it');
END;

-- What was decided of a reading: confirmed where it was doubted, or struck.
CREATE TABLE reading_verdicts (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    seq BIGINT NOT NULL,
    reading_id BIGINT NOT NULL,
    verdict TEXT NOT NULL,
    why TEXT,
    user_id BIGINT REFERENCES users (id),
    decided_at TIMESTAMP NOT NULL,
    client_key TEXT,
    UNIQUE (site_id, id),
    UNIQUE (site_id, seq),
    UNIQUE (site_id, client_key),
    FOREIGN KEY (site_id, reading_id) REFERENCES readings (site_id, id),
    CHECK (verdict IN ('confirmed', 'struck'))
);
CREATE INDEX reading_verdicts_by_reading_id ON reading_verdicts (site_id, reading_id);
CREATE TRIGGER reading_verdicts_no_update BEFORE UPDATE ON reading_verdicts
BEGIN
    SELECT RAISE(ABORT, 'reading_verdicts is append-only: reverse the row, do not change it');
END;
CREATE TRIGGER reading_verdicts_no_delete BEFORE DELETE ON reading_verdicts
BEGIN
    SELECT RAISE(ABORT, 'reading_verdicts is append-only: reverse the row, do not change it');
END;

-- What the part had been used when it was measured, kept in step with part_uses, and whether the reading counts.
ALTER TABLE readings ADD COLUMN used_mm BIGINT NOT NULL DEFAULT 0;
ALTER TABLE readings ADD COLUMN state TEXT NOT NULL DEFAULT 'standing' CHECK (state IN ('standing', 'doubted', 'struck'));
ALTER TABLE readings ADD COLUMN doubt TEXT CHECK (doubt IN ('too_long', 'further_than_forecast'));
ALTER TABLE wear_parts ADD COLUMN used_mm BIGINT NOT NULL DEFAULT 0;
