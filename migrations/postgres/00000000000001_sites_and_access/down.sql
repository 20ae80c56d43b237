DROP TABLE idempotency_keys;
DROP TABLE audit_events;
DROP TABLE settings;
DROP TABLE sessions;
DROP TABLE memberships;
DROP TABLE users;
DROP TABLE site_head;
DROP TABLE sites;
