//! The end of planning: everything as early as it can be, and nothing left out that would still fit in for
//! less than leaving it out.
//!
//! What "fits" means here is the contract's: every other stop, break and watering stays where it is. That is
//! stricter than what the search tries, so the reasons `no_time_left` and `dearer_than_skipping` are told
//! apart by this test alone.

use std::cmp::Reverse;

use crate::day::{Day, Gap, Spot, Stop};
use crate::insertion;
use crate::model::{Break, Offer};
use crate::plan::Reason;
use crate::spans;
use crate::timing::{self, Laid};

/// Rounds are laid anew at most so often; mostly two turns are enough.
const MOST_TURNS: usize = 20;

/// Finishes a day.
pub(crate) fn finish(day: &mut Day) {
    drop_dear(day);
    loop {
        tighten(day);
        let mut still = true;
        for visit in 0..day.model.visits.len() {
            if day.served[visit].is_some() {
                continue;
            }
            let v = &day.model.visits[visit];
            let Some(fit) = fit(day, visit) else { continue };
            if (v.must || fit.cost < v.skip) && put(day, visit, &fit) {
                still = false;
            }
        }
        if still {
            return;
        }
    }
}

/// Why an unserved visit is out of a finished day.
pub(crate) fn reason(day: &Day, visit: usize) -> Reason {
    let v = &day.model.visits[visit];
    if let Some(reason) = v.never {
        return reason;
    }
    if v.after.iter().any(|&a| day.served[a].is_none()) {
        return Reason::WaitsForAnUnservedVisit;
    }
    if fit(day, visit).is_some() {
        Reason::DearerThanSkipping
    } else {
        Reason::NoTimeLeft
    }
}

/// What it would cost in units to put an unserved visit where it fits, everything else unmoved.
pub(crate) fn fit_cost(day: &Day, visit: usize) -> Option<i64> {
    fit(day, visit).map(|fit| fit.cost)
}

/// Takes out what costs more than leaving it out, such as work done for the sake of a later visit that then
/// found no room. What waits comes before what it waits for, which may be worth it without.
fn drop_dear(day: &mut Day) {
    let mut served: Vec<usize> = (0..day.model.visits.len())
        .filter(|&v| day.served[v].is_some() && !day.model.visits[v].must)
        .collect();
    served.sort_by_key(|&v| Reverse(day.served[v].map(|s| s.end)));
    let mut trial = day.clone();
    for visit in served {
        if day.served[visit].is_none() {
            continue;
        }
        trial.remove(&[visit], &mut Vec::new());
        if trial.cost() < day.cost() {
            day.clone_from(&trial);
        } else {
            trial.clone_from(day);
        }
    }
}

/// Lays every round anew until nothing moves: what one round gives up, another may take.
fn tighten(day: &mut Day) {
    for _ in 0..MOST_TURNS {
        let before = (
            day.served.clone(),
            day.rounds
                .iter()
                .map(|r| r.breaks.clone())
                .collect::<Vec<_>>(),
        );
        for crew in 0..day.rounds.len() {
            day.relay(crew);
        }
        if before.0 == day.served && before.1.iter().eq(day.rounds.iter().map(|r| &r.breaks)) {
            return;
        }
    }
}

/// A visit's place in a day in which nothing else moves.
struct Fit {
    spot: Spot,
    start: i64,
    end: i64,
    /// When the crew is done, where that changes.
    done: Option<i64>,
    /// Units that it adds.
    cost: i64,
}

/// What all the places of one visit in one round have in common.
struct Try<'a> {
    visit: usize,
    offer: &'a Offer,
    /// Earliest start and latest end, for what it waits for and what waits for it.
    lo: i64,
    hi: i64,
}

/// The cheapest place of a visit with every other stop, break and watering unmoved. In each gap the earliest
/// start is the cheapest, and leaves the most room behind it.
fn fit(day: &Day, visit: usize) -> Option<Fit> {
    let model = day.model;
    let v = &model.visits[visit];
    let mut lo = 0;
    for &a in &v.after {
        lo = lo.max(day.served[a]?.end);
    }
    let hi = v
        .before
        .iter()
        .filter_map(|&b| day.served[b])
        .map(|s| s.start)
        .min()
        .unwrap_or(i64::MAX);
    let mut best: Option<Fit> = None;
    for (o, offer) in v.offers.iter().enumerate() {
        let (c, round) = (&model.crews[offer.crew()], &day.rounds[offer.crew()]);
        if round.load + v.load > c.load_limit || !day.kits.allow(model, offer) {
            continue;
        }
        let one = Try {
            visit,
            offer,
            lo: lo.max(offer.lo()),
            hi: hi.min(offer.hi()),
        };
        let places = if round.stops.is_empty() {
            alone(day, &one)
        } else {
            beside(day, &one)
        };
        for place in places {
            let had = if round.stops.is_empty() {
                0
            } else {
                c.overtime(round.done)
            };
            let cost = offer.cost()
                + c.rate * place.travel
                + v.late(offer, place.end)
                + place.done.map_or(0, |done| c.overtime(done) - had)
                + c.balance(round.work + place.travel + offer.dur())
                - c.balance(round.work);
            if best.as_ref().is_none_or(|b| cost < b.cost) {
                let spot = Spot {
                    crew: offer.crew(),
                    gap: place.gap,
                    offer: o,
                };
                best = Some(Fit {
                    spot,
                    start: place.end - offer.dur(),
                    end: place.end,
                    done: place.done,
                    cost,
                });
            }
        }
    }
    best
}

/// A place in a round.
struct Place {
    gap: usize,
    end: i64,
    /// When the crew is done, where the place is the last.
    done: Option<i64>,
    /// Seconds of travel it adds.
    travel: i64,
}

impl Try<'_> {
    /// The end of the service for a crew that arrives then, clear of these breaks.
    fn end(&self, day: &Day, arrive: i64, breaks: &[(i64, i64)]) -> Option<i64> {
        let v = &day.model.visits[self.visit];
        let dur = self.offer.dur();
        let mut start = arrive.max(self.lo);
        loop {
            let rest = breaks
                .iter()
                .find(|b| b.0 < start + dur && start < b.1)
                .map(|b| b.1);
            let work = || {
                day.places[v.place]
                    .iter()
                    .find(|b| spans::overlap((start, start + dur), (b.from, b.to)))
            };
            let busy = if v.shared { work().map(|b| b.to) } else { None };
            match rest.or(busy) {
                Some(until) => start = until,
                None => break,
            }
        }
        let end = start + dur;
        let watered = || v.water.is_none() || day.watering_from(self.visit, end, None).is_some();
        (end <= self.hi && watered()).then_some(end)
    }
}

/// Every gap of a round, its breaks unmoved.
fn beside(day: &Day, one: &Try) -> Vec<Place> {
    let model = day.model;
    let crew = one.offer.crew();
    let (c, round) = (&model.crews[crew], &day.rounds[crew]);
    let breaks: Vec<(i64, i64)> = round
        .breaks
        .iter()
        .zip(&c.breaks)
        .map(|(&at, b)| (at, at + b.len))
        .collect();
    let arrive = |mut at: i64, way: i64| {
        for &(from, to) in &breaks {
            if to > at && from < at + way && to > from {
                at = to;
            }
        }
        at + way
    };
    let place = model.visits[one.visit].place;
    let mut out = Vec::new();
    // Work that takes no time could also stand the other way round, but would not when it is laid anew.
    let (first, last) = insertion::between(day, one.visit, crew);
    for gap in first..=last {
        let Gap { from, to, at, .. } = round.gaps[gap];
        let (there, on) = (model.travel(from, place), model.travel(place, to));
        let Some(end) = one.end(day, arrive(at, there), &breaks) else {
            continue;
        };
        let mut then = arrive(end, on);
        let travel = there + on - model.travel(from, to);
        if let Some(next) = round.stops.get(gap) {
            if then <= next.start {
                out.push(Place {
                    gap,
                    end,
                    done: None,
                    travel,
                });
            }
            continue;
        }
        if let Some(last) = breaks.last().filter(|b| b.1 > c.shift_end) {
            then = then.max(last.1);
        }
        if then <= c.until {
            out.push(Place {
                gap,
                end,
                done: Some(then),
                travel,
            });
        }
    }
    out
}

/// A round for this visit alone, for every way to lay the crew's breaks around it: before leaving, after
/// arriving, before going home, at home.
fn alone(day: &Day, one: &Try) -> Vec<Place> {
    let model = day.model;
    let c = &model.crews[one.offer.crew()];
    let place = model.visits[one.visit].place;
    let (there, back) = (
        model.travel(c.start_place, place),
        model.travel(place, c.end_place),
    );
    let mut out = Vec::new();
    for taken in 0..=c.breaks.len() {
        let Some((ready, _)) = timing::cross(c.from, there, &c.breaks[..taken]) else {
            continue;
        };
        let Some(end) = one.end(day, ready, &[]) else {
            continue;
        };
        let Some((done, _)) = timing::cross(end, back, &c.breaks[taken..]) else {
            continue;
        };
        if done <= c.until {
            out.push(Place {
                gap: 0,
                end,
                done: Some(done),
                travel: there + back,
            });
        }
    }
    out
}

/// Puts a visit where it fits, best by laying its round anew, else with nothing else moved.
fn put(day: &mut Day, visit: usize, fit: &Fit) -> bool {
    if day.insert(visit, fit.spot) {
        return true;
    }
    let (crew, gap) = (fit.spot.crew, fit.spot.gap);
    let c = &day.model.crews[crew];
    let round = &day.rounds[crew];
    if round.stops.is_empty() {
        return false;
    }
    let had = |at: i64, (from, b): (&i64, &Break)| from + b.len <= at;
    let rested = round
        .breaks
        .iter()
        .zip(&c.breaks)
        .take_while(|&x| had(fit.start, x))
        .count();
    let rested = rested.clamp(round.gaps[gap].rested, round.gaps[gap].rested_then);
    let mut stops = round.stops.clone();
    stops.insert(
        gap,
        Stop {
            visit,
            offer: fit.spot.offer,
            start: fit.start,
            end: fit.end,
            rested,
        },
    );
    let laid = Laid {
        latest: timing::latest(day, crew, &stops),
        breaks: round.breaks.clone(),
        done: fit.done.unwrap_or(round.done),
    };
    day.insert_laid(visit, fit.spot, stops, &laid)
}
