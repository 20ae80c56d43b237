//! What courts cost, to the cent, and that it can be opened, tied and proved.

mod kept;
mod lines;
mod running;
mod seen;
mod stores;
