//! What is taken out at a step: strings of stops (Christiaens & Vanden Berghe 2020, section 5.1), or all
//! that a crew does with one of its tool classes.

use crate::day::Day;
use crate::insertion::Denied;
use crate::rng::Rng;

/// Mean number of visits taken out at a step.
const MEAN_REMOVED: f64 = 10.0;
/// No string is longer.
const LONGEST_STRING: f64 = 10.0;
/// How often a string leaves some stops in its middle standing, in hundredths.
const SPLIT_PERCENT: usize = 50;
/// How often the stretch left standing does not grow, in hundredths.
const GROW_STOP_PERCENT: usize = 1;

/// Chooses what to take out: strings of stops around a random visit.
#[expect(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "small positive numbers"
)]
pub(crate) fn strings(day: &Day, near: &[Vec<usize>], rng: &mut Rng) -> Vec<usize> {
    let rounds = day.rounds.iter().filter(|r| !r.stops.is_empty()).count();
    if rounds == 0 {
        return Vec::new();
    }
    let served: usize = day.rounds.iter().map(|r| r.stops.len()).sum();
    let longest = LONGEST_STRING.min(served as f64 / rounds as f64);
    let most = (4.0 * MEAN_REMOVED / (1.0 + longest) - 1.0).max(1.0);
    let strings = (rng.unit() * most + 1.0) as usize;
    let mut ruined: Vec<usize> = Vec::with_capacity(strings);
    let mut out = Vec::new();
    let seed = rng.below(day.model.visits.len());
    for &visit in &near[seed] {
        if ruined.len() >= strings {
            break;
        }
        let Some(crew) = day.served[visit].map(|s| s.crew) else {
            continue;
        };
        if ruined.contains(&crew) {
            continue;
        }
        let stops = &day.rounds[crew].stops;
        let Some(at) = stops.iter().position(|s| s.visit == visit) else {
            continue;
        };
        let length = (rng.unit() * longest.min(stops.len() as f64) + 1.0) as usize;
        let length = length.min(stops.len());
        // A split string spans some stops more, which it leaves standing.
        let mut spared = 0;
        if length > 1 && length < stops.len() && rng.below(100) < SPLIT_PERCENT {
            spared = 1;
            while length + spared < stops.len() && rng.below(100) >= GROW_STOP_PERCENT {
                spared += 1;
            }
        }
        let span = length + spared;
        let first = at.saturating_sub(span - 1);
        let last = at.min(stops.len() - span);
        let from = first + rng.below(last + 1 - first);
        let spare_from = from
            + if spared > 0 {
                1 + rng.below(length - 1)
            } else {
                0
            };
        let spare = spare_from..spare_from + spared;
        out.extend(
            (from..from + span)
                .filter(|i| !spare.contains(i))
                .map(|i| stops[i].visit),
        );
        ruined.push(crew);
    }
    out
}

/// Chooses a class of a crew's own choice at random, and the visits it serves with it.
pub(crate) fn class(day: &Day, rng: &mut Rng) -> Option<(Denied, Vec<usize>)> {
    let free = |&c: &usize| day.model.crews[c].given.is_none();
    let crews = (0..day.rounds.len()).filter(free);
    let kits = crews.flat_map(|crew| day.kits.of(crew).map(move |class| Denied { crew, class }));
    let kits: Vec<Denied> = kits.collect();
    let denied = *kits.get(rng.below(kits.len()))?;
    let stops = day.rounds[denied.crew].stops.iter();
    let served = stops.filter(|s| day.offer(s).tools(day.model).contains(&denied.class));
    Some((denied, served.map(|s| s.visit).collect()))
}
