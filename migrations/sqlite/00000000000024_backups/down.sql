DROP TABLE backups;
