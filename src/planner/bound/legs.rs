//! The floor: the cheapest leg and service of every visit.
//!
//! In any plan a visit is either left out, for its skip cost, or served by some crew in some way, for the
//! service, the way's extra cost, the change of crew, at least the lateness of the earliest end, and its
//! travel. Every stop has exactly one leg into it and one leg out of it, and the legs into all stops are
//! distinct, so are those out of them; half a leg in and half a leg out count no leg twice either. So the sum
//! over all visits of the cheaper of leaving out and serving, with the shortest possible leg in (or out, or
//! half of each), is a bound three times over, and the greatest is taken. Legs that the hours of both ends
//! rule out are not counted.

use super::task::Task;

/// What each visit adds to the bound at least, in units, by the best of the three ways to count legs.
pub(super) fn floor(task: &Task) -> Vec<i64> {
    let legs = Legs::new(task);
    let groups = task.groups.len();
    let mut parts: [Vec<i64>; 3] = Default::default();
    for (i, visit) in task.visits.iter().enumerate() {
        let v = &task.model.visits[i];
        let mut least = [v.skip; 3];
        for offer in &visit.offers {
            let crew = &task.model.crews[task.groups[offer.group()].crew];
            let at = i * groups + offer.group();
            let own = offer.cost() + offer.late(offer.lo() + offer.dur());
            let (into, out) = (legs.into[at], legs.out[at]);
            // A rate is a multiple of 100 units, so half a leg is a whole number.
            for (least, leg) in least.iter_mut().zip([2 * into, 2 * out, into + out]) {
                *least = (*least).min(own + crew.rate * leg / 2);
            }
        }
        for (part, least) in parts.iter_mut().zip(least) {
            part.push(least);
        }
    }
    let [into, out, both] = parts;
    let better = |a: Vec<i64>, b: Vec<i64>| {
        if sum(&b) > sum(&a) { b } else { a }
    };
    better(both, better(into, out))
}

/// A sum that does not overflow.
pub(super) fn sum(parts: &[i64]) -> i64 {
    parts.iter().fold(0, |a, &b| a.saturating_add(b))
}

/// For each visit and group of crews (`visit * groups + group`) the shortest leg into and out of the visit in
/// a round of the crew, in seconds.
struct Legs {
    into: Vec<i64>,
    out: Vec<i64>,
}

impl Legs {
    fn new(task: &Task) -> Self {
        let (model, n, groups) = (task.model, task.visits.len(), task.groups.len());
        let mut legs = Self {
            into: vec![i64::MAX; n * groups],
            out: vec![i64::MAX; n * groups],
        };
        for (g, group) in task.groups.iter().enumerate() {
            let crew = &model.crews[group.crew];
            // Earliest end and latest start of every visit the crew could serve.
            let hours: Vec<(usize, i64, i64)> = (0..n)
                .filter_map(|i| {
                    let offers = task.visits[i].offers.iter().filter(|o| o.group() == g);
                    let end = offers.clone().map(|o| o.lo() + o.dur()).min()?;
                    let start = offers.map(|o| o.hi() - o.dur()).max()?;
                    Some((i, end, start))
                })
                .collect();
            for &(i, end, _) in &hours {
                let place = model.visits[i].place;
                let at = i * groups + g;
                legs.into[at] = legs.into[at].min(model.travel(crew.start_place, place));
                legs.out[at] = legs.out[at].min(model.travel(place, crew.end_place));
                for &(k, _, start) in hours.iter().filter(|h| h.0 != i) {
                    let way = model.travel(place, model.visits[k].place);
                    if end + way <= start {
                        let to = k * groups + g;
                        legs.out[at] = legs.out[at].min(way);
                        legs.into[to] = legs.into[to].min(way);
                    }
                }
            }
        }
        legs
    }
}
