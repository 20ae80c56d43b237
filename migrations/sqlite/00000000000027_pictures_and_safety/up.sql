-- What a file holds, where the process keeps files in the database. Apart from what is known of it, so that lists stay light.
CREATE TABLE file_contents (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    file_id BIGINT NOT NULL,
    content BLOB NOT NULL,
    UNIQUE (site_id, id),
    UNIQUE (site_id, file_id),
    FOREIGN KEY (site_id, file_id) REFERENCES files (site_id, id)
);

-- Pictures and voice notes. One that was removed keeps its row, and no content. `of_key` is the client's own key of the
-- event that it belongs to, which may come later: the subject is known once both are there.
CREATE TABLE pictures (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    kind TEXT NOT NULL,
    subject_kind TEXT,
    subject_id BIGINT,
    of_key TEXT,
    file_id BIGINT,
    thumbnail_file_id BIGINT,
    width_px BIGINT,
    height_px BIGINT,
    happened_at TIMESTAMP NOT NULL,
    learned_at TIMESTAMP NOT NULL,
    user_id BIGINT NOT NULL REFERENCES users (id),
    client_key TEXT NOT NULL,
    removed_at TIMESTAMP,
    removed_by BIGINT REFERENCES users (id),
    removed_why TEXT,
    UNIQUE (site_id, id),
    UNIQUE (site_id, client_key),
    FOREIGN KEY (site_id, file_id) REFERENCES files (site_id, id),
    FOREIGN KEY (site_id, thumbnail_file_id) REFERENCES files (site_id, id),
    CHECK (kind IN ('picture', 'voice_note')),
    CHECK (subject_kind IN ('order', 'defect', 'incident', 'court', 'tool', 'reading')),
    CHECK (subject_kind IS NOT NULL OR (subject_id IS NULL AND of_key IS NULL)),
    CHECK ((removed_at IS NULL) = (file_id IS NOT NULL)),
    CHECK ((removed_at IS NULL) = (removed_by IS NULL))
);
CREATE INDEX pictures_by_subject ON pictures (site_id, subject_kind, subject_id);
CREATE INDEX pictures_by_of_key ON pictures (site_id, of_key);
CREATE INDEX pictures_by_file_id ON pictures (site_id, file_id);
CREATE INDEX pictures_by_thumbnail_file_id ON pictures (site_id, thumbnail_file_id);

-- What happened, or nearly. Notes and who was hurt are read by those alone who are named for it.
CREATE TABLE incidents (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    kind TEXT NOT NULL,
    what TEXT NOT NULL,
    court_id BIGINT,
    place TEXT,
    anyone_hurt TEXT NOT NULL,
    who_hurt TEXT,
    person_id BIGINT,
    note TEXT,
    happened_at TIMESTAMP NOT NULL,
    learned_at TIMESTAMP NOT NULL,
    user_id BIGINT NOT NULL REFERENCES users (id),
    client_key TEXT NOT NULL,
    opened_at TIMESTAMP,
    opened_by BIGINT REFERENCES users (id),
    UNIQUE (site_id, id),
    UNIQUE (site_id, client_key),
    FOREIGN KEY (site_id, court_id) REFERENCES courts (site_id, id),
    FOREIGN KEY (site_id, person_id) REFERENCES people (site_id, id),
    CHECK (kind IN ('incident', 'near_miss')),
    CHECK (what IN ('slip_or_fall', 'struck', 'cut', 'heat', 'chemical', 'electric', 'vehicle', 'other')),
    CHECK (anyone_hurt IN ('yes', 'no', 'unknown')),
    CHECK (court_id IS NOT NULL OR place IS NOT NULL),
    CHECK ((opened_at IS NULL) = (opened_by IS NULL))
);
CREATE INDEX incidents_by_opened_at ON incidents (site_id, opened_at);
CREATE INDEX incidents_by_person_id ON incidents (site_id, person_id);

-- Who is named to read of incidents, whatever their role.
CREATE TABLE incident_readers (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    user_id BIGINT NOT NULL REFERENCES users (id),
    named_at TIMESTAMP NOT NULL,
    named_by BIGINT NOT NULL REFERENCES users (id),
    UNIQUE (site_id, id),
    UNIQUE (site_id, user_id)
);

-- Where the first-aid kit of a court is, and how an ambulance finds it; the site's settings say it for courts that do not.
ALTER TABLE courts ADD COLUMN first_aid TEXT;
ALTER TABLE courts ADD COLUMN ambulance_way TEXT;

-- Who works alone: each start, each sign of life and each end. They come in any order, so that each names its watch by the
-- client's own key of the start.
CREATE TABLE alone_events (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    seq BIGINT NOT NULL,
    watch_key TEXT NOT NULL,
    event TEXT NOT NULL,
    person_id BIGINT,
    crew_id BIGINT,
    court_id BIGINT,
    happened_at TIMESTAMP NOT NULL,
    learned_at TIMESTAMP NOT NULL,
    user_id BIGINT NOT NULL REFERENCES users (id),
    client_key TEXT NOT NULL,
    UNIQUE (site_id, id),
    UNIQUE (site_id, seq),
    UNIQUE (site_id, client_key),
    FOREIGN KEY (site_id, person_id) REFERENCES people (site_id, id),
    FOREIGN KEY (site_id, crew_id) REFERENCES crews (site_id, id),
    FOREIGN KEY (site_id, court_id) REFERENCES courts (site_id, id),
    CHECK (event IN ('started', 'checked_in', 'ended')),
    CHECK ((event = 'started') = (person_id IS NOT NULL)),
    CHECK (event = 'started' OR (crew_id IS NULL AND court_id IS NULL))
);
CREATE INDEX alone_events_by_watch_key ON alone_events (site_id, watch_key);
CREATE INDEX alone_events_by_learned_at ON alone_events (site_id, learned_at);
CREATE INDEX alone_events_by_person_id ON alone_events (site_id, person_id);
CREATE TRIGGER alone_events_no_update BEFORE UPDATE ON alone_events
BEGIN
    SELECT RAISE(ABORT, 'alone_events is append-only: reverse the row, do not change it');
END;
CREATE TRIGGER alone_events_no_delete BEFORE DELETE ON alone_events
BEGIN
    SELECT RAISE(ABORT, 'alone_events is append-only: reverse the row, do not change it');
END;

-- When people came, took their breaks and went, as it was told. Not hours for pay.
CREATE TABLE attendance_events (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    seq BIGINT NOT NULL,
    person_id BIGINT NOT NULL,
    kind TEXT NOT NULL,
    crew_id BIGINT,
    happened_at TIMESTAMP NOT NULL,
    learned_at TIMESTAMP NOT NULL,
    user_id BIGINT NOT NULL REFERENCES users (id),
    client_key TEXT NOT NULL,
    UNIQUE (site_id, id),
    UNIQUE (site_id, seq),
    UNIQUE (site_id, client_key),
    FOREIGN KEY (site_id, person_id) REFERENCES people (site_id, id),
    FOREIGN KEY (site_id, crew_id) REFERENCES crews (site_id, id),
    CHECK (kind IN ('in', 'break_start', 'break_end', 'out'))
);
CREATE INDEX attendance_events_by_happened_at ON attendance_events (site_id, happened_at);
CREATE INDEX attendance_events_by_person_id ON attendance_events (site_id, person_id);
CREATE TRIGGER attendance_events_no_update BEFORE UPDATE ON attendance_events
BEGIN
    SELECT RAISE(ABORT, 'attendance_events is append-only: reverse the row, do not change it');
END;
CREATE TRIGGER attendance_events_no_delete BEFORE DELETE ON attendance_events
BEGIN
    SELECT RAISE(ABORT, 'attendance_events is append-only: reverse the row, do not change it');
END;

-- Who joined or left a crew in the course of a day: who is on a shift follows from what happened last.
CREATE TABLE shift_changes (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    seq BIGINT NOT NULL,
    shift_id BIGINT NOT NULL,
    person_id BIGINT NOT NULL,
    joins BOOLEAN NOT NULL,
    happened_at TIMESTAMP NOT NULL,
    learned_at TIMESTAMP NOT NULL,
    user_id BIGINT NOT NULL REFERENCES users (id),
    client_key TEXT NOT NULL,
    UNIQUE (site_id, id),
    UNIQUE (site_id, seq),
    UNIQUE (site_id, client_key),
    FOREIGN KEY (site_id, shift_id) REFERENCES shifts (site_id, id),
    FOREIGN KEY (site_id, person_id) REFERENCES people (site_id, id)
);
CREATE INDEX shift_changes_by_person_id ON shift_changes (site_id, person_id);
CREATE TRIGGER shift_changes_no_update BEFORE UPDATE ON shift_changes
BEGIN
    SELECT RAISE(ABORT, 'shift_changes is append-only: reverse the row, do not change it');
END;
CREATE TRIGGER shift_changes_no_delete BEFORE DELETE ON shift_changes
BEGIN
    SELECT RAISE(ABORT, 'shift_changes is append-only: reverse the row, do not change it');
END;

-- Checks of a tool or a court in the shed. A reading of one is the mean of its points.
CREATE TABLE tool_checks (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    tool_id BIGINT,
    court_id BIGINT,
    person_id BIGINT,
    happened_at TIMESTAMP NOT NULL,
    learned_at TIMESTAMP NOT NULL,
    user_id BIGINT NOT NULL REFERENCES users (id),
    client_key TEXT NOT NULL,
    UNIQUE (site_id, id),
    UNIQUE (site_id, client_key),
    FOREIGN KEY (site_id, tool_id) REFERENCES tools (site_id, id),
    FOREIGN KEY (site_id, court_id) REFERENCES courts (site_id, id),
    FOREIGN KEY (site_id, person_id) REFERENCES people (site_id, id),
    CHECK ((tool_id IS NULL) <> (court_id IS NULL))
);
CREATE INDEX tool_checks_by_person_id ON tool_checks (site_id, person_id);

CREATE TABLE tool_check_readings (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    tool_check_id BIGINT NOT NULL,
    reading_id BIGINT NOT NULL,
    points TEXT NOT NULL,
    read_in TEXT NOT NULL,
    UNIQUE (site_id, id),
    UNIQUE (site_id, reading_id),
    FOREIGN KEY (site_id, tool_check_id) REFERENCES tool_checks (site_id, id),
    FOREIGN KEY (site_id, reading_id) REFERENCES readings (site_id, id),
    CHECK (read_in IN ('mm', 'in'))
);

-- What the eye says of parts that are not measured.
CREATE TABLE eye_checks (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    seq BIGINT NOT NULL,
    tool_check_id BIGINT NOT NULL,
    wear_part_id BIGINT NOT NULL,
    verdict TEXT NOT NULL,
    happened_at TIMESTAMP NOT NULL,
    UNIQUE (site_id, id),
    UNIQUE (site_id, seq),
    FOREIGN KEY (site_id, tool_check_id) REFERENCES tool_checks (site_id, id),
    FOREIGN KEY (site_id, wear_part_id) REFERENCES wear_parts (site_id, id),
    CHECK (verdict IN ('sound', 'worn', 'change_now'))
);
CREATE INDEX eye_checks_by_wear_part_id ON eye_checks (site_id, wear_part_id, happened_at);
CREATE TRIGGER eye_checks_no_update BEFORE UPDATE ON eye_checks
BEGIN
    SELECT RAISE(ABORT, 'eye_checks is append-only: reverse the row, do not change it');
END;
CREATE TRIGGER eye_checks_no_delete BEFORE DELETE ON eye_checks
BEGIN
    SELECT RAISE(ABORT, 'eye_checks is append-only: reverse the row, do not change it');
END;

-- The language in which a person is spoken to (BCP 47), and the site's own words for its things in such languages.
ALTER TABLE people ADD COLUMN language TEXT NOT NULL DEFAULT 'en-US';

CREATE TABLE site_words (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    language TEXT NOT NULL,
    subject_kind TEXT NOT NULL,
    subject TEXT NOT NULL,
    words TEXT NOT NULL,
    picture_id BIGINT,
    version BIGINT NOT NULL,
    UNIQUE (site_id, id),
    UNIQUE (site_id, language, subject_kind, subject),
    FOREIGN KEY (site_id, picture_id) REFERENCES pictures (site_id, id),
    CHECK (subject_kind IN ('tool_class', 'care_task', 'court', 'material', 'reason'))
);
