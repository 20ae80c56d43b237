//! A day with more of something never costs more than the day itself.

use proptest::prelude::*;

use super::bound::bound_after;
use super::builder::{checked, planned_with};
use super::properties::{Dice, random_day};
use crate::problem::{Problem, Visit};
use crate::rng::Rng;
use crate::{Control, Options, improve};

/// A way to ask less of a day: whatever could be done before can still be done, and costs no more.
type Relief = fn(&mut Dice, &mut Problem);

fn visit<'p>(d: &mut Dice, p: &'p mut Problem) -> &'p mut Visit {
    let one = d.up_to(i64::try_from(p.visits.len()).expect("small") - 1);
    &mut p.visits[usize::try_from(one).expect("not negative")]
}

fn open_all(p: &mut Problem) {
    p.open_places = Some((0..).take(p.travel_s.len()).collect());
}

const RELIEFS: [(&str, Relief); 16] = [
    ("a tool more", |d, p| {
        let more = d.up_to(2);
        p.tools.iter_mut().for_each(|t| t.count += more);
    }),
    ("more water", |d, p| {
        let more = d.up_to(3);
        p.water.iter_mut().for_each(|g| g.capacity_mlps += more);
    }),
    ("no water given away", |_, p| {
        p.water.iter_mut().for_each(|g| g.taken = None);
    }),
    ("longer overtime", |d, p| {
        let more = d.up_to(30);
        p.crews.iter_mut().for_each(|c| c.overtime_until += more);
    }),
    ("lower pay", |_, p| {
        p.crews.iter_mut().for_each(|c| c.cost_per_h /= 2);
    }),
    ("larger kits and loads", |_, p| {
        for c in &mut p.crews {
            c.kit_limit += 1;
            c.load_limit_g *= 2;
        }
    }),
    ("breaks at any time", |_, p| {
        let breaks = p.crews.iter_mut().flat_map(|c| &mut c.breaks);
        breaks.for_each(|b| b.start_window[1] += 100);
    }),
    ("free choice of fair shares", |_, p| {
        p.crews
            .iter_mut()
            .for_each(|c| c.over_load_cost_per_h = c.fair_load_s.map(|_| 0));
    }),
    ("a longer window", |d, p| {
        let more = d.up_to(20);
        visit(d, p).window[1] += more;
    }),
    ("an earlier window", |d, p| {
        let window = &mut visit(d, p).window;
        window[0] -= window[0].min(10);
    }),
    ("nothing to wait for", |d, p| visit(d, p).after.clear()),
    ("a lower skip cost", |d, p| visit(d, p).skip_cost /= 2),
    ("time to be late", |d, p| {
        let v = visit(d, p);
        v.aim_end += 20;
        v.ways
            .iter_mut()
            .for_each(|w| w.aim_end = w.aim_end.map(|aim| aim + 20));
    }),
    ("no skills wanted", |d, p| {
        visit(d, p).ways.iter_mut().for_each(|w| w.skills.clear());
    }),
    ("another way", |d, p| {
        let other = visit(d, p).ways[0].clone();
        visit(d, p).ways.push(other);
    }),
    ("many at a place", |_, p| open_all(p)),
];

/// A small day without pins, which come before money, what is asked less of it, and the day then.
fn pair(seed: u64, crews: i64, visits: i64) -> (Problem, &'static str, Problem) {
    let mut tight = random_day(seed, crews, visits);
    tight.visits.iter_mut().for_each(|v| v.pinned = None);
    let d = &mut Dice(Rng::new(!seed));
    let (name, relief) = d.one_of(&RELIEFS);
    let mut relaxed = tight.clone();
    relief(d, &mut relaxed);
    (tight, name, relaxed)
}

proptest! {
    #![proptest_config(super::cases(256))]

    #[test]
    fn the_bound_of_a_day_with_more_is_below_every_plan_of_the_day(
        seed: u64, crews in 1_i64..4, visits in 1_i64..10, steps in 0_usize..2000
    ) {
        let (tight, name, relaxed) = pair(seed, crews, visits);
        let cost = planned_with(&tight, seed, 50).cost.total;
        prop_assert!(bound_after(&relaxed, steps) <= cost, "{}", name);
    }

    #[test]
    fn a_day_with_more_begun_from_the_plan_of_the_day_costs_no_more(
        seed: u64, crews in 1_i64..4, visits in 1_i64..10
    ) {
        let (mut tight, name, mut relaxed) = pair(seed, crews, visits);
        // Who comes first to a place, and whose water runs first, is laid anew: on a few days in ten thousand not
        // as well as it was.
        for p in [&mut tight, &mut relaxed] {
            p.visits.iter_mut().for_each(|v| v.water = None);
            open_all(p);
        }
        let from = planned_with(&tight, seed, 50);
        let options = Options { seed, iterations: Some(0), ..Options::default() };
        let after = improve(&checked(&relaxed), &from, &options, &mut |_| Control::Continue { spent: 0.0 });
        prop_assert!(after.cost.total <= from.cost.total, "{}", name);
    }
}

/// Given equal search, and days so small that the search comes to the least cost of nearly all.
#[test]
fn a_day_with_more_costs_no_more() {
    let (mut dearer, mut cheaper) = (Vec::new(), 0);
    for seed in 0..400 {
        let (tight, name, relaxed) = pair(seed, 2, 6);
        let [tight, relaxed] = [tight, relaxed].map(|p| planned_with(&p, 1, 1000).cost.total);
        if relaxed > tight {
            dearer.push((seed, name, tight, relaxed));
        }
        cheaper += u32::from(relaxed < tight);
    }
    assert!(dearer.is_empty(), "{dearer:?}");
    // Enough of the reliefs count for something.
    assert!(cheaper > 50, "{cheaper}");
}
