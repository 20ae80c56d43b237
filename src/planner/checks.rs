//! Checks of the planner as a whole: small days whose right plan is known by hand, and random days.

mod advice;
mod bound;
mod builder;
mod properties;
mod reasons;
mod rest;
mod rest_properties;
mod statements;
