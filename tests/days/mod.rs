//! The day: planned, taken, read, issued.

mod after_planning;
mod ahead;
mod as_it_comes;
mod beside_the_plan;
mod by_hand;
pub mod care;
mod grooming;
mod heat;
mod labels;
mod last_done;
mod leaves;
mod planned;
mod rain;
mod replan;
mod replan_pages;
pub mod resort;
mod runs;
mod skills;
mod week;
pub mod yard;
