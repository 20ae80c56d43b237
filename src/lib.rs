//! Roundhand.
