//! What a crew tells of an order, as it comes in.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::store::Instant;
use crate::store::holds::HoldReason;
use crate::store::orders::{Fit, Grade, NoteKind, UndoneReason};
use crate::store::treatments::AmountUnit;

/// A crew starts an order.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct StartOrder {
    /// When; now, where it is not told.
    pub happened_at: Option<Instant>,
}

/// A crew gives an order back done.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FinishOrder {
    /// When; now, where it is not told.
    pub happened_at: Option<Instant>,
    /// What the crew says of the court.
    pub fit: FitTold,
    /// Places of the steps that were done.
    pub steps_done: Vec<i64>,
    /// Who did it, at least one.
    pub people: Vec<TimeTold>,
    /// What was taken from the stores.
    #[serde(default)]
    pub materials: Vec<MaterialTold>,
    /// Which tools were used; the order's own, once each, where it is not told.
    pub tool_uses: Option<Vec<ToolUseTold>>,
    /// What was measured.
    #[serde(default)]
    pub readings: Vec<ReadingTold>,
    /// Chemicals that were put on; needed where a step that takes one was done.
    #[serde(default)]
    pub treatments: Vec<TreatmentTold>,
    /// Anything else, at most 2,000 characters.
    pub note: Option<String>,
}

/// A crew gives an order back not done. Work it took all the same is told like that of a finished
/// one, and costs.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LeaveUndone {
    /// When; now, where it is not told.
    pub happened_at: Option<Instant>,
    /// Why.
    pub reason: UndoneReason,
    /// The same in the crew's own words, at most 2,000 characters; needed with `other`.
    pub note: Option<String>,
    /// Places of the steps that were done all the same.
    #[serde(default)]
    pub steps_done: Vec<i64>,
    /// Who worked on it.
    #[serde(default)]
    pub people: Vec<TimeTold>,
    /// What was taken from the stores.
    #[serde(default)]
    pub materials: Vec<MaterialTold>,
    /// Which tools were used.
    #[serde(default)]
    pub tool_uses: Vec<ToolUseTold>,
    /// What was measured.
    #[serde(default)]
    pub readings: Vec<ReadingTold>,
    /// Chemicals that were put on; needed where a step that takes one was done.
    #[serde(default)]
    pub treatments: Vec<TreatmentTold>,
}

/// What the crew that closes a court says of it.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FitTold {
    /// Whether it is fit for play.
    pub is: Fit,
    /// Until when it is not; needed with `not_yet`.
    pub until: Option<Instant>,
    /// Why it is held, picked from the list; with `held` this or `reason` is needed.
    pub hold_reason: Option<HoldReason>,
    /// The same in the crew's own words, at most 500 characters; needed with `held` where the list has no word for it.
    pub reason: Option<String>,
}

/// A person's time on the order: either its minutes, which then end with the order, or from when
/// until when.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TimeTold {
    /// Who.
    pub person_id: i64,
    /// How long, minutes.
    #[schema(minimum = 1, maximum = 960)]
    pub minutes: Option<i64>,
    /// From when.
    pub started_at: Option<Instant>,
    /// Until when.
    pub ended_at: Option<Instant>,
}

/// Material taken from the stores.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MaterialTold {
    /// The material.
    pub material_id: i64,
    /// How much, in its unit.
    #[schema(minimum = 1, maximum = 1_000_000_000)]
    pub quantity: i64,
}

/// Uses of a tool.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ToolUseTold {
    /// The tool.
    pub tool_id: i64,
    /// How often.
    #[schema(minimum = 0, maximum = 100)]
    pub uses: i64,
}

/// A measured length.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ReadingTold {
    /// The part.
    pub wear_part_id: i64,
    /// Its length, µm.
    #[schema(minimum = 0)]
    pub length_um: i64,
}

/// A chemical that was put on, as its label and the day say.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TreatmentTold {
    /// Who put it on: one of the people of the order.
    pub person_id: i64,
    /// The product, 1 to 120 characters.
    pub product: String,
    /// Its lot, 1 to 120 characters.
    pub lot: String,
    /// How much.
    #[schema(minimum = 1, maximum = 1_000_000_000)]
    pub amount: i64,
    /// What the amount is counted in.
    pub unit: AmountUnit,
    /// Where on the court, 1 to 200 characters.
    pub place: String,
    /// The wind, mm/s.
    #[schema(minimum = 0, maximum = 120_000)]
    pub wind_mmps: i64,
}

/// An order is handed to a crew.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct IssueOrder {
    /// The crew: it is on shift on the order's date.
    pub crew_id: i64,
    /// When; now, where it is not told.
    pub happened_at: Option<Instant>,
}

/// An order is taken out of the day.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WithdrawOrder {
    /// When; now, where it is not told.
    pub happened_at: Option<Instant>,
}

/// An open order is handed over to another crew.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct HandOver {
    /// The crew that gets it: it is on shift on the order's date.
    pub crew_id: i64,
    /// When; now, where it is not told.
    pub happened_at: Option<Instant>,
}

/// What closed an order is taken back.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TakeBack {
    /// When; now, where it is not told.
    pub happened_at: Option<Instant>,
    /// Why, at most 2,000 characters.
    pub note: Option<String>,
}

/// Finished work was looked over.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RecheckTold {
    /// How good it was found.
    pub grade: Grade,
    /// What is said of it, at most 2,000 characters.
    pub note: Option<String>,
    /// When; now, where it is not told.
    pub happened_at: Option<Instant>,
}

/// Something is noted on an order.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = OrderNoteTold)]
pub struct NoteTold {
    /// What is said, at most 2,000 characters; may be empty where the kind says it.
    pub text: String,
    /// What it is; `note` where it is not told. Any other waits for the manager.
    pub kind: Option<NoteKind>,
    /// All that was told with it, at most 64 KiB.
    #[schema(value_type = Option<Object>)]
    pub data: Option<serde_json::Map<String, serde_json::Value>>,
    /// Whom it is about, or who says it.
    pub person_id: Option<i64>,
    /// When; now, where it is not told.
    pub happened_at: Option<Instant>,
}
