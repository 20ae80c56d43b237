//! The day: planned, taken, read, issued.

mod ahead;
<<<<<<< HEAD
mod by_hand;
=======
mod as_it_comes;
>>>>>>> main
mod care;
mod grooming;
mod heat;
mod planned;
mod replan;
mod replan_pages;
mod resort;
mod runs;
pub mod yard;
