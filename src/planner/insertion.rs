//! The cheapest place for an unserved visit, every other round unmoved.
//!
//! A spot is tried by looking at the new stop itself and then at how far it pushes the stops behind it; the
//! push mostly ends at the first stop that waits for its window, and [`Round::latest`](crate::day::Round)
//! turns most hopeless spots away before.

use crate::day::{Day, Spot};
use crate::model::Offer;
use crate::rng::Rng;
use crate::timing::cross;

/// A tool class that a crew is not to use for a while.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Denied {
    pub crew: usize,
    pub class: usize,
}

/// Which spots are not looked at.
pub(crate) struct Blinks<'a> {
    pub rng: &'a mut Rng,
    /// One gap in so many is passed over, none where it is 0 (Christiaens & Vanden Berghe 2020, "blinks").
    pub one_in: usize,
    /// Crews that may not use a class.
    pub denied: &'a [Denied],
}

impl Blinks<'_> {
    fn blink(&mut self) -> bool {
        self.one_in > 0 && self.rng.once_in(self.one_in)
    }
}

/// The cheapest spot below `limit` units, but for those in `barred`.
pub(crate) fn cheapest(
    day: &Day,
    visit: usize,
    limit: i64,
    barred: &[Spot],
    blinks: &mut Blinks,
) -> Option<Spot> {
    let model = day.model;
    let v = &model.visits[visit];
    if v.after.iter().any(|&a| day.served[a].is_none()) {
        return None;
    }
    let mut search = Search {
        day,
        visit,
        best: None,
        limit,
        barred,
    };
    for (c, crew) in model.crews.iter().enumerate() {
        let round = &day.rounds[c];
        let twin = crew.twin_of;
        if round.stops.is_empty()
            && twin != c
            && (twin..c).any(|k| model.crews[k].twin_of == twin && day.rounds[k].stops.is_empty())
        {
            continue;
        }
        if round.load + v.load <= crew.load_limit {
            search.round(c, blinks);
        }
    }
    search.best
}

struct Search<'a, 'm> {
    day: &'a Day<'m>,
    visit: usize,
    best: Option<Spot>,
    /// The cost to stay below, in units.
    limit: i64,
    barred: &'a [Spot],
}

impl Search<'_, '_> {
    fn round(&mut self, crew: usize, blinks: &mut Blinks) {
        let (day, model) = (self.day, self.day.model);
        let v = &model.visits[self.visit];
        let (c, round) = (&model.crews[crew], &day.rounds[crew]);
        let denied = |o: &Offer| {
            let to_crew = blinks.denied.iter().filter(|d| d.crew == crew);
            to_crew.into_iter().any(|d| o.tools.contains(&d.class))
        };
        let mut offers = v.offers_of(crew).collect::<Vec<usize>>();
        offers.retain(|&o| day.kits.allow(model, &v.offers[o]) && !denied(&v.offers[o]));
        let Some(latest_end) = offers.iter().map(|&o| v.offers[o].hi).max() else {
            return;
        };
        // Behind what it waits for, before what waits for it.
        let stops = &round.stops;
        let (mut first, mut last) = (0, stops.len());
        if !v.after.is_empty() {
            first = stops
                .iter()
                .rposition(|s| v.after.contains(&s.visit))
                .map_or(0, |i| i + 1);
        }
        if !v.before.is_empty() {
            last = stops
                .iter()
                .position(|s| v.before.contains(&s.visit))
                .unwrap_or(last);
        }
        for gap in first..=last {
            let (from, at, rested) = day.before_gap(crew, gap);
            if at > latest_end {
                break;
            }
            if blinks.blink() {
                continue;
            }
            let (to, rested_then) = day.behind_gap(crew, gap);
            let there = model.travel(from, v.place);
            let on = model.travel(v.place, to);
            let straight = if stops.is_empty() {
                0
            } else {
                model.travel(from, to)
            };
            let detour = c.rate * (there + on - straight);
            for rest in rested..=rested_then {
                let Some((ready, _)) = cross(at, there, &c.breaks[rested..rest]) else {
                    continue;
                };
                for &o in &offers {
                    let offer = &v.offers[o];
                    let work = there + on - straight + offer.dur;
                    let known =
                        detour + offer.cost + c.balance(round.work + work) - c.balance(round.work);
                    if known >= self.limit {
                        continue;
                    }
                    if ready.max(offer.lo) + offer.dur > offer.hi {
                        continue;
                    }
                    let Some(start) = day.start(crew, self.visit, offer, ready) else {
                        continue;
                    };
                    let end = start + offer.dur;
                    let known = known + v.late(offer, end);
                    if known >= self.limit {
                        continue;
                    }
                    let Some((then, _)) = cross(end, on, &c.breaks[rest..rested_then]) else {
                        continue;
                    };
                    if then > round.latest[gap] {
                        continue;
                    }
                    let Some(push) = self.push(crew, gap, then) else {
                        continue;
                    };
                    let spot = Spot {
                        crew,
                        gap,
                        offer: o,
                    };
                    if known + push < self.limit && !self.barred.contains(&spot) {
                        self.limit = known + push;
                        self.best = Some(spot);
                    }
                }
            }
        }
    }

    /// What it adds in late work and overtime that the crew is ready for its stop `from` only then; none
    /// where the rest of the round then breaks a rule.
    fn push(&self, crew: usize, from: usize, then: i64) -> Option<i64> {
        let (day, model) = (self.day, self.day.model);
        let (c, round) = (&model.crews[crew], &day.rounds[crew]);
        let (mut ready, mut cost) = (then, 0);
        for (i, stop) in round.stops.iter().enumerate().skip(from) {
            let (v, offer) = (day.visit(stop), day.offer(stop));
            if ready <= stop.start && stop.start <= offer.lo {
                return Some(cost);
            }
            let start = day.start(crew, stop.visit, offer, ready)?;
            if start <= stop.start {
                return Some(cost);
            }
            let end = start + offer.dur;
            cost += v.late(offer, end) - v.late(offer, stop.end);
            let (to, rested) = day.behind_gap(crew, i + 1);
            ready = cross(
                end,
                model.travel(v.place, to),
                &c.breaks[stop.rested..rested],
            )?
            .0;
            if ready > round.latest[i + 1] {
                return None;
            }
        }
        let overtime = if round.stops.is_empty() {
            0
        } else {
            c.overtime(round.done)
        };
        Some(cost + c.overtime(ready) - overtime)
    }
}
