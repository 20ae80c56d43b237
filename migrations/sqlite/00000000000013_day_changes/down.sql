DROP TABLE day_replans;
DROP TABLE day_news;
DROP TABLE day_changes;
