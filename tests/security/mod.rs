//! What keeps the service safe from outside, and what lets its keepers see how it is: how it is reached, what it bears, what
//! it says of itself.

mod contract;
mod health;
mod hold;
mod limits;
mod log;
mod metrics;
mod process;
mod raw;
mod shutdown;
mod transport;
