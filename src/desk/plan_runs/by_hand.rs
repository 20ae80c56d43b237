//! A planned day changed by hand: tried first, its cost told, then taken as a new plan.

use std::collections::HashMap;

use chrono::NaiveDate;
use planner::judge::violations;
use planner::plan::Plan;
use planner::{Control, Options, Proof};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::search::found;
use super::{asker, not_issued, take, taking};
use crate::desk::access::{Permit, PlanDay, SeeDay};
use crate::desk::day_build::{Built, Inputs, crew_key};
use crate::desk::once::Once;
use crate::desk::{Error, Office, Result};
use crate::store::audit::{Deed, audit_append};
use crate::store::day_changes::{ChangeKind, ChangeRow, change_add, changes_between};
use crate::store::day_plans::runs::{NewRun, run_add, run_plan, run_read, run_ready};
use crate::store::day_plans::{PlanRow, PlanState, plan_in_force};
use crate::store::{self, Conn, Instant, Scope, Tx};

/// Steps of the search after a change: the rest of the day stays near what it was.
const STEPS: u64 = 2_000;

/// A change of a visit.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ChangeAsk {
    /// The visit's name, as its order tells it.
    pub visit_key: String,
    /// What is decided.
    pub kind: ChangeKind,
    /// The crew, of a pin.
    pub crew_id: Option<i64>,
    /// When it starts, of a pin that says so.
    pub start_at: Option<Instant>,
    /// Whether only the cost is wanted: nothing is changed then.
    #[serde(default)]
    pub only_try: bool,
}

/// What a change makes of the day.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
pub struct ChangeTold {
    /// What the day costs before, cents.
    pub cost_before_cents: i64,
    /// What it costs after, cents.
    pub cost_cents: i64,
    /// What becomes of the visits it moves.
    pub moves: Vec<MoveTold>,
    /// Whether it was taken: the day has a new plan.
    pub taken: bool,
}

/// What becomes of a visit.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
pub struct MoveTold {
    /// The visit's name.
    pub visit_key: String,
    /// The crew that did it before; null where it was left out.
    pub from_crew_id: Option<i64>,
    /// The crew that does it now; null where it is left out.
    pub to_crew_id: Option<i64>,
    /// When it starts now.
    pub starts_at: Option<Instant>,
}

/// What is decided by hand for a date, by visit.
pub fn changes_read(
    office: &Office,
    permit: &Permit<SeeDay>,
    date: NaiveDate,
) -> Result<Vec<ChangeRow>> {
    Ok(office
        .db
        .read(|conn| changes_between(conn, permit, date, date))?)
}

/// Tries a change of a planned day and, unless it is only to be tried, takes it: the day has a new
/// plan then, and further planning keeps to the change. [`Error::State`] where nothing is planned,
/// the day is issued, or the change does not fit.
pub fn day_change(
    office: &Office,
    permit: &Permit<PlanDay>,
    date: NaiveDate,
    ask: &ChangeAsk,
    once: &Once,
) -> Result<ChangeTold> {
    let user_id = asker(permit)?;
    let now = office.now();
    // Outside the transaction: it takes a search.
    let tried = office
        .db
        .read(|conn| Tried::of(conn, permit, date, ask, now));
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let tried = tried?;
            if ask.only_try {
                return tried.told(false);
            }
            tried.take(tx, permit, user_id)?;
            tried.told(true)
        })
    })
}

/// A change that was tried.
struct Tried {
    before: PlanRow,
    old: Plan,
    change: ChangeRow,
    built: Built,
    new: Plan,
}

impl Tried {
    fn of(
        conn: &mut Conn,
        permit: &Permit<PlanDay>,
        date: NaiveDate,
        ask: &ChangeAsk,
        now: Instant,
    ) -> Result<Self> {
        let before = planned(conn, permit, date)?;
        let old = run_plan(conn, permit, before.plan_run_id)?;
        let old = taking::plan_of(old.as_deref())?;
        let mut inputs = Inputs::read(conn, permit, date, now)?;
        inputs.changes.retain(|c| c.visit_key != ask.visit_key);
        let free = Built::of(inputs.clone())?;
        let change = change_of(&free, date, ask)?;
        inputs.changes.push(change.clone());
        inputs.changes.sort_by(|a, b| a.visit_key.cmp(&b.visit_key));
        inputs.changes.retain(|c| c.kind != ChangeKind::Free);
        let built = Built::of(inputs)?;
        let new = replanned(&built, &old)?;
        kept(&built, &new, &change)?;
        Ok(Self {
            before,
            old,
            change,
            built,
            new,
        })
    }

    fn take(&self, tx: &mut Tx<'_>, permit: &Permit<PlanDay>, user_id: i64) -> Result<()> {
        let date = self.change.work_date;
        not_issued(tx, permit, date)?;
        if planned(tx.conn(), permit, date)?.id != self.before.id {
            return Err(Error::Stale);
        }
        let id = change_add(tx, permit, &self.change, user_id)?;
        audit_append(
            tx,
            permit,
            &Deed {
                verb: self.change.kind.as_str(),
                subject: "day_change",
                id,
                data: serde_json::json!({ "date": date, "visit": self.change.visit_key }),
            },
        )?;
        let found = found(&self.new).map_err(|why| Error::State(why.to_string()))?;
        let run = run_add(
            tx,
            permit,
            &NewRun {
                work_date: date,
                seed: i64::try_from(self.new.seed).unwrap_or(0),
                limit_s: 0,
                inputs_digest: &self.built.digest,
                problem: &self.built.problem_text,
                requested_by: user_id,
            },
        )?;
        let now = tx.now();
        run_ready(tx.conn(), permit, run.id, &found.as_stored(), now)?;
        let run = run_read(tx.conn(), permit, run.id)?;
        take(tx, permit, &run)?;
        Ok(())
    }

    fn told(&self, taken: bool) -> Result<ChangeTold> {
        let found = found(&self.new).map_err(|why| Error::State(why.to_string()))?;
        Ok(ChangeTold {
            cost_before_cents: self.before.cost_cents,
            cost_cents: found.cost_cents,
            moves: self.moves(),
            taken,
        })
    }

    /// What changes crew, is left out or is brought in, and what starts at another time, by visit.
    fn moves(&self) -> Vec<MoveTold> {
        let (old, new) = (stops(&self.old), stops(&self.new));
        let crew_id = |key: &str| {
            let on = self.built.crews.iter().find(|on| on.crew.id == key);
            on.map(|on| on.crew_id)
        };
        let mut keys: Vec<&&str> = old.keys().chain(new.keys()).collect();
        keys.sort_unstable();
        keys.dedup();
        keys.into_iter()
            .filter(|key| old.get(**key) != new.get(**key))
            .map(|key| MoveTold {
                visit_key: (*key).to_owned(),
                from_crew_id: old.get(*key).and_then(|(crew, _)| crew_id(crew)),
                to_crew_id: new.get(*key).and_then(|(crew, _)| crew_id(crew)),
                starts_at: new
                    .get(*key)
                    .map(|(_, start)| self.built.inputs.clock.instant(*start)),
            })
            .collect()
    }
}

/// Crew and start of every visit of a plan.
fn stops(plan: &Plan) -> HashMap<&str, (&str, i64)> {
    let rounds = plan.rounds.iter();
    rounds
        .flat_map(|round| {
            let crew = round.crew.as_str();
            let stops = round.stops.iter();
            stops.map(move |stop| (stop.visit.as_str(), (crew, stop.start_s)))
        })
        .collect()
}

/// The date's plan, while it is not issued.
fn planned(conn: &mut Conn, scope: &Scope, date: NaiveDate) -> Result<PlanRow> {
    match plan_in_force(conn, scope, date)? {
        Some(plan) if plan.state == PlanState::Planned => Ok(plan),
        Some(_) => Err(Error::State(format!(
            "{date} is issued: its orders are with the crews"
        ))),
        None => Err(Error::State(format!(
            "nothing is planned on {date}: plan it and take a plan first"
        ))),
    }
}

/// What is asked, where the day has such a visit and such a crew.
fn change_of(day: &Built, date: NaiveDate, ask: &ChangeAsk) -> Result<ChangeRow> {
    let Some(entry) = day.table.get(&ask.visit_key) else {
        let mend = "the date asks for no such visit: take the visit_key of one of its orders";
        return Err(Error::refused("/visit_key", mend));
    };
    let is_pin = ask.kind == ChangeKind::Pin;
    match ask.crew_id {
        None if is_pin => return Err(Error::refused("/crew_id", "say which crew does it")),
        Some(_) if !is_pin => {
            return Err(Error::refused(
                "/crew_id",
                "only a pin names a crew: leave it out",
            ));
        }
        Some(id) if day.crews.iter().all(|on| on.crew_id != id) => {
            return Err(Error::refused(
                "/crew_id",
                "this crew is not on shift that day",
            ));
        }
        _ => {}
    }
    if let Some(at) = ask.start_at {
        let clock = &day.inputs.clock;
        let start = clock.begins(at);
        if !is_pin || !(entry.opens..entry.closes).contains(&start) {
            let (from, to) = (clock.instant(entry.opens), clock.instant(entry.closes));
            let mend = format!("only a pin has a start, here from {from} until before {to}");
            return Err(Error::refused("/start_at", mend));
        }
    }
    Ok(ChangeRow {
        work_date: date,
        visit_key: ask.visit_key.clone(),
        kind: ask.kind,
        crew_id: ask.crew_id,
        start_at: ask.start_at,
    })
}

/// The day planned again from the plan it has.
fn replanned(built: &Built, from: &Plan) -> Result<Plan> {
    let failed = |why: String| Error::Failed(store::Error::Unreadable(why));
    let problem = built.problem.clone().checked().map_err(|faults| {
        let all: Vec<String> = faults.iter().map(ToString::to_string).collect();
        Error::State(format!("the change cannot be planned: {}", all.join("; ")))
    })?;
    let options = Options {
        seed: from.seed,
        iterations: Some(STEPS),
        threads: 1,
        proof: Proof::Floor,
    };
    let mut go_on = |_: &_| Control::Continue { spent: 0.0 };
    let plan = planner::improve(&problem, from, &options, &mut go_on);
    let broken = violations(&problem, &plan);
    if broken.is_empty() {
        Ok(plan)
    } else {
        Err(failed(format!(
            "a plan broke a rule: {}",
            broken.join("; ")
        )))
    }
}

/// [`Error::State`] where a pin does not fit: the reason stands in the plan.
fn kept(built: &Built, plan: &Plan, change: &ChangeRow) -> Result<()> {
    let Some(crew_id) = change.crew_id else {
        return Ok(());
    };
    let key = change.visit_key.as_str();
    let is_kept = stops(plan).get(key).is_some_and(|(crew, start)| {
        let told = change.start_at.map(|at| built.inputs.clock.begins(at));
        *crew == crew_key(crew_id) && told.is_none_or(|told| told == *start)
    });
    if is_kept {
        return Ok(());
    }
    let left = plan.unserved.iter().find(|left| left.visit == key);
    let why = left.map_or("another pin stands against it", |left| left.reason.name());
    Err(Error::State(format!("this does not fit: {why}")))
}
