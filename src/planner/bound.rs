//! A lower bound: no plan of the problem costs less.
//!
//! In any plan a visit is either left out, for its skip cost, or served by some crew in some way, for the
//! service, the way's extra cost, the change of crew, at least the lateness of the earliest end, and its
//! travel. Every stop has exactly one leg into it and one leg out of it, and the legs into all stops are
//! distinct, so are those out of them; half a leg in and half a leg out count no leg twice either. So the sum
//! over all visits of the cheaper of leaving out and serving, with the shortest possible leg in (or out, or
//! half of each), is a bound three times over, and the greatest is taken. Legs that the hours of both ends
//! rule out are not counted.

use crate::model::Model;

/// The bound in units.
pub(crate) fn lower_bound(model: &Model) -> i64 {
    let legs = Legs::new(model);
    let crews = model.crews.len();
    let mut sums = [0_i64; 3];
    for (i, v) in model.visits.iter().enumerate() {
        let mut least = [v.skip; 3];
        for offer in &v.offers {
            let crew = &model.crews[offer.crew];
            let at = i * crews + offer.crew;
            let start = offer.lo.max(crew.from);
            let own = offer.cost + v.late(offer, start + offer.dur);
            let (into, out) = (legs.into[at], legs.out[at]);
            // A rate is a multiple of 100 units, so half a leg is a whole number.
            for (least, leg) in least.iter_mut().zip([2 * into, 2 * out, into + out]) {
                *least = (*least).min(own + crew.rate * leg / 2);
            }
        }
        for (sum, least) in sums.iter_mut().zip(least) {
            *sum += least;
        }
    }
    sums.into_iter().fold(0, i64::max)
}

/// For each visit and crew (`visit * crews + crew`) the shortest leg into and out of the visit in a round of
/// the crew, in seconds.
struct Legs {
    into: Vec<i64>,
    out: Vec<i64>,
}

impl Legs {
    fn new(model: &Model) -> Self {
        let (n, crews) = (model.visits.len(), model.crews.len());
        let mut legs = Self {
            into: vec![i64::MAX; n * crews],
            out: vec![i64::MAX; n * crews],
        };
        for (c, crew) in model.crews.iter().enumerate() {
            // Earliest end and latest start of every visit the crew could serve.
            let hours: Vec<(usize, i64, i64)> = (0..n)
                .filter_map(|i| {
                    let v = &model.visits[i];
                    let offers = &v.offers[v.offers_of(c)];
                    let end = offers.iter().map(|o| o.lo.max(crew.from) + o.dur).min()?;
                    let start = offers.iter().map(|o| o.hi - o.dur).max()?;
                    Some((i, end, start))
                })
                .collect();
            for &(i, end, _) in &hours {
                let place = model.visits[i].place;
                let at = i * crews + c;
                legs.into[at] = legs.into[at].min(model.travel(crew.start_place, place));
                legs.out[at] = legs.out[at].min(model.travel(place, crew.end_place));
                for &(k, _, start) in hours.iter().filter(|h| h.0 != i) {
                    let way = model.travel(place, model.visits[k].place);
                    if end + way <= start {
                        let to = k * crews + c;
                        legs.out[at] = legs.out[at].min(way);
                        legs.into[to] = legs.into[to].min(way);
                    }
                }
            }
        }
        legs
    }
}
