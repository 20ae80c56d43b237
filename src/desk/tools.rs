//! Tools, wear parts and readings.
