//! What is to be done to a court, how often, on what ground, with what caution, and in which order.

mod cadence;
mod ground;
mod loosening;
mod tasks;
mod turnaround;

pub use cadence::{Cadence, Due, NotACadence, due, next_due};
pub use ground::{Ground, GroundNeed, Moisture, MoistureNeed, Obstacle, forbidden, play_forbidden};
pub use loosening::{CourtToday, NoLoosening, loosening};
pub use tasks::{CareTask, Caution, Sharing, Source, TaskFacts, facts, service_s};
pub use turnaround::{Turnaround, TurnaroundKind, TurnaroundStep, steps, turnaround};
