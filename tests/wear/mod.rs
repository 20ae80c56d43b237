//! The commands `wear` and `life` from outside: files in, one JSON object out.

mod cli;
