DROP TABLE inspections;
DROP TABLE weather_readings;
