-- Who acts is a person who signs in, a crew's tablet, or a key for pulls: all are users, so that whoever did something has
-- one kind of id everywhere.
ALTER TABLE users ADD COLUMN kind TEXT NOT NULL DEFAULT 'person' CHECK (kind IN ('person', 'device', 'key'));

ALTER TABLE sites ADD COLUMN second_factor_required BOOLEAN NOT NULL DEFAULT FALSE;

-- Secrets that are good once: mailed, shown on the console, or read off a screen. Only digests are kept; a mailed one is
-- made again under the token key when the mail goes out.
CREATE TABLE single_use_secrets (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    user_id BIGINT REFERENCES users (id),
    kind TEXT NOT NULL,
    digest BLOB NOT NULL,
    created_at TIMESTAMP NOT NULL,
    expires_at TIMESTAMP NOT NULL,
    used_at TIMESTAMP,
    UNIQUE (digest),
    CHECK (kind IN ('invitation', 'new_password', 'first_owner', 'device_code')),
    CHECK ((user_id IS NULL) = (kind = 'first_owner'))
);
CREATE INDEX single_use_secrets_by_user_id ON single_use_secrets (user_id);
CREATE INDEX single_use_secrets_by_expires_at ON single_use_secrets (expires_at);

CREATE TABLE second_factors (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    user_id BIGINT NOT NULL REFERENCES users (id),
    sealed BLOB NOT NULL,
    sealed_under TEXT NOT NULL,
    confirmed_at TIMESTAMP,
    last_step BIGINT NOT NULL,
    created_at TIMESTAMP NOT NULL,
    UNIQUE (user_id)
);

CREATE TABLE recovery_codes (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    user_id BIGINT NOT NULL REFERENCES users (id),
    hash TEXT NOT NULL,
    used_at TIMESTAMP,
    UNIQUE (user_id, hash)
);

CREATE TABLE devices (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    user_id BIGINT NOT NULL REFERENCES users (id),
    name TEXT NOT NULL,
    made_by BIGINT NOT NULL REFERENCES users (id),
    created_at TIMESTAMP NOT NULL,
    paired_at TIMESTAMP,
    last_used_at TIMESTAMP,
    revoked_at TIMESTAMP,
    UNIQUE (site_id, id),
    UNIQUE (site_id, user_id)
);

CREATE TABLE api_keys (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    user_id BIGINT NOT NULL REFERENCES users (id),
    name TEXT NOT NULL,
    digest BLOB NOT NULL,
    hint TEXT NOT NULL,
    sees_cost BOOLEAN NOT NULL,
    sees_reports BOOLEAN NOT NULL,
    made_by BIGINT NOT NULL REFERENCES users (id),
    created_at TIMESTAMP NOT NULL,
    expires_at TIMESTAMP NOT NULL,
    last_used_at TIMESTAMP,
    UNIQUE (user_id),
    UNIQUE (digest)
);
CREATE INDEX api_keys_by_made_by ON api_keys (made_by);

CREATE TABLE api_key_sites (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    api_key_id BIGINT NOT NULL REFERENCES api_keys (id),
    UNIQUE (site_id, id),
    UNIQUE (site_id, api_key_id)
);
CREATE INDEX api_key_sites_by_api_key_id ON api_key_sites (api_key_id);

-- The form of an event's hash: 2 also holds from where it came, as a digest of a text that can be erased. Events of the
-- first form still prove.
ALTER TABLE audit_events ADD COLUMN form BIGINT NOT NULL DEFAULT 1 CHECK (form IN (1, 2));
ALTER TABLE audit_events ADD COLUMN from_digest BLOB;

-- Personal text of audit events: the event holds a digest over salt and text. Once a row is erased nobody can guess what
-- it was, and the chain still proves.
CREATE TABLE audit_words (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
    site_id BIGINT NOT NULL REFERENCES sites (id),
    audit_event_id BIGINT NOT NULL,
    field TEXT NOT NULL,
    salt BLOB NOT NULL,
    words TEXT NOT NULL,
    UNIQUE (site_id, id),
    UNIQUE (site_id, audit_event_id, field),
    FOREIGN KEY (site_id, audit_event_id) REFERENCES audit_events (site_id, id)
);
CREATE TRIGGER audit_words_no_update BEFORE UPDATE ON audit_words
BEGIN
    SELECT RAISE(ABORT, 'audit_words is append-only: erase the row, do not change it');
END;
