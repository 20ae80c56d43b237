//! Hours entries and pay rates.
