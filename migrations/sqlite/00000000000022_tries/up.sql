-- Tries to sign in that failed, by account and by address: only digests, so that nothing is told of who tried.
CREATE TABLE sign_in_tries (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    kind TEXT NOT NULL,
    digest BLOB NOT NULL,
    tries BIGINT NOT NULL,
    first_at TIMESTAMP NOT NULL,
    blocked_until TIMESTAMP,
    UNIQUE (kind, digest),
    CHECK (kind IN ('account', 'address')),
    CHECK (tries >= 0)
);
CREATE INDEX sign_in_tries_by_first_at ON sign_in_tries (first_at);
