//! Work orders: started, finished, left undone; who may, when, and what is refused.

mod closing;
mod refused;
mod seen;
mod together;
mod treatments;
