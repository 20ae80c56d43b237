DROP TABLE calendar_changes;
DROP TABLE calendar_events;
DROP TABLE calendars;
