//! The figures of a week report, shaped for whoever reads them: the API's clients, the mail.

use chrono::NaiveDate;
use serde::Serialize;
use utoipa::ToSchema;

use crate::desk::cost::KindCost;
use crate::desk::wear::{WearDay, WearWhole};
use crate::store::Instant;
use crate::store::holds::HoldReason;
use crate::store::hours::HoursKind;
use crate::store::orders::{Fit, UndoneReason};
use crate::store::sites::Units;
use crate::store::stores::MaterialUnit;
use crate::words::chart::Drawing;

/// The week of one site, in figures. The same rows give the same figures.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct WeekReport {
    /// The site.
    pub site_id: i64,
    /// Its name.
    pub site: String,
    /// Its zone.
    pub zone: String,
    /// How it shows quantities.
    pub units: Units,
    /// ISO 4217 code of its money.
    pub currency: String,
    /// The ISO week.
    #[schema(example = "2031-W24")]
    pub iso_week: String,
    /// Its Monday.
    pub from: NaiveDate,
    /// Its Sunday.
    pub to: NaiveDate,
    /// What is told as it stands at a time stands so then: the end of the week, or the time of
    /// asking where the week still runs.
    pub as_of: Instant,
    /// Whether the week is over.
    pub complete: bool,
    /// How many courts the site has.
    pub courts: i64,
    /// The work between play sessions.
    pub turnarounds: Turnarounds,
    /// The care beside it.
    pub care: Care,
    /// Paid time.
    pub hours: Hours,
    /// Cost.
    pub cost: WeekCost,
    /// Materials that were used, or are low.
    pub materials: Vec<Material>,
    /// The measured brushes of tools, the most worn first.
    pub brushes: Vec<Brush>,
    /// The parts that give out next, at most five, the most urgent first: by all that is known at the time of asking, and told
    /// of the newest week alone.
    pub gives_out_next: Vec<GivesOutNext>,
    /// Courts that were not fit for play when last closed.
    pub not_fit: Vec<NotFit>,
}

/// The turnarounds that fell due in the week.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, ToSchema)]
pub struct Turnarounds {
    /// How many fell due: those of the day plans, fitted or not, and those after play on days
    /// without a plan.
    pub due: i64,
    /// Given back done.
    pub finished: i64,
    /// Of those, the short ones.
    pub finished_short: i64,
    /// Of those, done by the time they were due: the court was ready in time.
    pub in_time: i64,
    /// Given back not done.
    pub left_undone: i64,
    /// Handed out or planned, and never given back.
    pub not_given_back: i64,
    /// Not fitted into the day's plan.
    pub not_fitted: i64,
    /// After play on a day without a plan.
    pub not_planned: i64,
    /// Not due yet where the week still runs.
    pub to_come: i64,
    /// Every one that was not ready in time, in order of time, then of the courts.
    pub misses: Vec<Miss>,
}

/// What became of a turnaround that was not ready in time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum MissKind {
    /// Done after it was due.
    Late,
    /// Given back not done.
    LeftUndone,
    /// Never given back.
    NotGivenBack,
    /// Not fitted into the day's plan.
    NotFitted,
    /// After play on a day without a plan.
    NotPlanned,
}

/// A turnaround that was not ready in time.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct Miss {
    /// Name of the court.
    pub place: String,
    /// What became of it.
    pub kind: MissKind,
    /// By when it was due; after play on a day without a plan, when that play ended.
    pub due_at: Instant,
    /// How long after that it was done, s; null where it was not done.
    pub late_s: Option<i64>,
    /// Why the crew left it undone.
    pub undone_reason: Option<UndoneReason>,
    /// Why it was not fitted: a reason of the day plan.
    pub unfitted_reason: Option<String>,
    /// What the crew adds in its own words.
    pub note: Option<String>,
}

/// The care beside turnarounds that fell due in the week.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, ToSchema)]
pub struct Care {
    /// How much of it: orders and what was not fitted.
    pub due: i64,
    /// Given back done.
    pub finished: i64,
    /// Given back not done.
    pub left_undone: i64,
    /// Not fitted into the day's plan.
    pub not_fitted: i64,
}

/// Paid time of the week.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, ToSchema)]
pub struct Hours {
    /// All of it, s.
    pub paid_s: i64,
    /// By what it went into; a kind without any is not there.
    pub kinds: Vec<KindHours>,
}

/// Paid time of one kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct KindHours {
    /// What it went into.
    pub kind: HoursKind,
    /// How much, s.
    pub paid_s: i64,
}

/// What the courts cost in the week.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct WeekCost {
    /// All courts together, cents.
    pub cents: i64,
    /// The mean of the four weeks before, cents; of those among them that have any cost. Null where
    /// none has.
    pub usual_cents: Option<i64>,
    /// How many weeks that is the mean of, 0 to 4.
    pub weeks_compared: i64,
    /// All courts together, by kind.
    pub kinds: Vec<KindCost>,
    /// Every court, in order.
    pub courts: Vec<CourtWeek>,
}

/// What one court cost in the week.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct CourtWeek {
    /// The court.
    pub court_id: i64,
    /// Its name.
    pub court: String,
    /// All kinds together, cents.
    pub cents: i64,
    /// Its mean over the same weeks, cents.
    pub usual_cents: Option<i64>,
    /// By kind; a kind without a line is not there.
    pub kinds: Vec<KindCost>,
}

/// A material that was used, or is low.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
#[schema(as = MaterialInReport)]
pub struct Material {
    /// The material.
    pub material_id: i64,
    /// Its name.
    pub name: String,
    /// What it is counted in.
    pub unit: MaterialUnit,
    /// What it is handed out in.
    pub pack_name: String,
    /// How much one of those holds, in its unit.
    pub pack_quantity: i64,
    /// Used in the week, in its unit.
    pub used: i64,
    /// What that was worth, cents.
    pub used_cents: i64,
    /// On hand at the end by the books, in its unit.
    pub on_hand: i64,
    /// For how many days that lasts at the pace of the last four weeks; null where none was used.
    pub lasts_days: Option<i64>,
    /// Whether it lasts less than two weeks, or there is none.
    pub low: bool,
}

/// Where a brush stands against its wear limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Wear {
    /// At its limit or past it: change it now.
    WornOut,
    /// Less than a fifth of what may wear off is left.
    Near,
    /// Well above its limit.
    Sound,
    /// Never measured.
    NotMeasured,
}

/// A measured brush of a tool.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct Brush {
    /// Number of its tool.
    pub tool: String,
    /// Name of the tool's class.
    pub class: String,
    /// Where it stands.
    pub wear: Wear,
    /// Its newest reading, µm.
    pub length_um: Option<i64>,
    /// When that was measured.
    pub measured_on: Option<NaiveDate>,
    /// Its length when new, µm.
    pub start_um: Option<i64>,
    /// The length at which it is worn out, µm.
    pub limit_um: i64,
}

/// A measured part that is worn out, or has a day on which it may be.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct GivesOutNext {
    /// The part.
    pub wear_part_id: i64,
    /// Number of its tool.
    pub tool: String,
    /// Name of the tool's class.
    pub class: String,
    /// How long it is likely to be now, µm.
    pub length_um: i64,
    /// The length at which it is worn out, µm.
    pub worn_out_at_um: i64,
    /// It was last measured at its limit or below.
    pub is_worn_out: bool,
    /// How far it is pulled a day of late, m.
    pub used_a_day_m: i64,
    /// The day on which it is worn out, by the use of the last four weeks.
    pub worn_out_on: WearDay,
    /// Its length against its use, to be drawn.
    #[serde(skip)]
    pub drawing: Drawing,
}

impl From<WearWhole> for GivesOutNext {
    fn from(part: WearWhole) -> Self {
        let drawing = part.drawing();
        let wear = part.wear;
        Self {
            wear_part_id: wear.part.id,
            tool: wear.tool,
            class: wear.class,
            length_um: wear.length_um,
            worn_out_at_um: wear.worn_out_at_um,
            is_worn_out: wear.is_worn_out,
            used_a_day_m: wear.used_a_day_m,
            worn_out_on: wear.worn_out_on,
            drawing,
        }
    }
}

/// A court that was not fit for play when last closed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct NotFit {
    /// Name of the court.
    pub court: String,
    /// What the crew said: not yet, or held.
    pub fit: Fit,
    /// When it said so.
    pub since: Instant,
    /// Until when the court is not fit yet.
    pub until: Option<Instant>,
    /// Why it is held, as it was picked.
    pub hold_reason: Option<HoldReason>,
    /// The same in the crew's own words.
    pub reason: Option<String>,
}
