//! What is done and what is running at the moment: the record, and the plan where the record is silent.

use std::collections::{HashMap, HashSet};

use super::News;
use super::record::{Happened, LATEST_S, State, time_fault};
use crate::fault::Fault;
use crate::form::MOST;
use crate::plan::{Plan, Round, Stop};
use crate::problem::{Problem, Span};

/// A visit that has begun.
#[derive(Clone, Copy, Debug)]
pub(super) struct Fact {
    pub visit: usize,
    pub crew: usize,
    pub way: usize,
    pub start: i64,
    pub end: i64,
    pub watering: Option<i64>,
}

/// A planned stop, with its crew's index.
type Planned<'a> = (usize, &'a Stop);

/// Faults of a plan that is not one of this problem, or that puts two things into one time.
pub(super) fn plan_faults(day: &Problem, plan: &Plan) -> Vec<Fault> {
    let mut all = PlanFaults {
        day,
        stops: HashSet::new(),
        out: Vec::new(),
    };
    let mut crews = HashSet::new();
    for (i, round) in plan.rounds.iter().enumerate() {
        let at = format!("/plan/rounds/{i}");
        if !crews.insert(&round.crew) {
            all.bad(format!("{at}/crew"), "second round of this crew");
        }
        all.round(round, &at);
    }
    for (i, watered) in plan.watering.iter().enumerate() {
        let at = format!("/plan/watering/{i}");
        if !day.visits.iter().any(|v| v.id == watered.visit) {
            all.bad(format!("{at}/visit"), "unknown visit");
        }
        if watered.start_s < 0 || watered.start_s > MOST {
            all.bad(format!("{at}/start_s"), "beyond all days");
        }
    }
    all.out
}

struct PlanFaults<'a> {
    day: &'a Problem,
    /// Visits that stand in a stop so far.
    stops: HashSet<&'a str>,
    out: Vec<Fault>,
}

impl<'a> PlanFaults<'a> {
    fn bad(&mut self, pointer: String, text: &str) {
        let text = text.to_owned();
        self.out.push(Fault { pointer, text });
    }

    fn round(&mut self, round: &'a Round, at: &str) {
        match self.day.crews.iter().find(|c| c.id == round.crew) {
            None => self.bad(format!("{at}/crew"), "unknown crew"),
            Some(crew) if crew.breaks.len() != round.breaks.len() => {
                self.bad(format!("{at}/breaks"), "not the crew's breaks");
            }
            Some(_) => {}
        }
        let mut kit = HashSet::new();
        for (k, class) in round.kit.iter().enumerate() {
            if !self.day.tools.iter().any(|t| t.class == *class) {
                self.bad(format!("{at}/kit/{k}"), "unknown tool class");
            } else if !kit.insert(class) {
                self.bad(format!("{at}/kit/{k}"), "stands twice");
            }
        }
        self.span(["leave_s", "return_s"], at, [round.leave_s, round.return_s]);
        let mut free = 0;
        for (k, stop) in round.stops.iter().enumerate() {
            let at = format!("{at}/stops/{k}");
            self.stop(stop, &at);
            self.span(["start_s", "end_s"], &at, [stop.start_s, stop.end_s]);
            self.out
                .extend(time_fault(&format!("{at}/arrive_s"), stop.arrive_s));
            if (0..free.min(LATEST_S)).contains(&stop.start_s) {
                self.bad(format!("{at}/start_s"), "before the stop before it ends");
            }
            free = stop.end_s;
        }
        for (k, rest) in round.breaks.iter().enumerate() {
            let at = format!("{at}/breaks/{k}");
            self.span(["start_s", "end_s"], &at, [rest.start_s, rest.end_s]);
        }
    }

    fn stop(&mut self, stop: &'a Stop, at: &str) {
        match self.day.visits.iter().find(|v| v.id == stop.visit) {
            None => self.bad(format!("{at}/visit"), "unknown visit"),
            Some(v) if stop.way >= v.ways.len() => self.bad(format!("{at}/way"), "unknown way"),
            Some(_) if !self.stops.insert(&stop.visit) => {
                self.bad(format!("{at}/visit"), "second stop of this visit");
            }
            Some(_) => {}
        }
    }

    fn span(&mut self, fields: [&str; 2], at: &str, [from, to]: Span) {
        let pointers = fields.map(|field| format!("{at}/{field}"));
        let faults = [time_fault(&pointers[0], from), time_fault(&pointers[1], to)];
        let sound = faults.iter().all(Option::is_none);
        self.out.extend(faults.into_iter().flatten());
        if sound && to < from {
            let [_, to] = pointers;
            self.bad(to, "ends before it begins");
        }
    }
}

/// What has begun, by crew and start. Faults of the record are named with `/record` in front.
pub(super) fn facts(day: &Problem, plan: &Plan, news: &News) -> Result<Vec<Fact>, Vec<Fault>> {
    let mut planned: HashMap<&str, Planned> = HashMap::new();
    for round in &plan.rounds {
        if let Some(crew) = day.crews.iter().position(|c| c.id == round.crew) {
            planned.extend(round.stops.iter().map(|s| (s.visit.as_str(), (crew, s))));
        }
    }
    let mut told: HashMap<&str, Option<Fact>> = HashMap::new();
    let mut faults = crew_faults(day, news);
    for (i, happened) in news.record.visits.iter().enumerate() {
        let known = planned.get(happened.visit.as_str()).copied();
        match told_fact(day, news.at, happened, known) {
            Ok(_) if told.contains_key(happened.visit.as_str()) => faults.push(Fault {
                pointer: format!("/record/visits/{i}/visit"),
                text: "told twice".to_owned(),
            }),
            Ok(fact) => {
                told.insert(&happened.visit, fact);
            }
            Err((field, text)) => faults.push(Fault {
                pointer: format!("/record/visits/{i}/{field}"),
                text: text.to_owned(),
            }),
        }
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    let as_planned = |visit: usize, (crew, stop): Planned| {
        (stop.start_s < news.at).then_some(Fact {
            visit,
            crew,
            way: stop.way,
            start: stop.start_s,
            end: stop.end_s,
            watering: None,
        })
    };
    let watering: HashMap<&str, i64> = plan
        .watering
        .iter()
        .map(|w| (w.visit.as_str(), w.start_s))
        .collect();
    let mut facts = Vec::new();
    for (i, visit) in day.visits.iter().enumerate() {
        let id = visit.id.as_str();
        let fact = match told.get(id) {
            Some(fact) => *fact,
            None => planned.get(id).and_then(|&p| as_planned(i, p)),
        };
        let Some(mut fact) = fact else { continue };
        if visit.water.is_some() {
            let due = watering.get(id).copied().unwrap_or(fact.end).max(fact.end);
            fact.watering = fact.watering.or(Some(due));
        }
        facts.push(fact);
    }
    let faults = free_faults(day, news, &facts);
    if !faults.is_empty() {
        return Err(faults);
    }
    facts.sort_by_key(|f| (f.crew, f.start, f.end));
    Ok(facts)
}

/// Crews that are told to come free while they are still at work.
fn free_faults(day: &Problem, news: &News, facts: &[Fact]) -> Vec<Fault> {
    let mut out = Vec::new();
    for (i, stands) in news.record.crews.iter().enumerate() {
        let Some(free) = stands.free_s else { continue };
        let runs_on = |f: &&Fact| day.crews[f.crew].id == stands.crew && f.end > free.max(news.at);
        if let Some(fact) = facts.iter().find(runs_on) {
            let (visit, end) = (&day.visits[fact.visit].id, fact.end);
            out.push(Fault {
                pointer: format!("/record/crews/{i}/free_s"),
                text: format!("before its running visit {visit} ends, at {end}"),
            });
        }
    }
    out
}

fn crew_faults(day: &Problem, news: &News) -> Vec<Fault> {
    let mut out = Vec::new();
    for (i, stands) in news.record.crews.iter().enumerate() {
        let at = |field: &str| format!("/record/crews/{i}/{field}");
        let mut bad = |field: &str, text: &str| {
            out.push(Fault {
                pointer: at(field),
                text: text.to_owned(),
            });
        };
        let Some(crew) = day.crews.iter().find(|c| c.id == stands.crew) else {
            bad("crew", "unknown crew");
            continue;
        };
        let place = stands.place.map(usize::try_from);
        if place.is_some_and(|p| !p.is_ok_and(|p| p < day.travel_s.len())) {
            bad("place", "unknown place");
        }
        if stands.breaks_taken.is_some_and(|n| n > crew.breaks.len()) {
            bad("breaks_taken", "more than the crew has");
        }
        let earlier = &news.record.crews[..i];
        if earlier.iter().any(|s| s.crew == stands.crew) {
            bad("crew", "told twice");
        }
        out.extend(stands.free_s.and_then(|t| time_fault(&at("free_s"), t)));
    }
    out
}

/// What is told of a visit: nothing where it waits. The fault is a field and what is wrong with it.
fn told_fact(
    day: &Problem,
    at: i64,
    told: &Happened,
    planned: Option<Planned>,
) -> Result<Option<Fact>, (&'static str, &'static str)> {
    let visit = day.visits.iter().position(|v| v.id == told.visit);
    let visit = visit.ok_or(("visit", "unknown visit"))?;
    if told.state == State::Waiting {
        return Ok(None);
    }
    let crew = match &told.crew {
        Some(id) => {
            let crew = day.crews.iter().position(|c| c.id == *id);
            crew.ok_or(("crew", "unknown crew"))?
        }
        None => planned.ok_or(("crew", "not planned: must be given"))?.0,
    };
    let way = told.way.or(planned.map(|p| p.1.way)).unwrap_or(0);
    if way >= day.visits[visit].ways.len() {
        return Err(("way", "unknown way"));
    }
    let start = told.start_s.or(planned.map(|p| p.1.start_s));
    let start = start.ok_or(("start_s", "not planned: must be given"))?;
    if start < 0 || start > at {
        return Err(("start_s", "must be from 0 to the moment"));
    }
    let end = told.end_s.or(planned.map(|p| p.1.end_s));
    let end = end.ok_or(("end_s", "not planned: must be given"))?;
    if end < start || time_fault("", end).is_some() {
        return Err(("end_s", "before its start, or beyond the day"));
    }
    match told.state {
        State::Done if end > at => return Err(("end_s", "done, but after the moment")),
        State::Running if end < at => return Err(("end_s", "running, but ends before the moment")),
        _ => {}
    }
    match told.watering_s {
        Some(_) if day.visits[visit].water.is_none() => {
            return Err(("watering_s", "has no watering"));
        }
        Some(from) if from < end || time_fault("", from).is_some() => {
            return Err(("watering_s", "before the work's end, or beyond the day"));
        }
        _ => {}
    }
    Ok(Some(Fact {
        visit,
        crew,
        way,
        start,
        end,
        watering: told.watering_s,
    }))
}
