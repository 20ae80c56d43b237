//! The day problem: one site, one day, as the planner sees it (`day-problem/1`).
//!
//! Times are whole seconds since the first instant of the plan's local date, durations whole seconds,
//! money whole cents, mass grams, flow millilitres per second. An optional field is `None`, written by
//! leaving it out; read, `null` is the same as absent.
//!
//! A [`Problem`] may say anything; [`Problem::checked`] is the one door to a [`Checked`] problem, which is
//! what [`plan`](crate::plan) takes.

use std::mem;

use serde::{Deserialize, Deserializer, Serialize};
use serde_json::Value;

use crate::contradictions;
use crate::fault::Fault;
use crate::form;
use crate::reading::{Raw, Travel};

/// The value of a problem's `format` field.
pub const FORMAT: &str = "day-problem/1";

/// A stretch of time `[from, to]` in seconds, written as a list of two.
pub type Span = [i64; 2];

/// One site's day.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Problem {
    /// Always [`FORMAT`].
    pub format: String,
    /// ISO date, for people; the planner does not read it.
    #[serde(
        default,
        deserialize_with = "text",
        skip_serializing_if = "Option::is_none"
    )]
    pub date: Option<String>,
    /// Free text, for people; the planner does not read it.
    #[serde(
        default,
        deserialize_with = "text",
        skip_serializing_if = "Option::is_none"
    )]
    pub note: Option<String>,
    /// Seconds from place `i` (row) to place `j`; square, zero diagonal, not necessarily symmetric.
    pub travel_s: Vec<Vec<i64>>,
    /// Places where several crews may work at once.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub open_places: Option<Vec<i64>>,
    /// How many tools of each class exist.
    pub tools: Vec<ToolClass>,
    /// The supply lines.
    pub water: Vec<WaterGroup>,
    /// The crews on duty.
    pub crews: Vec<Crew>,
    /// The work.
    pub visits: Vec<Visit>,
}

/// How many tools of a class there are.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ToolClass {
    /// The class's name.
    pub class: String,
    /// Tools of it.
    pub count: i64,
}

/// A supply line.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct WaterGroup {
    /// The line's name.
    pub group: String,
    /// Flow it carries at once, ml/s.
    pub capacity_mlps: i64,
    /// Flow already given away.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub taken: Option<Vec<Taken>>,
}

/// Flow given away in `[from, to)`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Taken {
    /// First second of it.
    pub from: i64,
    /// First second after it.
    pub to: i64,
    /// The flow, ml/s.
    pub flow_mlps: i64,
}

/// A crew on duty.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Crew {
    /// Unique among the crews.
    pub id: String,
    /// People in it, at least one.
    pub hands: i64,
    /// What it can do.
    pub skills: Vec<String>,
    /// Where its round starts.
    pub start_place: i64,
    /// Where its round ends.
    pub end_place: i64,
    /// Its paid hours.
    pub shift: Span,
    /// When it has to be back at the latest; the shift's end where there is no overtime.
    pub overtime_until: i64,
    /// The whole crew's cost, cents an hour.
    pub cost_per_h: i64,
    /// 150 is time and a half.
    pub overtime_pct: i64,
    /// Tool classes it can take along.
    pub kit_limit: i64,
    /// Load it can take along, grams.
    pub load_limit_g: i64,
    /// Its breaks, in the order in which they are taken.
    pub breaks: Vec<Break>,
    /// Its fair share of the day's work, seconds; together with `over_load_cost_per_h`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fair_load_s: Option<i64>,
    /// Cents an hour for work above the fair share.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub over_load_cost_per_h: Option<i64>,
    /// The classes it already holds; `None`: the planner chooses.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kit: Option<Vec<String>>,
    /// When its tools are with it; `None`: during the shift.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kit_hours: Option<Span>,
}

/// A break, taken whole.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Break {
    /// Its length.
    pub length_s: i64,
    /// When it may start.
    pub start_window: Span,
}

/// A piece of work at one place.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Visit {
    /// Unique among the visits.
    pub id: String,
    /// Where.
    pub place: i64,
    /// When it may start at the earliest and must have ended.
    pub window: Span,
    /// When it should have ended.
    pub aim_end: i64,
    /// Cents an hour for ending after `aim_end`.
    pub late_cost_per_h: i64,
    /// Cents for leaving it out.
    pub skip_cost: i64,
    /// Load to be taken along for it, grams.
    pub load_g: i64,
    /// The ways of doing it, at least one.
    pub ways: Vec<Way>,
    /// Visits that must have ended before this one starts.
    pub after: Vec<String>,
    /// The crew that should do it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub prefer: Option<Prefer>,
    /// The crew that must do it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pinned: Option<Pin>,
    /// The watering that follows it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub water: Option<Watering>,
}

/// One way of doing a visit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Way {
    /// Classes needed together.
    pub tools: Vec<String>,
    /// Skills needed.
    pub skills: Vec<String>,
    /// People needed, at least one.
    pub min_hands: i64,
    /// Entry `h - 1` is the duration for `h` hands; a bigger crew uses the last.
    pub service_s: Vec<i64>,
    /// Cents for choosing this way.
    pub extra_cost: i64,
    /// In place of the visit's window.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub window: Option<Span>,
    /// In place of the visit's `aim_end`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub aim_end: Option<i64>,
}

/// The crew that should do a visit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Prefer {
    /// Its id.
    pub crew: String,
    /// Cents where another does it.
    pub change_cost: i64,
}

/// The crew that must do a visit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Pin {
    /// Its id.
    pub crew: String,
    /// When it must start.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub start_s: Option<i64>,
}

/// The watering that follows a visit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Watering {
    /// The supply line it hangs on.
    pub group: String,
    /// Its flow, ml/s.
    pub flow_mlps: i64,
    /// Its length, unbroken.
    pub run_s: i64,
    /// When it must have ended; the place is kept free from its start until then.
    pub ready_by: i64,
}

/// A problem whose form has been proved: what the planner takes.
#[derive(Clone, Debug, PartialEq)]
pub struct Checked(Problem);

impl Problem {
    /// Proves the problem's form, the same way for a problem read from a file and for one built in code.
    pub fn checked(mut self) -> Result<Checked, Vec<Fault>> {
        let travel = Travel {
            rows: mem::take(&mut self.travel_s),
            strange: Vec::new(),
        };
        let fields = match serde_json::to_value(&self) {
            Ok(Value::Object(fields)) => fields,
            Ok(_) => unreachable!("a struct is written as an object"),
            Err(e) => return Err(vec![Fault::at_root(format!("cannot be written down: {e}"))]),
        };
        let faults = form::faults(&fields, &travel);
        self.travel_s = travel.rows;
        if faults.is_empty() {
            Checked::of(self)
        } else {
            Err(faults)
        }
    }
}

impl Checked {
    /// Reads a problem from JSON text; every fault is named. Text that is no JSON is one fault at the root.
    pub fn from_json(text: &str) -> Result<Self, Vec<Fault>> {
        let raw = Raw::from_json(text).map_err(|fault| vec![fault])?;
        let faults = form::faults(&raw.fields, &raw.travel);
        if !faults.is_empty() {
            return Err(faults);
        }
        let (fields, travel_s) = raw.into_parts();
        let problem: Problem =
            serde_json::from_value(fields).map_err(|e| vec![Fault::at_root(e.to_string())])?;
        Self::of(Problem {
            travel_s,
            ..problem
        })
    }

    /// A problem of sound form, unless it contradicts itself.
    fn of(problem: Problem) -> Result<Self, Vec<Fault>> {
        let faults = contradictions::faults(&problem);
        if faults.is_empty() {
            Ok(Self(problem))
        } else {
            Err(faults)
        }
    }

    /// The problem itself.
    pub fn problem(&self) -> &Problem {
        &self.0
    }
}

/// A text, or nothing where something else stands: nobody reads these fields.
fn text<'de, D: Deserializer<'de>>(from: D) -> Result<Option<String>, D::Error> {
    Ok(match Value::deserialize(from)? {
        Value::String(s) => Some(s),
        _ => None,
    })
}

impl Visit {
    /// When the work may be done in this way.
    pub(crate) fn window_of(&self, way: &Way) -> Span {
        way.window.unwrap_or(self.window)
    }

    /// When the work in this way should have ended.
    pub(crate) fn aim_of(&self, way: &Way) -> i64 {
        way.aim_end.unwrap_or(self.aim_end)
    }
}

impl Way {
    /// How long a crew of so many hands takes.
    pub(crate) fn service(&self, hands: i64) -> i64 {
        let last = self.service_s.len().saturating_sub(1);
        let at = usize::try_from(hands - 1).unwrap_or(0).min(last);
        self.service_s.get(at).copied().unwrap_or(0)
    }

    /// The distinct classes it needs.
    pub(crate) fn classes(&self) -> Vec<&str> {
        let mut all: Vec<&str> = self.tools.iter().map(String::as_str).collect();
        all.sort_unstable();
        all.dedup();
        all
    }
}

impl Crew {
    /// When its kit is counted.
    pub(crate) fn kit_span(&self) -> Span {
        self.kit_hours.unwrap_or(self.shift)
    }

    /// The way's classes go into one kit of the crew, or are all in the one it holds.
    pub(crate) fn has_room_for(&self, way: &Way) -> bool {
        let classes = way.classes();
        match &self.kit {
            None => i64::try_from(classes.len()).is_ok_and(|n| n <= self.kit_limit),
            Some(kit) => classes.iter().all(|c| kit.iter().any(|k| k == c)),
        }
    }

    /// It has every skill of the way.
    pub(crate) fn skilled(&self, way: &Way) -> bool {
        way.skills.iter().all(|s| self.skills.contains(s))
    }
}
