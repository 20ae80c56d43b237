//! The rest of a day planned anew, as a trial: nothing is changed by it.

use std::collections::HashMap;

use chrono::NaiveDate;
use planner::judge::violations;
use planner::plan::{Cost, Plan, Rest as PlannedBreak, Round, Stop, Watered};
use planner::problem::{Checked, Problem};
use planner::rest::{News, Note, Record, Rest, replan, rest_of_day};
use planner::{Control, Fault, Options, Proof, improve};

use super::asked::{HandChange, ReplanAsk};
use super::basis::Basis;
use super::soaks::Moved;
use super::whole::{Whole, is_begun, whole};
use crate::desk::access::{Permit, PlanDay};
use crate::desk::day_build::{care_key, crew_key, lone_openings, loosen};
use crate::desk::{Error, Office, Result};
use crate::store::day_changes::ChangeKind;
use crate::store::{self, Instant};

/// Steps of the search: the rest of the day stays near what it was.
const STEPS: u64 = 3_000;
/// Cents that a visit must save to be given to another crew: who knows the plan has to learn a new one.
const CHANGE_CENTS: i64 = 300;

/// What the rest of a day costs, hundredths of a cent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Costs {
    /// All of it, but for giving visits to other crews.
    pub total: i64,
    /// Of that the pay for work and walks, overtime included.
    pub pay: i64,
}

impl Costs {
    fn of(cost: &Cost) -> Self {
        let pay = [cost.travel, cost.service, cost.overtime];
        Self {
            total: cost.total.hundredths() - cost.change.hundredths(),
            pay: pay.iter().map(|part| part.hundredths()).sum(),
        }
    }
}

/// A trial.
pub struct Trial {
    /// What it rests on; the day problem in it is the whole day as it is now.
    pub basis: Basis,
    /// The whole day, what has happened in it as it did.
    pub plan: Plan,
    /// What could not be kept.
    pub notes: Vec<Note>,
    /// What the rest of the day costs as it was planned.
    pub before: Costs,
    /// What it costs now.
    pub after: Costs,
    /// No rest of the day costs less.
    pub bound: i64,
    /// The soaks that move with their orders.
    pub moved: Vec<Moved>,
    /// The moment, s.
    pub at: i64,
}

impl Trial {
    /// Tries what is asked.
    pub fn of(
        office: &Office,
        permit: &Permit<PlanDay>,
        date: NaiveDate,
        ask: &ReplanAsk,
        now: Instant,
        user_id: i64,
    ) -> Result<Self> {
        let mut basis = Basis::tried(office, permit, date, ask, now, user_id)?;
        let _place = office.at_work.place(permit.site_id())?;
        let clock = basis.built.inputs.clock;
        let (_, last) = clock.around();
        if now >= last {
            return Err(Error::state(format!(
                "{date} is over: there is nothing left to plan"
            )));
        }
        for (at, change) in ask.changes.iter().enumerate() {
            fits_the_day(&basis, change, at)?;
        }
        let Whole {
            mut problem,
            crews,
            plan,
            record,
            record_before,
            changes,
            moved,
            at,
        } = whole(&basis);
        loosen(&mut problem);
        let news = News {
            at,
            record,
            changes,
            change_cost: CHANGE_CENTS,
        };
        let checked = checked(problem)?;
        let options = options(plan.seed, STEPS);
        let (rest, found) = replan(&checked, &plan, &news, &options, &mut go_on)
            .map_err(|faults| not_plannable(&faults))?;
        let broken = violations(&rest.problem, &found);
        if !broken.is_empty() {
            return Err(Error::Failed(store::Error::Unreadable(format!(
                "a plan of the rest broke a rule: {}",
                broken.join("; ")
            ))));
        }
        let after = Costs::of(&found.cost);
        let before = cost_before(&basis, at, record_before).unwrap_or(after);
        basis.built.problem = checked.problem().clone();
        basis.built.crews = crews;
        let bound = found.lower_bound.hundredths();
        let plan = composed(checked.problem(), &plan, &rest, found, at);
        let mut notes = rest.notes;
        let lost = moved.iter().filter(|one| one.from.is_none());
        notes.extend(lost.map(|one| Note::WateringLate {
            visit: one.visit.clone(),
        }));
        let trial = Self {
            basis,
            plan,
            notes,
            before,
            after,
            bound,
            moved,
            at,
        };
        for (at, change) in ask.changes.iter().enumerate() {
            trial.keeps(change, at)?;
        }
        Ok(trial)
    }

    /// That a pin is kept as it was asked.
    fn keeps(&self, change: &HandChange, at: usize) -> Result<()> {
        let (Some(crew), Some(key)) = (change.crew_id.map(crew_key), &change.visit_key) else {
            return Ok(());
        };
        let clock = &self.basis.built.inputs.clock;
        let stop = self.plan.rounds.iter().find_map(|round| {
            let stop = round.stops.iter().find(|stop| stop.visit == *key)?;
            Some((round.crew.as_str(), stop.start_s))
        });
        match stop {
            Some((by, _)) if by != crew => Err(Error::refused(
                format!("/changes/{at}/crew_id"),
                "this crew cannot do it: it has not the skills, hands or tools, or no time then; \
                 another crew can",
            )),
            Some((_, start)) if change.start_at.is_some_and(|at| clock.begins(at) != start) => {
                Err(Error::refused(
                    format!("/changes/{at}/start_at"),
                    format!(
                        "it cannot start then: the crew or the court is not free; the next time \
                         found is {}",
                        self.basis.local(start)
                    ),
                ))
            }
            Some(_) => Ok(()),
            None => {
                let left = self.plan.unserved.iter().find(|left| left.visit == *key);
                let why = left.map_or("it is not to be done", |left| left.reason.name());
                Err(Error::refused(
                    format!("/changes/{at}/crew_id"),
                    format!("it does not fit so: {}", why.replace('_', " ")),
                ))
            }
        }
    }

    /// Crew and stop of every visit that is still to be made, in order of crew and time.
    pub fn to_do(&self) -> impl Iterator<Item = (&Round, &Stop)> {
        let begun: Vec<&str> = self
            .basis
            .orders
            .iter()
            .filter(|order| is_begun(order))
            .map(|order| order.visit_key.as_str())
            .collect();
        let lone = lone_openings(&self.basis.built, &self.plan);
        self.plan
            .rounds
            .iter()
            .flat_map(|round| round.stops.iter().map(move |stop| (round, stop)))
            .filter(move |(_, stop)| !begun.contains(&stop.visit.as_str()))
            .filter(move |(_, stop)| !lone.contains(&stop.visit))
    }
}

/// That the day has what a change is about, and that it is not begun.
fn fits_the_day(basis: &Basis, change: &HandChange, at: usize) -> Result<()> {
    let built = &basis.built;
    let added = change
        .court_id
        .zip(change.care_task_id)
        .map(|(court, task)| care_key(task, court));
    let key = change.visit_key.clone().or(added).unwrap_or_default();
    let field = |name: &str| format!("/changes/{at}/{name}");
    let of_key = if change.kind == ChangeKind::Add {
        "care_task_id"
    } else {
        "visit_key"
    };
    if basis
        .orders
        .iter()
        .any(|order| order.visit_key == key && is_begun(order))
    {
        let mend = "this work is under way or done: it stays as it is";
        return Err(Error::refused(field(of_key), mend));
    }
    let Some(entry) = built.table.get(&key) else {
        let left = built.left_out.iter().find(|left| left.key == key);
        return match (left, change.kind) {
            (Some(_), ChangeKind::Drop | ChangeKind::Free) => Ok(()),
            (Some(left), _) => Err(Error::refused(
                field(of_key),
                format!("it cannot be done: {}", left.reason.replace('_', " ")),
            )),
            (None, _) => Err(Error::refused(
                field(of_key),
                "the date asks for no such visit: take the visit_key of one of its orders",
            )),
        };
    };
    if let Some(crew) = change.crew_id
        && built.crews.iter().all(|on| on.crew_id != crew)
    {
        let mend = "this crew is not on shift that day";
        return Err(Error::refused(field("crew_id"), mend));
    }
    if let Some(start) = change.start_at {
        let clock = &built.inputs.clock;
        if !(entry.opens..entry.closes).contains(&clock.begins(start)) {
            let (from, to) = (basis.local(entry.opens), basis.local(entry.closes));
            let mend = format!("it can be done from {from} until {to}: give a start in between");
            return Err(Error::refused(field("start_at"), mend));
        }
    }
    Ok(())
}

const fn options(seed: u64, steps: u64) -> Options {
    Options {
        seed,
        iterations: Some(steps),
        threads: 1,
        proof: Proof::Floor,
    }
}

fn go_on(_: &planner::Progress) -> Control {
    Control::Continue { spent: 0.0 }
}

fn checked(problem: Problem) -> Result<Checked> {
    problem.checked().map_err(|faults| not_plannable(&faults))
}

fn not_plannable(faults: &[Fault]) -> Error {
    let all: Vec<String> = faults.iter().map(ToString::to_string).collect();
    Error::state(format!(
        "the rest of the day cannot be planned as it stands: {}",
        all.join("; ")
    ))
}

/// What the rest of the day costs as it was planned, were nothing changed; none where it cannot be had.
fn cost_before(basis: &Basis, at: i64, record: Record) -> Option<Costs> {
    let problem = basis.problem.clone().checked().ok()?;
    let news = News {
        at,
        record,
        changes: Vec::new(),
        change_cost: 0,
    };
    let rest = rest_of_day(&problem, &basis.plan, &news).ok()?;
    let plan = improve(
        &rest.problem,
        &rest.present,
        &options(basis.plan.seed, 0),
        &mut go_on,
    );
    Some(Costs::of(&plan.cost))
}

/// The whole day: what has happened, and the plan of the rest, in the whole day's ways.
fn composed(problem: &Problem, base: &Plan, rest: &Rest, found: Plan, at: i64) -> Plan {
    let ways: HashMap<&str, &Vec<usize>> = rest
        .problem
        .problem()
        .visits
        .iter()
        .zip(&rest.ways)
        .map(|(visit, ways)| (visit.id.as_str(), ways))
        .collect();
    let mut rounds = Vec::new();
    for crew in &problem.crews {
        let planned = base.rounds.iter().find(|round| round.crew == crew.id);
        let anew = found.rounds.iter().find(|round| round.crew == crew.id);
        let mut stops: Vec<Stop> = rest
            .done
            .iter()
            .filter(|done| done.crew == crew.id)
            .map(|done| Stop {
                visit: done.visit.clone(),
                way: done.way,
                arrive_s: done.start_s,
                start_s: done.start_s,
                end_s: done.end_s,
            })
            .collect();
        stops.sort_by_key(|stop| (stop.start_s, stop.end_s));
        let has_begun = !stops.is_empty() || planned.is_some_and(|round| round.leave_s < at);
        stops.extend(anew.into_iter().flat_map(|round| &round.stops).map(|stop| {
            let way = ways
                .get(stop.visit.as_str())
                .and_then(|ways| ways.get(stop.way).copied());
            Stop {
                way: way.unwrap_or(0),
                ..stop.clone()
            }
        }));
        if stops.is_empty() {
            continue;
        }
        // Two orders that were done side by side stand one after the other.
        let mut free = 0;
        for stop in &mut stops {
            stop.start_s = stop.start_s.max(free);
            stop.end_s = stop.end_s.max(stop.start_s);
            free = stop.end_s;
        }
        let first = stops.first().map_or(at, |stop| stop.start_s);
        let leave_s = match (planned.filter(|_| has_begun), anew) {
            (Some(planned), _) => planned.leave_s.min(first),
            (None, Some(anew)) => anew.leave_s.min(first),
            (None, None) => first,
        };
        let return_s = match (anew, planned) {
            (Some(anew), _) => anew.return_s,
            (None, Some(planned)) => planned.return_s,
            (None, None) => free,
        };
        let kit = anew.or(planned).map(|round| round.kit.clone());
        rounds.push(Round {
            crew: crew.id.clone(),
            kit: kit.unwrap_or_default(),
            leave_s,
            return_s: return_s.max(free),
            stops,
            breaks: breaks(crew.breaks.len(), planned, anew, crew),
        });
    }
    let mut watering = found.watering;
    watering.extend(rest.done.iter().filter_map(|done| {
        let visit = problem.visits.iter().find(|visit| visit.id == done.visit)?;
        let (water, start_s) = visit.water.as_ref().zip(done.watering_s)?;
        Some(Watered {
            visit: done.visit.clone(),
            start_s,
            end_s: start_s.saturating_add(water.run_s),
        })
    }));
    Plan {
        rounds,
        watering,
        ..found
    }
}

/// A crew's breaks of the whole day: those it has had as they were planned, the others as they are now.
fn breaks(
    many: usize,
    planned: Option<&Round>,
    anew: Option<&Round>,
    crew: &planner::problem::Crew,
) -> Vec<PlannedBreak> {
    let left = anew.map_or(0, |round| round.breaks.len()).min(many);
    let mut all: Vec<PlannedBreak> = crew
        .breaks
        .iter()
        .enumerate()
        .take(many - left)
        .map(|(nth, own)| {
            let had = planned.and_then(|round| round.breaks.get(nth).cloned());
            had.unwrap_or(PlannedBreak {
                start_s: own.start_window[0],
                end_s: own.start_window[0].saturating_add(own.length_s),
            })
        })
        .collect();
    all.extend(
        anew.into_iter()
            .flat_map(|round| round.breaks.iter().cloned())
            .take(left),
    );
    all
}
