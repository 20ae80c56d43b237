//! What a groundskeeper knows, as pure functions: no I/O, no clock, no database types.
