//! Day problem in, day plan out: no I/O, no clock.
