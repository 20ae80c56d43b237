//! What courts cost.
