//! People, crews and shifts.
