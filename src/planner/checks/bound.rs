//! The lower bound against every plan there is, on days small enough to try them all, and against plans
//! found, on days with everything.

use proptest::prelude::*;

use super::builder::{checked, crew, day, planned_with, rest, tool, visit, way};
use super::properties::random_day;
use crate::lower_bound;
use crate::money::{CENT, PER_HOUR, Total};
use crate::problem::{Crew, Problem, Visit, Way};

/// The bound after so many questions whether to go on.
pub(super) fn bound_after(p: &Problem, steps: usize) -> Total {
    let mut left = steps;
    lower_bound(&checked(p), &mut || {
        left = left.saturating_sub(1);
        left > 0
    })
}

/// The cheapest plan by trying all, for days in which rounds share nothing but tools.
struct Trial<'p> {
    p: &'p Problem,
    /// The way of each visit that is served, and by whom.
    chosen: Vec<Option<(usize, usize)>>,
    best: i64,
}

impl Trial<'_> {
    fn least(p: &Problem) -> i64 {
        let mut trial = Trial {
            p,
            chosen: vec![None; p.visits.len()],
            best: i64::MAX,
        };
        trial.choose(0);
        trial.best
    }

    fn choose(&mut self, visit: usize) {
        let p = self.p;
        let Some(v) = p.visits.get(visit) else {
            self.best = self.best.min(self.cost().unwrap_or(i64::MAX));
            return;
        };
        self.chosen[visit] = None;
        self.choose(visit + 1);
        for (c, crew) in p.crews.iter().enumerate() {
            for (w, way) in v.ways.iter().enumerate() {
                let skilled = way.skills.iter().all(|s| crew.skills.contains(s));
                let pinned = v.pinned.as_ref().is_none_or(|pin| pin.crew == crew.id);
                if skilled && pinned && crew.hands >= way.min_hands {
                    self.chosen[visit] = Some((c, w));
                    self.choose(visit + 1);
                }
            }
        }
        self.chosen[visit] = None;
    }

    fn cost(&self) -> Option<i64> {
        let p = self.p;
        let left_out = p
            .visits
            .iter()
            .zip(&self.chosen)
            .filter(|(_, c)| c.is_none());
        let mut cost: i64 = left_out.map(|(v, _)| v.skip_cost * CENT).sum();
        let mut kits = Vec::new();
        for (c, crew) in p.crews.iter().enumerate() {
            let stops: Vec<(&Visit, &Way)> = p
                .visits
                .iter()
                .zip(&self.chosen)
                .filter_map(|(v, chosen)| Some((v, &v.ways[chosen.filter(|x| x.0 == c)?.1])))
                .collect();
            let mut kit: Vec<&String> = stops.iter().flat_map(|s| &s.1.tools).collect();
            kit.sort();
            kit.dedup();
            match &crew.kit {
                Some(given) if kit.iter().any(|k| !given.contains(k)) => return None,
                Some(given) => kit = given.iter().collect(),
                None if i64::try_from(kit.len()).ok()? > crew.kit_limit => return None,
                None => {}
            }
            kits.push((crew.kit_span(), kit));
            if stops.iter().map(|s| s.0.load_g).sum::<i64>() > crew.load_limit_g {
                return None;
            }
            if !stops.is_empty() {
                let mut least = None;
                orders(&mut stops.clone(), 0, &mut |stops| {
                    let round = Round { p, crew, stops };
                    round.go(0, crew.shift[0], 0, 0, &mut least);
                });
                cost += least?;
            }
        }
        for tool in &p.tools {
            for (span, _) in &kits {
                let holds = |k: &&([i64; 2], Vec<&String>)| {
                    k.0[0] <= span[0] && span[0] < k.0[1] && k.1.contains(&&tool.class)
                };
                if span[0] < span[1]
                    && i64::try_from(kits.iter().filter(holds).count()).ok()? > tool.count
                {
                    return None;
                }
            }
        }
        Some(cost)
    }
}

fn orders<T>(list: &mut Vec<T>, from: usize, each: &mut impl FnMut(&[T])) {
    if from == list.len() {
        return each(list);
    }
    for i in from..list.len() {
        list.swap(from, i);
        orders(list, from + 1, each);
        list.swap(from, i);
    }
}

/// A crew's stops in this order.
struct Round<'a> {
    p: &'a Problem,
    crew: &'a Crew,
    stops: &'a [(&'a Visit, &'a Way)],
}

impl Round<'_> {
    fn place(&self, i: usize) -> i64 {
        match i.checked_sub(1) {
            None => self.crew.start_place,
            Some(i) => self.stops.get(i).map_or(self.crew.end_place, |s| s.0.place),
        }
    }

    fn travel(&self, leg: usize) -> i64 {
        let at = |i: i64| usize::try_from(i).expect("an index");
        self.p.travel_s[at(self.place(leg))][at(self.place(leg + 1))]
    }

    /// From the stop `leg` on (0 is the start), with breaks taken, for every way to lay the others.
    fn go(&self, leg: usize, at: i64, taken: usize, late: i64, least: &mut Option<i64>) {
        let breaks = &self.crew.breaks;
        for before in taken..=breaks.len() {
            for then in before..=breaks.len() {
                let take = |at: i64, b: &crate::problem::Break| {
                    let start = at.max(b.start_window[0]);
                    (start <= b.start_window[1]).then_some(start + b.length_s)
                };
                let left = breaks[taken..before].iter().try_fold(at, take);
                let come = left.map(|left| left + self.travel(leg));
                let Some(ready) = come.and_then(|c| breaks[before..then].iter().try_fold(c, take))
                else {
                    continue;
                };
                if leg == self.stops.len() {
                    if then == breaks.len() && ready <= self.crew.overtime_until {
                        let cost = late + self.rest(ready);
                        *least = Some(least.map_or(cost, |l| l.min(cost)));
                    }
                } else if let Some((end, cost)) = self.serve(leg, ready) {
                    self.go(leg + 1, end, then, late + cost, least);
                }
            }
        }
    }

    fn serve(&self, leg: usize, ready: i64) -> Option<(i64, i64)> {
        let (v, way) = self.stops[leg];
        let [mut open, mut close] = way.window.unwrap_or(v.window);
        if let Some([from, to]) = self.crew.kit_hours
            && !way.tools.is_empty()
        {
            (open, close) = (open.max(from), close.min(to));
        }
        let mut start = ready.max(open);
        if let Some(at) = v.pinned.as_ref().and_then(|p| p.start_s) {
            if at < start {
                return None;
            }
            start = at;
        }
        let end = start + way.service(self.crew.hands);
        let aim = way.aim_end.unwrap_or(v.aim_end);
        (end <= close).then_some((end, v.late_cost_per_h * PER_HOUR * (end - aim).max(0)))
    }

    /// What does not depend on the times, and the overtime.
    fn rest(&self, done: i64) -> i64 {
        let c = self.crew;
        let travel: i64 = (0..=self.stops.len()).map(|leg| self.travel(leg)).sum();
        let service: i64 = self.stops.iter().map(|s| s.1.service(c.hands)).sum();
        let work = travel + service;
        let above =
            (work - c.fair_load_s.unwrap_or(0)).max(0) * c.over_load_cost_per_h.unwrap_or(0);
        let premium = (done - c.shift[1]).max(0) * c.cost_per_h * (c.overtime_pct - 100);
        let extra = self.stops.iter().map(|(v, way)| {
            let change = v.prefer.as_ref().filter(|p| p.crew != c.id);
            way.extra_cost + change.map_or(0, |p| p.change_cost)
        });
        (work * c.cost_per_h + above) * PER_HOUR
            + premium * PER_HOUR / 100
            + extra.sum::<i64>() * CENT
    }
}

/// A random day without what ties the times of rounds to each other.
fn untied(seed: u64, crews: i64, visits: i64) -> Problem {
    let mut p = random_day(seed, crews, visits);
    for v in &mut p.visits {
        v.after.clear();
        v.water = None;
    }
    p.open_places = Some((0..i64::try_from(p.travel_s.len()).expect("small")).collect());
    p
}

proptest! {
    #![proptest_config(super::cases(200))]

    #[test]
    fn no_plan_at_all_is_below_the_bound(seed: u64, crews in 1_i64..3, visits in 1_i64..4, steps in 0_usize..400) {
        let p = untied(seed, crews, visits);
        let least = Total::of_units(Trial::least(&p));
        prop_assert!(bound_after(&p, steps) <= least);
        prop_assert!(bound_after(&p, 100_000) <= least);
    }

    #[test]
    fn no_plan_found_is_below_the_bound(seed: u64, crews in 1_i64..5, visits in 1_i64..15, steps in 0_usize..4000) {
        let p = random_day(seed, crews, visits);
        let bound = bound_after(&p, steps);
        for seed in 0..3 {
            prop_assert!(bound <= planned_with(&p, seed, 100).cost.total);
        }
    }

    #[test]
    fn the_bound_never_falls_with_more_steps(seed: u64, crews in 1_i64..5, visits in 1_i64..15, steps in 0_usize..400, more in 0_usize..400) {
        let p = random_day(seed, crews, visits);
        prop_assert!(bound_after(&p, steps) <= bound_after(&p, steps + more));
    }
}

#[test]
fn the_bound_meets_the_cost_of_a_day_for_one_crew() {
    let mut p = day(4, 100);
    p.tools = vec![tool("broom", 1), tool("rake", 1)];
    let mut one = crew("one");
    one.breaks = vec![rest(500, 2000, 4000)];
    p.crews = vec![one];
    for (i, id) in ["a", "b", "c"].into_iter().enumerate() {
        let mut v = visit(id, i64::try_from(i).expect("small") + 1);
        v.ways = vec![way(&["broom"], 600, 0), way(&["rake"], 500, 50)];
        p.visits.push(v);
    }
    assert_eq!(
        bound_after(&p, 100_000),
        planned_with(&p, 1, 300).cost.total
    );
}

#[test]
fn a_way_over_another_stop_may_be_shorter() {
    let mut p = day(3, 100);
    p.travel_s[0][2] = 20_000;
    p.crews = vec![crew("one")];
    p.visits = vec![visit("near", 1), visit("far", 2)];
    // Over the near one: 600 s of work and 100 s of travel each, and 200 s home.
    assert!(bound_after(&p, 100_000) <= Total::from_hundredths(160_000));
    assert_eq!(Trial::least(&p), 1600 * CENT);
}

/// The crew must be on the way at the one instant at which it can take its break.
#[test]
fn a_break_of_no_length_may_fall_on_the_way() {
    let mut p = day(2, 100);
    let mut one = crew("one");
    one.breaks = vec![rest(0, 1050, 1050)];
    p.crews = vec![one];
    let mut a = visit("a", 1);
    a.window = [1100, 1700];
    p.visits = vec![a];
    // Travel there and back, and the work.
    assert!(bound_after(&p, 100_000) <= Total::from_hundredths(80_000));
}

/// No hours are counted in which the crew holds a roller, of which there is none: the rules let it roll.
#[test]
fn the_bound_is_one_of_plans_that_the_rules_allow_by_their_letter_alone() {
    let mut p = day(2, 100);
    p.tools = vec![tool("roller", 0)];
    let mut one = crew("one");
    (one.shift, one.overtime_until) = ([1000, 1000], 5000);
    p.crews = vec![one];
    let mut v = visit("a", 1);
    v.ways = vec![way(&["roller"], 600, 0)];
    p.visits = vec![v];
    // Travel there and back and the work, all at time and a half.
    assert!(bound_after(&p, 100_000) <= Total::from_hundredths(120_000));
    assert_eq!(planned_with(&p, 1, 10).unserved.len(), 1);
}
