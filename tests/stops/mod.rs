//! What keeps people in and courts shut: lightning, heat, holds.

mod heat;
mod holds;
mod lightning;
mod pages;
mod proposed;
