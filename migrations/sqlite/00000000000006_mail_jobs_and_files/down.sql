DROP TABLE files;
DROP TABLE jobs;
DROP TABLE week_reports;
DROP TABLE report_subscribers;
