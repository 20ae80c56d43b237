//! Where and when a crew comes free, and what it has left.

use super::News;
use super::facts::Fact;
use crate::plan::{Plan, Round};
use crate::problem::{Crew, Problem, Span};

/// A crew at the moment.
#[derive(Debug)]
pub(super) struct Standing {
    /// Where it comes free.
    pub place: i64,
    /// When it comes free: no earlier than the moment and its shift.
    pub free: i64,
    /// What it holds, if it has left.
    pub kit: Option<Vec<String>>,
    /// Breaks it has had or is having.
    pub rested: usize,
    /// Seconds of travel and service so far, what is running included.
    pub worked: i64,
    /// Load used, grams.
    pub load: i64,
}

pub(super) fn travel(day: &Problem, from: i64, to: i64) -> i64 {
    let at = |x: i64| usize::try_from(x).unwrap_or(0);
    day.travel_s[at(from)][at(to)]
}

/// Where this crew stands.
pub(super) fn standing(
    day: &Problem,
    plan: &Plan,
    facts: &[Fact],
    news: &News,
    crew: usize,
) -> Standing {
    let c = &day.crews[crew];
    let own: Vec<&Fact> = facts.iter().filter(|f| f.crew == crew).collect();
    let round = plan.rounds.iter().find(|r| r.crew == c.id);
    let mut now = Standing {
        place: c.start_place,
        free: news.at.max(c.shift[0]),
        kit: c.kit.clone(),
        rested: 0,
        worked: 0,
        load: 0,
    };
    for fact in &own {
        let visit = &day.visits[fact.visit];
        now.worked += travel(day, now.place, visit.place) + fact.end - fact.start;
        now.load += visit.load_g;
        now.place = visit.place;
        now.free = now.free.max(fact.end);
    }
    if let Some((place, arrive)) = round.and_then(|r| under_way(day, news.at, c, r, own.last())) {
        now.worked += travel(day, now.place, place);
        now.place = place;
        now.free = now.free.max(arrive);
    }
    let left = !own.is_empty() || round.is_some_and(|r| r.leave_s < news.at);
    if left && now.kit.is_none() {
        now.kit = Some(round.map(|r| r.kit.clone()).unwrap_or_default());
        for fact in &own {
            let way = &day.visits[fact.visit].ways[fact.way];
            let kit = now.kit.get_or_insert_default();
            for class in way.classes() {
                if !kit.iter().any(|k| k == class) {
                    kit.push(class.to_owned());
                }
            }
        }
    }
    let rests = match round {
        Some(round) => begun(round, &own, news.at),
        None => meanwhile(c, &own, news.at),
    };
    now.rested = rests.len();
    now.free = rests.iter().fold(now.free, |free, r| free.max(r[1]));
    if let Some(told) = news.record.crews.iter().find(|s| s.crew == c.id) {
        now.place = told.place.unwrap_or(now.place);
        now.free = told
            .free_s
            .map_or(now.free, |t| t.max(news.at).max(c.shift[0]));
        now.rested = told.breaks_taken.unwrap_or(now.rested);
    }
    now
}

fn works_in(own: &[&Fact], [from, to]: Span) -> bool {
    own.iter().any(|f| f.start.max(from) < f.end.min(to))
}

/// The planned breaks that have begun; one in whose time the crew worked after all it has not had.
fn begun(round: &Round, own: &[&Fact], at: i64) -> Vec<Span> {
    let begun = round.breaks.iter().take_while(|b| b.start_s < at);
    let spans = begun.map(|b| [b.start_s, b.end_s]);
    spans.filter(|&span| !works_in(own, span)).collect()
}

/// The breaks for which a crew without a round had the time before the moment, one after the other.
fn meanwhile(crew: &Crew, own: &[&Fact], at: i64) -> Vec<Span> {
    let mut ready = 0;
    let mut out = Vec::new();
    for b in crew.breaks.iter().take_while(|b| b.start_window[1] < at) {
        let [open, close] = b.start_window;
        let ends = own.iter().map(|f| f.end);
        let starts = ends.chain([open]).map(|start| start.max(open).max(ready));
        let spans = starts.map(|start| [start, start + b.length_s]);
        let rest = spans.filter(|&r| r[0] <= close && !works_in(own, r)).min();
        if let Some(rest) = rest {
            ready = rest[1];
            out.push(rest);
        }
    }
    out
}

/// Where a crew that has ended its last work, and could leave it as planned, is or is going, and when it
/// arrives there.
fn under_way(
    day: &Problem,
    at: i64,
    crew: &Crew,
    round: &Round,
    last: Option<&&Fact>,
) -> Option<(i64, i64)> {
    let place_of = |id: &str| day.visits.iter().find(|v| v.id == id).map(|v| v.place);
    let (from, next) = match last {
        None => (crew.start_place, 0),
        Some(fact) => {
            let visit = &day.visits[fact.visit];
            let i = round.stops.iter().position(|s| s.visit == visit.id)?;
            if fact.end > round.stops[i].end_s || fact.end > at {
                return None;
            }
            (visit.place, i + 1)
        }
    };
    let (to, arrive) = match round.stops.get(next) {
        Some(stop) => (place_of(&stop.visit)?, stop.arrive_s),
        None => (crew.end_place, round.return_s),
    };
    (arrive - travel(day, from, to) < at).then_some((to, arrive))
}
