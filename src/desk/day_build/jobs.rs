//! A piece of work twice: as the visit the planner sees, and as the order it becomes.

use planner::problem::{Span, Visit, Watering, Way};
use serde::Serialize;

use trade::care::{Due, Urgency};

use crate::desk::place::Place;
use crate::store::care::CareTaskRow;
use crate::store::orders::{Direction, OrderKind};

/// A step of a way.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct JobStep {
    /// The care task.
    pub care_task_id: i64,
    /// How long it is expected to take; entry h - 1 is for h hands, s.
    pub service_s: Vec<i64>,
    /// The same by the standard, before what crews really took.
    pub standard_s: Vec<i64>,
}

impl JobStep {
    /// How long a crew of so many hands takes, s.
    pub fn seconds(&self, hands: i64) -> i64 {
        of_hands(&self.service_s, hands)
    }

    /// The same by the standard, s.
    pub fn standard(&self, hands: i64) -> i64 {
        of_hands(&self.standard_s, hands)
    }
}

fn of_hands(service_s: &[i64], hands: i64) -> i64 {
    let last = service_s.len().saturating_sub(1);
    let at = usize::try_from(hands - 1).unwrap_or(0).min(last);
    service_s.get(at).copied().unwrap_or(0)
}

/// What a way of doing a job becomes as an order.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct JobWay {
    /// What the order is for.
    pub kind: OrderKind,
    /// Which way the court is groomed, where it is.
    pub direction: Option<Direction>,
    /// Code of the class it is groomed with, where it is.
    pub groom_class: Option<String>,
    /// Its steps, in order.
    pub steps: Vec<JobStep>,
}

/// How pressing a piece of work is: what leaving it out costs follows from it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Pressing {
    /// In words.
    pub urgency: Urgency,
    /// Somebody may be hurt where it is left out.
    pub safety: bool,
    /// Days since it fell due.
    pub late_days: i64,
}

impl Pressing {
    /// Work that fell due today.
    pub const fn new(urgency: Urgency) -> Self {
        Self {
            urgency,
            safety: false,
            late_days: 0,
        }
    }

    /// A task of the care standard, as it is due.
    pub fn of(row: &CareTaskRow, due: Due) -> Self {
        Self {
            urgency: row.urgency.0,
            safety: row.safety,
            late_days: match due {
                Due::NotDue | Due::Due => 0,
                Due::Overdue { days } => days,
            },
        }
    }

    /// Whether a court is held where the work is left out.
    pub const fn holds(&self) -> bool {
        self.safety || matches!(self.urgency, Urgency::BeforePlay)
    }
}

/// A piece of work with its ways, each as the planner sees it and as an order.
#[derive(Clone, Debug)]
pub struct Job {
    /// The visit's name.
    pub key: String,
    /// Where it is done.
    pub at: Place,
    /// What it is, as people say it.
    pub title: String,
    /// Its place's number.
    pub place: i64,
    /// When it may be done: one window, or several, one of which is chosen.
    pub windows: Vec<Span>,
    /// How long before a window's end it should be over, s.
    pub aim_before_s: i64,
    /// Cents an hour for ending later than that.
    pub late_cost_per_h: i64,
    /// Cents for leaving it out: set from how pressing it is when the whole day is known.
    pub skip_cost: i64,
    /// How it may be done, whatever the window.
    pub ways: Vec<(Way, JobWay)>,
    /// The water that follows it.
    pub water: Option<Watering>,
    /// The names of the visits that come before it.
    pub after: Vec<String>,
    /// The care task that it is, where it is one by itself.
    pub care_task_id: Option<i64>,
    /// How long the court rests after it, s.
    pub rest_s: i64,
    /// How pressing it is.
    pub pressing: Pressing,
}

/// What the table keeps of a job: how a visit of the plan becomes an order.
#[derive(Clone, Debug, Serialize)]
pub struct Entry {
    /// The visit's name.
    pub key: String,
    /// Where it is done.
    pub at: Place,
    /// What it is, as people say it.
    pub title: String,
    /// From when it could be done.
    pub opens: i64,
    /// Until when.
    pub closes: i64,
    /// Its ways, in the order of the visit's, each with the end of its window.
    pub ways: Vec<(JobWay, i64)>,
    /// How long the court rests after it, s.
    pub rest_s: i64,
    /// Whether a court is held where it is left out.
    pub holds: bool,
}

impl Job {
    /// What its usual way takes as few people as may do it, person-seconds.
    pub fn usual_work_s(&self) -> i64 {
        let usual = self.ways.iter().min_by_key(|(way, _)| way.extra_cost);
        usual.map_or(0, |(way, _)| work_s(way))
    }

    /// What its shortest way takes as few people as may do it, person-seconds.
    pub fn least_work_s(&self) -> i64 {
        let all = self.ways.iter().map(|(way, _)| work_s(way));
        all.min().unwrap_or(0)
    }

    /// The visit, and the table's entry.
    pub fn split(self) -> (Visit, Entry) {
        let opens = self.windows.iter().map(|window| window[0]).min();
        let closes = self.windows.iter().map(|window| window[1]).max();
        let whole = [opens.unwrap_or(0), closes.unwrap_or(0)];
        let aim = |window: Span| (window[1] - self.aim_before_s).max(window[0]);
        let several = self.windows.len() > 1;
        let (mut ways, mut kept) = (Vec::new(), Vec::new());
        for window in &self.windows {
            for (way, job) in &self.ways {
                ways.push(Way {
                    window: several.then_some(*window),
                    aim_end: several.then(|| aim(*window)),
                    ..way.clone()
                });
                kept.push((job.clone(), window[1]));
            }
        }
        let visit = Visit {
            id: self.key.clone(),
            place: self.place,
            window: whole,
            aim_end: aim(whole),
            late_cost_per_h: self.late_cost_per_h,
            skip_cost: self.skip_cost,
            load_g: 0,
            ways,
            after: self.after,
            prefer: None,
            pinned: None,
            water: self.water,
        };
        let entry = Entry {
            key: self.key,
            at: self.at,
            title: self.title,
            opens: whole[0],
            closes: whole[1],
            ways: kept,
            rest_s: self.rest_s,
            // What waits for other work does no harm where that is left out as well.
            holds: self.pressing.holds() && visit.after.is_empty(),
        };
        (visit, entry)
    }
}

/// What a way takes the fewest people who may do it.
fn work_s(way: &Way) -> i64 {
    let hands = way.min_hands.max(1);
    let last = way.service_s.len().saturating_sub(1);
    let at = usize::try_from(hands - 1).unwrap_or(0).min(last);
    way.service_s.get(at).copied().unwrap_or(0) * hands
}

/// Work that cannot be put to the planner at all: it is told, not planned.
#[derive(Clone, Debug, Serialize)]
pub struct LeftOut {
    /// The visit's name.
    pub key: String,
    /// Where it would be done.
    pub at: Place,
    /// What it is, as people say it.
    pub title: String,
    /// Why: a reason of the day plan, or a word of [`Withheld`](super::withheld::Withheld).
    pub reason: &'static str,
    /// From when it could be done.
    pub opens: i64,
    /// Until when.
    pub closes: i64,
    /// Until when it is withheld, where that is known.
    pub until: Option<i64>,
    /// How pressing it is.
    pub pressing: Pressing,
}
