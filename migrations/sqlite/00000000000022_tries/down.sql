DROP TABLE sign_in_tries;
