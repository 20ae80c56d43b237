//! Subscribers and week reports.
