//! Work orders: started, finished, left undone; who may, when, and what is refused.

mod closing;
mod life;
mod refused;
mod seen;
mod taken_back;
mod together;
mod treatments;
