DROP TABLE tablet_answers;
DROP TABLE tablet_events;
