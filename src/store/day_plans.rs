//! Plan runs, day plans, rounds, waterings and what is not fitted.
