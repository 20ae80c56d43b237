//! The day problem, built from the database.
