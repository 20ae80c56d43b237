//! Which visits are near which: in travel, and in the hours in which they can be done.

use crate::model::{Model, Offer};

/// For each visit at most so many neighbours.
const NEIGHBOURS: usize = 100;
/// What a second between two visits' hours counts beside a second of travel.
const HOURS_WEIGHT: i64 = 4;

/// For each visit that can be served the others that can, nearest first, itself in front.
pub(crate) fn neighbours(model: &Model) -> Vec<Vec<usize>> {
    let hours: Vec<Option<(i64, i64)>> = model
        .visits
        .iter()
        .map(|v| {
            Some((
                v.offers.iter().map(Offer::lo).min()?,
                v.offers.iter().map(Offer::hi).max()?,
            ))
        })
        .collect();
    (0..model.visits.len())
        .map(|i| {
            let Some((open, close)) = hours[i] else {
                return Vec::new();
            };
            let far = |k: usize| {
                let (from, to) = hours[k]?;
                let (a, b) = (model.visits[i].place, model.visits[k].place);
                let apart = (from - close).max(open - to).max(0);
                Some((
                    model.travel(a, b) + model.travel(b, a) + apart / HOURS_WEIGHT,
                    k,
                ))
            };
            let mut others: Vec<(i64, usize)> = (0..hours.len())
                .filter(|&k| k != i)
                .filter_map(far)
                .collect();
            others.sort_unstable();
            others.truncate(NEIGHBOURS);
            std::iter::once(i)
                .chain(others.into_iter().map(|(_, k)| k))
                .collect()
        })
        .collect()
}
