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
