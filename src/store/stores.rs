//! Materials and stock moves.
