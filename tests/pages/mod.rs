//! The office's pages, as a visitor and a browser meet them.

pub mod browser;
mod care;
mod courts;
mod faults;
mod in_a_browser;
mod orders;
mod planning;
mod rounds;
mod sign_in;
mod told;
pub mod visitor;
mod weather;
