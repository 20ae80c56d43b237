DROP TABLE pictures;
DROP TABLE file_contents;
DELETE FROM files;
