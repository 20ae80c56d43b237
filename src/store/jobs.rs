//! The jobs table: what is to be done by itself, once.
