-- What an audit event is about beside its own subject: the court of an order, the people who worked on it. Written with the
-- event, so that the trail of a court, an order or a person is read without looking into every event.
CREATE TABLE audit_touches (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    seq BIGINT NOT NULL,
    audit_event_id BIGINT NOT NULL,
    subject_kind TEXT NOT NULL,
    subject_id BIGINT NOT NULL,
    UNIQUE (site_id, id),
    UNIQUE (site_id, subject_kind, subject_id, seq),
    FOREIGN KEY (site_id, audit_event_id) REFERENCES audit_events (site_id, id)
);
CREATE INDEX audit_touches_by_audit_event_id ON audit_touches (site_id, audit_event_id);
INSERT INTO audit_touches (site_id, seq, audit_event_id, subject_kind, subject_id)
    SELECT site_id, seq, id, subject_kind, subject_id FROM audit_events;
CREATE TRIGGER audit_touches_no_update BEFORE UPDATE ON audit_touches
BEGIN
    SELECT RAISE(ABORT, 'audit_touches is append-only: reverse the row, do not change it');
END;
CREATE TRIGGER audit_touches_no_delete BEFORE DELETE ON audit_touches
BEGIN
    SELECT RAISE(ABORT, 'audit_touches is append-only: reverse the row, do not change it');
END;
