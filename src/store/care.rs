//! Care tasks.
