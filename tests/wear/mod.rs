//! How tools wear: use, readings, forecasts; and the commands `wear` and `life` from outside.

mod changed;
mod cli;
mod forecast;
mod outlook;
mod pages;
mod used;
