//! The times of one round: where its breaks lie and when each stop starts.
//!
//! Late work and overtime only ever cost more with time, so for a given order of stops and breaks each thing
//! is best started as early as it can be. What is left to choose is between which stops each break is taken.
//! [`lay`] chooses by dynamic programming over (stops made, breaks taken), keeping for each the labels of
//! cost and time of which neither is better than the other. With one or two breaks and two dozen stops that
//! is some fifty states, mostly of one label.

use crate::day::{Day, Stop};
use crate::model::Break;

/// A round's times beside its stops'.
#[derive(Debug)]
pub(crate) struct Laid {
    /// See [`Gap::latest`](crate::day::Gap).
    pub latest: Vec<i64>,
    /// When each break starts.
    pub breaks: Vec<i64>,
    /// When the crew is home and has had its breaks.
    pub done: i64,
}

/// From `at` on, the crew travels for `way` seconds and takes these breaks: when is it ready, and how many of
/// the breaks come before the travel?
///
/// As few as possible: a break taken after the travel starts no earlier, so it waits less for its window.
pub(crate) fn cross(at: i64, way: i64, breaks: &[Break]) -> Option<(i64, usize)> {
    let mut left = at;
    for before in 0..=breaks.len() {
        if let Some(ready) = breaks[before..].iter().try_fold(left + way, take) {
            return Some((ready, before));
        }
        left = take(left, breaks.get(before)?)?;
    }
    None
}

fn take(at: i64, b: &Break) -> Option<i64> {
    let start = at.max(b.open);
    (start <= b.close).then_some(start + b.len)
}

/// The latest departure for which [`cross`] is ready at `ready`, at the latest.
fn cross_back(ready: i64, way: i64, breaks: &[Break]) -> Option<i64> {
    let back = |at: i64, b: &Break| {
        let start = (at - b.len).min(b.close);
        (start >= b.open).then_some(start)
    };
    let departures = (0..=breaks.len()).filter_map(|before| {
        let there = breaks[before..].iter().rev().try_fold(ready, back)?;
        breaks[..before].iter().rev().try_fold(there - way, back)
    });
    departures.max()
}

/// Where the crew is and what it has cost so far, after a stop with so many breaks taken.
#[derive(Clone, Copy)]
struct Label {
    cost: i64,
    /// End of the stop.
    time: i64,
    /// Sum of starts, so that of timings of equal cost the earliest is taken.
    starts: i64,
    rested: usize,
    /// The label before, as an index.
    from: usize,
}

impl Label {
    fn at_least_as_good(&self, other: &Self) -> bool {
        self.rested == other.rested
            && (self.cost, self.time) != (other.cost, other.time)
            && self.cost <= other.cost
            && self.time <= other.time
            || (self.rested, self.cost, self.time) == (other.rested, other.cost, other.time)
                && self.starts <= other.starts
    }
}

/// Lays a round's stops in this order, every other round unmoved; sets their times. None where it does not
/// go; the stops' times then mean nothing.
pub(crate) fn lay(day: &Day, crew: usize, stops: &mut [Stop]) -> Option<Laid> {
    let c = &day.model.crews[crew];
    if stops.is_empty() {
        return Some(Laid {
            latest: vec![c.until],
            breaks: Vec::new(),
            done: 0,
        });
    }
    let breaks = c.breaks.as_slice();
    if breaks.is_empty() {
        return straight_through(day, crew, stops);
    }
    let mut labels = Vec::with_capacity(3 * (stops.len() + 1));
    labels.push(Label {
        cost: 0,
        time: c.from,
        starts: 0,
        rested: 0,
        from: 0,
    });
    let mut layer = 0..1;
    let mut place = c.start_place;
    for stop in stops.iter() {
        let (v, offer) = (day.visit(stop), day.offer(stop));
        let way = day.model.travel(place, v.place);
        let first = labels.len();
        for from in layer {
            let label = labels[from];
            for rested in label.rested..=breaks.len() {
                let Some((ready, _)) = cross(label.time, way, &breaks[label.rested..rested]) else {
                    continue;
                };
                let Some(start) = day.start(crew, stop.visit, offer, ready) else {
                    continue;
                };
                let time = start + offer.dur();
                let next = breaks.get(rested);
                let cost = label.cost + v.late(offer, time);
                let new = Label {
                    cost,
                    time,
                    starts: label.starts + start,
                    rested,
                    from,
                };
                keep(&mut labels, first, new);
                // A break that cannot start before this stop is over is better taken behind it.
                if next.is_some_and(|b| time <= b.open) {
                    break;
                }
            }
        }
        if labels.len() == first {
            return None;
        }
        layer = first..labels.len();
        place = v.place;
    }
    let home = day.model.travel(place, c.end_place);
    let ends = layer.filter_map(|i| {
        let (done, _) = cross(labels[i].time, home, &breaks[labels[i].rested..])?;
        (done <= c.until).then(|| (labels[i].cost + c.overtime(done), done, labels[i].starts, i))
    });
    let (_, done, _, mut at) = ends.min()?;
    for stop in stops.iter_mut().rev() {
        stop.end = labels[at].time;
        stop.start = stop.end - day.offer(stop).dur();
        stop.rested = labels[at].rested;
        at = labels[at].from;
    }
    Some(Laid {
        latest: latest(day, crew, stops),
        breaks: rests(day, crew, stops),
        done,
    })
}

/// Adds a label to those from `first` on, of which none is worse than another.
fn keep(labels: &mut Vec<Label>, first: usize, new: Label) {
    if labels[first..].iter().any(|l| l.at_least_as_good(&new)) {
        return;
    }
    let mut i = first;
    while i < labels.len() {
        if new.at_least_as_good(&labels[i]) {
            labels.swap_remove(i);
        } else {
            i += 1;
        }
    }
    labels.push(new);
}

/// [`lay`] for a crew without breaks, which leaves nothing to choose.
fn straight_through(day: &Day, crew: usize, stops: &mut [Stop]) -> Option<Laid> {
    let c = &day.model.crews[crew];
    let (mut at, mut place) = (c.from, c.start_place);
    for stop in stops.iter_mut() {
        let (v, offer) = stop.of(day.model);
        let ready = at + day.model.travel(place, v.place);
        stop.start = day.start(crew, stop.visit, offer, ready)?;
        stop.end = stop.start + offer.dur();
        stop.rested = 0;
        (at, place) = (stop.end, v.place);
    }
    let done = at + day.model.travel(place, c.end_place);
    (done <= c.until).then(|| Laid {
        latest: latest(day, crew, stops),
        breaks: Vec::new(),
        done,
    })
}

/// See [`Gap::latest`](crate::day::Gap).
pub(crate) fn latest(day: &Day, crew: usize, stops: &[Stop]) -> Vec<i64> {
    let c = &day.model.crews[crew];
    let mut latest = vec![c.until; stops.len() + 1];
    let (mut place, mut rested) = (c.end_place, c.breaks.len());
    for (i, stop) in stops.iter().enumerate().rev() {
        let (v, offer) = (day.visit(stop), day.offer(stop));
        let way = day.model.travel(v.place, place);
        let leave =
            cross_back(latest[i + 1], way, &c.breaks[stop.rested..rested]).unwrap_or(stop.end);
        latest[i] = leave.min(offer.hi()) - offer.dur();
        (place, rested) = (v.place, stop.rested);
    }
    latest
}

/// When each break of a laid round starts: as early as the stops around it allow.
fn rests(day: &Day, crew: usize, stops: &[Stop]) -> Vec<i64> {
    let c = &day.model.crews[crew];
    let mut starts = Vec::with_capacity(c.breaks.len());
    let (mut place, mut at, mut rested) = (c.start_place, c.from, 0);
    let homeward = [(c.end_place, 0, c.breaks.len())];
    let stations = stops
        .iter()
        .map(|s| (day.visit(s).place, s.end, s.rested))
        .chain(homeward);
    for (next, end, rested_there) in stations {
        let breaks = &c.breaks[rested..rested_there];
        let way = day.model.travel(place, next);
        let before = cross(at, way, breaks).map_or(0, |(_, before)| before);
        let mut now = if before == 0 { at + way } else { at };
        for (i, b) in breaks.iter().enumerate() {
            let start = now.max(b.open);
            starts.push(start);
            now = start + b.len + if i + 1 == before { way } else { 0 };
        }
        (place, at, rested) = (next, end, rested_there);
    }
    starts
}
