DROP TABLE audit_touches;
