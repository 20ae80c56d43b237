//! A day out of two: some rounds of one taken over into the other.
//!
//! Those of one or more crews that work near each other, as in the selective route exchange of Nagata &
//! Kobayashi, "A memetic algorithm for the pickup and delivery problem with time windows using selective route
//! exchange crossover", PPSN XI, 2010 (cited from memory); what then is in no round is put back greedily.

use crate::day::{Day, Spot};
use crate::rng::Rng;

/// The first day with some rounds of the second. What then is in no round is left out.
pub(super) fn mixed<'m>(
    first: &Day<'m>,
    second: &Day<'m>,
    near: &[Vec<usize>],
    rng: &mut Rng,
) -> Day<'m> {
    let mut day = first.clone();
    let givers = neighbours(second, near, rng);
    let mut takers: Vec<usize> = Vec::new();
    for &giver in &givers {
        takers.push(taker(first, second, giver, &takers));
    }
    let mut out = Vec::new();
    for (&giver, &taker) in givers.iter().zip(&takers) {
        let old = first.rounds[taker].stops.iter();
        let new = second.rounds[giver].stops.iter();
        out.extend(old.chain(new).map(|s| s.visit));
    }
    day.remove(&out, &mut Vec::new());
    for (&giver, &taker) in givers.iter().zip(&takers) {
        for stop in &second.rounds[giver].stops {
            let v = &day.model.visits[stop.visit];
            let offer = stop.offer - v.offers_of(giver).start + v.offers_of(taker).start;
            let waits = v.after.iter().any(|&a| day.served[a].is_none());
            if waits || !day.kits.allow(day.model, &v.offers[offer]) {
                continue;
            }
            let gap = day.rounds[taker].stops.len();
            let spot = Spot {
                crew: taker,
                gap,
                offer,
            };
            // Where it no longer fits it is put back elsewhere later.
            day.insert(stop.visit, spot);
        }
    }
    day
}

/// Up to half of the crews with a round, near each other.
fn neighbours(day: &Day, near: &[Vec<usize>], rng: &mut Rng) -> Vec<usize> {
    let rounds = day.rounds.iter().filter(|r| !r.stops.is_empty()).count();
    let many = 1 + rng.below((rounds / 2).max(1));
    let mut crews = Vec::new();
    for &visit in &near[rng.below(near.len())] {
        if crews.len() >= many {
            break;
        }
        if let Some(served) = day.served[visit]
            && !crews.contains(&served.crew)
        {
            crews.push(served.crew);
        }
    }
    crews
}

/// Of the crews that are like the giver the one whose round has the most in common with the giver's.
fn taker(first: &Day, second: &Day, giver: usize, taken: &[usize]) -> usize {
    let crews = &first.model.crews;
    let common = |crew: usize| {
        let stops = first.rounds[crew].stops.iter();
        let by_giver = |visit: usize| second.served[visit].is_some_and(|s| s.crew == giver);
        stops.filter(|s| by_giver(s.visit)).count()
    };
    let alike = (0..crews.len()).filter(|&k| crews[k].twin_of == crews[giver].twin_of);
    let free = alike.filter(|k| !taken.contains(k));
    let most = free.max_by_key(|&k| (common(k), first.rounds[k].stops.is_empty()));
    most.unwrap_or(giver)
}
