//! The week report.
