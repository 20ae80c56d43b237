//! Where and when a crew comes free, and what it has left.

use super::News;
use super::facts::Fact;
use crate::plan::{Plan, Round};
use crate::problem::{Crew, Problem};

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
    if let Some(round) = round {
        let begun = |b: &&crate::plan::Rest| b.start_s < news.at;
        now.rested = round.breaks.iter().take_while(begun).count();
        let last = round.breaks[..now.rested].last();
        now.free = now.free.max(last.map_or(0, |b| b.end_s));
    } else {
        let passed = |b: &&crate::problem::Break| b.start_window[1] < news.at;
        now.rested = c.breaks.iter().take_while(passed).count();
    }
    if let Some(told) = news.record.crews.iter().find(|s| s.crew == c.id) {
        now.place = told.place.unwrap_or(now.place);
        now.free = told
            .free_s
            .map_or(now.free, |t| t.max(news.at).max(c.shift[0]));
        now.rested = told.breaks_taken.unwrap_or(now.rested);
    }
    now
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
