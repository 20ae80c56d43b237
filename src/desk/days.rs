//! The day: its rounds, and handing them out.

use chrono::NaiveDate;
use serde::Serialize;
use utoipa::ToSchema;

use super::orders::OrderView;
use crate::store::Instant;

/// A site's day as it is planned.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct DayView {
    /// The site's own date.
    pub date: NaiveDate,
    /// The plan in force; null where the day is not planned yet.
    pub plan: Option<PlanView>,
    /// The rounds, by crew.
    pub rounds: Vec<RoundView>,
    /// The waterings, in order of time.
    pub waterings: Vec<WateringView>,
    /// What could not be fitted, and why.
    pub unfitted: Vec<UnfittedView>,
}

/// The plan in force.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct PlanView {
    /// Id.
    pub id: i64,
    /// `planned` or `issued`.
    pub state: String,
    /// What it costs, cents.
    pub cost_cents: i64,
    /// No plan of this day can cost less, cents.
    pub lower_bound_cents: i64,
    /// When its orders were handed out.
    pub issued_at: Option<Instant>,
    /// Version.
    pub version: i64,
}

/// A crew's visits of the day, in order.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct RoundView {
    /// Id.
    pub id: i64,
    /// The crew.
    pub crew_id: i64,
    /// Its name.
    pub crew: String,
    /// Who is in it that day.
    pub people: Vec<String>,
    /// When it leaves the shed.
    pub leaves_at: Instant,
    /// When it is back.
    pub returns_at: Instant,
    /// Codes of the tool classes it takes along.
    pub kit: Vec<String>,
    /// Its orders.
    pub orders: Vec<OrderView>,
}

/// A planned run of water on a court.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct WateringView {
    /// The court.
    pub court_id: i64,
    /// Its name.
    pub court: String,
    /// `soak` after a turnaround, or `night_cycle`.
    pub kind: String,
    /// From when.
    pub starts_at: Instant,
    /// Until when.
    pub ends_at: Instant,
    /// How much, ml.
    pub volume_ml: i64,
}

/// Work that could not be fitted into the day.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct UnfittedView {
    /// Name of the court or bank.
    pub place: String,
    /// What was to be done.
    pub title: String,
    /// Why it does not fit: a reason of the day plan.
    pub reason: String,
    /// From when it could have been done.
    pub opens_at: Instant,
    /// Until when.
    pub closes_at: Instant,
}
