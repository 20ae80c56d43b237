//! What is to be done to a court, how often, on what ground, with what caution, and in which order.

mod cadence;
mod defects;
mod ground;
mod leaves;
mod loosening;
mod rule;
mod season;
mod tasks;
mod turnaround;
mod urgency;

pub use cadence::{Cadence, Due, NotACadence, due, next_due};
pub use defects::{DefectKind, mended_by};
pub use ground::{Ground, GroundNeed, Moisture, MoistureNeed, Obstacle, forbidden, play_forbidden};
pub use leaves::{leaves_first, leaves_lie, leaves_off_s};
pub use loosening::{CourtToday, NoLoosening, loosening};
pub use rule::{Record, Rule, due_on, interval_days, next_on, spread};
pub use season::{MonthDay, NotAMonthDay, Season};
pub use tasks::{CareTask, Caution, Sharing, Source, TaskFacts, facts, service_s};
pub use turnaround::{Turnaround, TurnaroundKind, TurnaroundStep, steps, turnaround};
pub use urgency::{Leaving, Urgency, leaving_cents};
