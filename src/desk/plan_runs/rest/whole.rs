//! The day as it is now, put together for the planner: what is begun as it was planned, what is still to be done as
//! the day asks for it today.

use std::collections::{HashMap, HashSet};

use planner::plan::{Plan, Rest as PlannedBreak, Round, Stop};
use planner::problem::{Crew, Problem, ToolClass, Visit};
use planner::rest::{Change, Happened, Record, State};

use super::basis::Basis;
use super::soaks::{Moved, moved};
use crate::desk::day_build::{OnShift, Places, crew_id_of, crew_key};
use crate::store::day_news::NewsKind;
use crate::store::orders::{OrderRow, OrderState};

/// The whole day, and what has happened in it.
pub struct Whole {
    /// The day as a problem.
    pub problem: Problem,
    /// The crews in it, in the problem's order.
    pub crews: Vec<OnShift>,
    /// What the plan in force says about it.
    pub plan: Plan,
    /// What has happened.
    pub record: Record,
    /// The same for the day as it was planned.
    pub record_before: Record,
    /// What the problem does not say.
    pub changes: Vec<Change>,
    /// The soaks that move with their orders.
    pub moved: Vec<Moved>,
    /// The moment, s.
    pub at: i64,
}

/// Puts the day together.
pub fn whole(basis: &Basis) -> Whole {
    let at = basis.built.inputs.clock.ends(basis.now).max(0);
    let begun = begun(basis);
    let moved = moved(basis, &begun, at);
    let mut problem = basis.built.problem.clone();
    let mut crews = basis.built.crews.clone();
    let mut changes = rain(basis);
    changes.extend(lightning(basis, at));
    let missing: Vec<Crew> = basis
        .problem
        .crews
        .iter()
        .filter(|crew| problem.crews.iter().all(|known| known.id != crew.id))
        .filter(|crew| basis.plan.rounds.iter().any(|round| round.crew == crew.id))
        .cloned()
        .collect();
    for crew in missing {
        let Some(on) = gone(basis, &crew, at) else {
            continue;
        };
        changes.push(Change::CrewGone {
            crew: crew.id.clone(),
            from: at,
        });
        crews.push(on);
        problem.crews.push(crew);
    }
    put_begun(basis, &begun, &mut problem);
    for lost in moved.iter().filter(|one| one.from.is_none()) {
        let visits = problem.visits.iter_mut();
        for visit in visits.filter(|visit| visit.id == lost.visit) {
            visit.water = None;
        }
    }
    let plan = plan_of(basis, &begun, &problem, at);
    changes.extend(broken(basis, &problem, &plan, at));
    let record = Record {
        visits: record(basis, &begun, (&problem, &plan), &moved, at),
        crews: Vec::new(),
    };
    let record_before = Record {
        visits: self::record(basis, &begun, (&basis.problem, &basis.plan), &moved, at),
        crews: Vec::new(),
    };
    Whole {
        problem,
        crews,
        plan,
        record,
        record_before,
        changes,
        moved,
        at,
    }
}

/// The orders that are done or under way, by visit.
fn begun(basis: &Basis) -> HashMap<&str, &OrderRow> {
    let orders = basis.orders.iter().filter(|order| is_begun(order));
    orders
        .map(|order| (order.visit_key.as_str(), order))
        .collect()
}

/// Whether an order's work has begun, and is to be left alone.
pub const fn is_begun(order: &OrderRow) -> bool {
    matches!(order.state, OrderState::UnderWay | OrderState::Finished)
}

/// A crew of the plan that is not on shift any more.
fn gone(basis: &Basis, crew: &Crew, at: i64) -> Option<OnShift> {
    let crew_id = crew_id_of(&crew.id)?;
    let round = basis.rounds.iter().find(|round| round.crew_id == crew_id)?;
    let mut crew = crew.clone();
    crew.shift = crew.shift.map(|end| end.min(at));
    Some(OnShift {
        crew,
        crew_id,
        shift_id: round.shift_id,
        beginning: round.beginning.as_ref().map(|told| told.0.clone()),
    })
}

/// Rain that was told and is not over.
fn rain(basis: &Basis) -> Vec<Change> {
    let inputs = &basis.built.inputs;
    let told = inputs.news.iter();
    let told = told.filter(|news| news.kind == NewsKind::Rain);
    told.filter_map(|news| {
        let to = inputs.clock.ends(news.until_at?);
        let from = inputs.clock.begins(news.from_at).max(0);
        (to > from).then_some(Change::Rain {
            from,
            to,
            places: None,
        })
    })
    .collect()
}

/// While lightning keeps everybody in, nothing is begun.
fn lightning(basis: &Basis, at: i64) -> Option<Change> {
    let to = basis.built.inputs.clock.ends(basis.in_until?);
    (to > at).then_some(Change::Rain {
        from: at,
        to,
        places: None,
    })
}

/// What is begun stands in the problem as it was planned.
fn put_begun(basis: &Basis, begun: &HashMap<&str, &OrderRow>, problem: &mut Problem) {
    let places = Places::of(&basis.built.inputs);
    for visit in &basis.problem.visits {
        let Some(order) = begun.get(visit.id.as_str()) else {
            continue;
        };
        let mut visit = Visit {
            place: order
                .court_id
                .map_or_else(|| 0, |court| places.court(court)),
            pinned: None,
            prefer: None,
            after: Vec::new(),
            ..visit.clone()
        };
        if let Some(bank) = order.bank_id {
            visit.place = places.bank(bank);
        }
        let has_line = |group: &str| problem.water.iter().any(|line| line.group == group);
        visit.water = visit.water.filter(|water| has_line(&water.group));
        for class in visit.ways.iter().flat_map(|way| &way.tools) {
            if problem.tools.iter().all(|known| known.class != *class) {
                problem.tools.push(ToolClass {
                    class: class.clone(),
                    count: 0,
                });
            }
        }
        match problem.visits.iter_mut().find(|known| known.id == visit.id) {
            Some(known) => *known = visit,
            None => problem.visits.push(visit),
        }
    }
}

/// The plan in force, in the ways and crews of the day as it is now.
fn plan_of(basis: &Basis, begun: &HashMap<&str, &OrderRow>, problem: &Problem, at: i64) -> Plan {
    let visits: HashMap<&str, &Visit> = problem
        .visits
        .iter()
        .map(|visit| (visit.id.as_str(), visit))
        .collect();
    let before: HashMap<&str, &Visit> = basis
        .problem
        .visits
        .iter()
        .map(|visit| (visit.id.as_str(), visit))
        .collect();
    let mut plan = basis.plan.clone();
    plan.rounds.retain_mut(|round| {
        let Some(crew) = problem.crews.iter().find(|crew| crew.id == round.crew) else {
            return false;
        };
        round.stops.retain_mut(|stop| {
            let id = stop.visit.as_str();
            let Some((is, was)) = visits.get(id).zip(before.get(id)) else {
                return false;
            };
            if !begun.contains_key(id) {
                stop.way = way_like(was, stop, is);
            }
            stop.way < is.ways.len()
        });
        let known = |class: &String| problem.tools.iter().any(|tool| tool.class == *class);
        round.kit.retain(known);
        round.breaks = breaks(basis, crew, round, at);
        true
    });
    plan.watering.retain(|run| {
        let visit = visits.get(run.visit.as_str());
        visit.is_some_and(|visit| visit.water.is_some())
    });
    plan.unserved.clear();
    plan
}

/// The way of a visit that is most like the one that was planned: the same tools and time, in the window it lay in.
fn way_like(was: &Visit, stop: &Stop, is: &Visit) -> usize {
    let planned = was.ways.get(stop.way);
    let unlike = |way: &usize| {
        let Some((way, planned)) = is.ways.get(*way).zip(planned) else {
            return (true, true, i64::MAX);
        };
        let [open, close] = way.window.unwrap_or(is.window);
        let off = (open - stop.start_s).max(stop.end_s - close).max(0);
        (
            way.tools != planned.tools,
            way.service_s != planned.service_s,
            off,
        )
    };
    (0..is.ways.len()).min_by_key(unlike).unwrap_or(0)
}

/// The planned breaks, one for each that the crew has now.
fn breaks(basis: &Basis, crew: &Crew, round: &Round, at: i64) -> Vec<PlannedBreak> {
    let before = basis.problem.crews.iter().find(|was| was.id == crew.id);
    let same_many = crew.breaks.len() == round.breaks.len();
    let mut unused: Vec<(usize, &PlannedBreak)> = round.breaks.iter().enumerate().collect();
    let mut out = Vec::new();
    for (nth, wanted) in crew.breaks.iter().enumerate() {
        let planned = unused.iter().position(|(place, _)| {
            let was = before.and_then(|was| was.breaks.get(*place));
            let same = was.is_some_and(|was| was.length_s == wanted.length_s);
            same || (same_many && *place == nth)
        });
        let start_s = wanted.start_window[1].max(at);
        out.push(planned.map_or_else(
            || PlannedBreak {
                start_s,
                end_s: start_s.saturating_add(wanted.length_s),
            },
            |planned| unused.remove(planned).1.clone(),
        ));
    }
    out
}

/// What became of the planned visits of a problem.
fn record(
    basis: &Basis,
    begun: &HashMap<&str, &OrderRow>,
    (problem, plan): (&Problem, &Plan),
    moved: &[Moved],
    at: i64,
) -> Vec<Happened> {
    let ids: HashSet<&str> = problem.visits.iter().map(|v| v.id.as_str()).collect();
    let stops: HashMap<&str, &Stop> = plan
        .rounds
        .iter()
        .flat_map(|round| &round.stops)
        .map(|stop| (stop.visit.as_str(), stop))
        .collect();
    let waiting = stops.keys().filter(|id| !begun.contains_key(**id));
    let mut all: Vec<Happened> = waiting
        .map(|id| Happened {
            visit: (*id).to_owned(),
            state: State::Waiting,
            crew: None,
            way: None,
            start_s: None,
            end_s: None,
            watering_s: None,
        })
        .collect();
    let done = begun.iter().filter(|(id, order)| {
        let crew = crew_key(order.crew_id);
        ids.contains(**id) && problem.crews.iter().any(|known| known.id == crew)
    });
    all.extend(done.map(|(id, order)| {
        let stop = stops.get(id).copied();
        let soak = moved.iter().find(|one| one.visit == **id);
        Happened {
            watering_s: soak.and_then(|soak| soak.from),
            ..began(basis, order, stop, at)
        }
    }));
    all.sort_by(|a, b| a.visit.cmp(&b.visit));
    all
}

/// When an order's work began and ended, or is to end: where it is under way, when somebody said, else after as long as was
/// planned.
pub fn began_and_ends(basis: &Basis, order: &OrderRow, at: i64) -> [i64; 2] {
    let clock = &basis.built.inputs.clock;
    let planned_s = (order.planned_end.utc() - order.planned_start.utc())
        .num_seconds()
        .max(0);
    let is_running = order.state == OrderState::UnderWay;
    let ended = order.ended_at.map_or(at, |end| clock.ends(end));
    let started = order
        .started_at
        .map_or(ended - planned_s, |start| clock.begins(start));
    let start = started.clamp(0, at);
    let end = if is_running {
        let told = order.expected_end_at.map(|end| clock.ends(end));
        told.unwrap_or(start + planned_s).max(at)
    } else {
        ended.clamp(start, at)
    };
    [start, end]
}

/// What became of an order that is done or under way.
fn began(basis: &Basis, order: &OrderRow, stop: Option<&Stop>, at: i64) -> Happened {
    let [start, end] = began_and_ends(basis, order, at);
    Happened {
        visit: order.visit_key.clone(),
        state: if order.state == OrderState::UnderWay {
            State::Running
        } else {
            State::Done
        },
        crew: Some(crew_key(order.crew_id)),
        way: stop.map(|stop| stop.way),
        start_s: Some(start),
        end_s: Some(end),
        watering_s: None,
    }
}

/// Where fewer tools of a class are left than crews hold, whoever holds the broken one has it no more.
fn broken(basis: &Basis, problem: &Problem, plan: &Plan, at: i64) -> Vec<Change> {
    let in_service: HashSet<i64> = basis
        .built
        .inputs
        .tools
        .iter()
        .map(|tool| tool.id)
        .collect();
    let mut out = Vec::new();
    for tool in &problem.tools {
        let on_duty = |id: &str| {
            let mut crews = problem.crews.iter();
            crews.any(|crew| crew.id == id && (crew.shift[0]..crew.shift[1]).contains(&at))
        };
        let held = plan
            .rounds
            .iter()
            .filter(|round| round.kit.contains(&tool.class) && on_duty(&round.crew));
        let held = i64::try_from(held.count()).unwrap_or(i64::MAX);
        if held <= tool.count {
            continue;
        }
        let holder = basis.tools.iter().find_map(|of_order| {
            let is_lost = of_order.class == tool.class && !in_service.contains(&of_order.tool_id);
            let order = basis.orders.iter().find(|o| o.id == of_order.order_id)?;
            (is_lost && !is_closed(order)).then(|| crew_key(order.crew_id))
        });
        let known = holder.filter(|key| problem.crews.iter().any(|crew| crew.id == *key));
        if let Some(crew) = known {
            out.push(Change::ToolBroken {
                class: tool.class.clone(),
                how_many: 0,
                crew: Some(crew),
            });
        }
    }
    out
}

const fn is_closed(order: &OrderRow) -> bool {
    matches!(
        order.state,
        OrderState::Finished | OrderState::LeftUndone | OrderState::Withdrawn
    )
}
