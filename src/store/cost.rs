//! Cost lines and running totals.
