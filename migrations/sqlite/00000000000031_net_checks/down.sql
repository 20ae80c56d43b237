DROP TABLE net_checks;
