-- Copies of the whole installation, taken or tried. `heads` are the ends of every site's audit chain as the copy holds
-- them, as JSON.
CREATE TABLE backups (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    why TEXT NOT NULL,
    began_at TIMESTAMP NOT NULL,
    ended_at TIMESTAMP NOT NULL,
    file TEXT,
    bytes BIGINT,
    sha256 TEXT,
    heads TEXT NOT NULL,
    proved_at TIMESTAMP,
    unproved_why TEXT,
    failed_why TEXT,
    removed_at TIMESTAMP,
    CHECK (why IN ('nightly', 'before_migration', 'asked')),
    CHECK ((file IS NULL) = (failed_why IS NOT NULL)),
    CHECK (bytes IS NULL OR bytes > 0)
);
CREATE INDEX backups_by_began_at ON backups (began_at);
