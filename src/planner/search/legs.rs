//! The legs of a search: some from nothing, then legs from days mixed out of two.
//!
//! One long leg ends in a basin that it entered while it was warm, and on some days that basin is several per
//! cent too dear. Half of the steps therefore go into a few legs of their own, as far as there are enough steps
//! for each; the other half mixes what they found, two at a time, and goes short legs from there that begin
//! less warm. Where the steps do not reach for this, all go into one leg.
//!
//! Measured, one thread: five open routing instances (R112, R201, R211, RC108, RC208), 5 s, mean above the
//! published value: one leg 0.39 %, these legs 0.27 to 0.31 %. A day of 99 visits, 2 s, 15 seeds, median: legs
//! from nothing of 100 steps a visit 116,560; of 150, 116,890; of 50, 117,440; of 35, 117,950 (too short to
//! find their kits); legs from mixed days of 10, 20 or 30 steps a visit and of a tenth to a third of the heat are alike.

use crate::day::Day;
use crate::rng::Rng;
use crate::search::anneal::{Heat, Leg, Length};
use crate::search::mixed::mixed;
use crate::search::near;
use crate::search::recreate::Ranks;
use crate::search::team::Team;
use crate::search::walk::Seen;
use crate::search::watch::Shared;
use crate::{Control, Progress};

/// Share of the budget that finds out how fast steps are, where time is given and not steps.
const TRIAL: f64 = 0.02;
/// Share of the budget for legs from nothing.
const FIRST_LEGS: f64 = 0.5;
/// Steps of a leg from nothing for each visit, at least.
const STEPS_A_VISIT: f64 = 100.0;
/// Legs from nothing, at most for each thread.
const MOST_LEGS: f64 = 8.0;
/// Steps of a leg from a mixed day for each visit.
const MIXED_STEPS_A_VISIT: f64 = 20.0;
/// Legs from mixed days gone at once.
const MIXED_AT_ONCE: usize = 4;
/// A leg from a mixed day begins at this share of the heat.
const MIXED_HEAT: f64 = 0.2;

/// What a search may take.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Effort {
    /// Steps; none where the caller's budget is time.
    pub iterations: Option<u64>,
    pub threads: usize,
    /// The share of the first temperature to begin with: 1 for a day from nothing, near 0 for a day that is to
    /// be kept as far as cost allows.
    pub heat: f64,
    /// Units at which a day is as cheap as it can be.
    pub enough: i64,
}

/// Improves a day until the effort is spent, the cost is low enough or the caller says stop; returns the best seen.
///
/// With iterations given the outcome is the same on any number of threads.
pub(crate) fn search<'m>(
    day: Day<'m>,
    ranks: &Ranks,
    rng: &mut Rng,
    effort: &Effort,
    report: &mut dyn FnMut(&Progress) -> Control,
) -> Day<'m> {
    let begin = Seen::new(&day);
    let unserved = day.served.iter().filter(|s| s.is_none()).count();
    let open = day.model.visits.iter().filter(|v| v.never.is_none());
    let visits = open.count();
    if visits == 0 {
        return day;
    }
    let shared = Shared::new(
        (begin.cost, unserved),
        effort.enough,
        effort.iterations.is_some(),
    );
    // What went before has spent some of the budget.
    shared.report(report);
    let near = near::neighbours(day.model);
    let mut search = Search {
        heat: Heat::of(&day, visits).from(effort.heat),
        warm_start: effort.heat < 1.0,
        visits,
        team: Team {
            threads: effort.threads.max(1),
            shared: &shared,
            ranks,
            near: &near,
            report,
        },
        rng,
        best: begin,
        found: Vec::new(),
    };
    match effort.iterations {
        Some(steps) => search.by_steps(day, steps),
        None => search.by_time(day),
    }
    search.best.day
}

struct Search<'a, 'r, 'm> {
    team: Team<'a, 'r>,
    rng: &'a mut Rng,
    heat: Heat,
    /// The first day is to be kept as far as cost allows.
    warm_start: bool,
    /// Visits that can be served.
    visits: usize,
    best: Seen<'m>,
    /// What the legs found, of each cost one.
    found: Vec<Seen<'m>>,
}

impl<'m> Search<'_, '_, 'm> {
    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "counts of steps, far below 2^53"
    )]
    fn by_steps(&mut self, day: Day<'m>, steps: u64) {
        let legs = self.waves(steps as f64).clamp(1.0, MOST_LEGS);
        if self.waves(steps as f64) < 1.0 {
            self.first_legs(day, &[Length::Steps(steps)]);
            return;
        }
        let each = (steps as f64 * FIRST_LEGS / legs) as u64;
        self.first_legs(day, &vec![Length::Steps(each); legs as usize]);
        let mut left = steps - each * legs as u64;
        let at_once = MIXED_AT_ONCE as u64;
        let most = (MIXED_STEPS_A_VISIT * self.visits as f64) as u64;
        while left >= at_once && !self.team.shared.stopped() {
            let each = most.min(left / at_once).max(1);
            self.mixed_legs(&[Length::Steps(each); MIXED_AT_ONCE]);
            left -= each * at_once;
        }
    }

    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "counts of steps, far below 2^53"
    )]
    fn by_time(&mut self, day: Day<'m>) {
        let from = self.team.shared.spent();
        let to = from + TRIAL;
        let trial = self.trial(day, Length::Spent { from, to });
        // Steps that one thread makes in the whole budget.
        let shared = self.team.shared;
        let steps = shared.steps() as f64 / (shared.spent() - from).max(f64::MIN_POSITIVE);
        let threads = self.team.threads;
        let waves = self.waves(steps).min(MOST_LEGS);
        if shared.stopped() || waves < 1.0 {
            self.first_legs(trial, &self.span(1.0, 1, threads));
            return;
        }
        let until = from + FIRST_LEGS * (1.0 - from);
        let lengths = self.span(until, waves as usize, waves as usize * threads);
        self.first_legs(trial, &lengths);
        let length = MIXED_STEPS_A_VISIT * self.visits as f64 / steps;
        while !shared.stopped() && shared.spent() < 1.0 {
            let at_once = MIXED_AT_ONCE.max(threads);
            let waves = at_once.div_ceil(threads);
            let until = shared.spent() + length * waves as f64;
            self.mixed_legs(&self.span(until.min(1.0), waves, at_once));
        }
    }

    /// How often the legs from nothing can be gone in so many steps.
    #[expect(clippy::cast_precision_loss, reason = "a count of visits")]
    fn waves(&self, steps: f64) -> f64 {
        if self.warm_start {
            return 0.0;
        }
        (steps * FIRST_LEGS / (STEPS_A_VISIT * self.visits as f64)).floor()
    }

    /// The time until then for so many legs, of which each thread goes one in each of the waves.
    #[expect(clippy::cast_precision_loss, reason = "small counts")]
    fn span(&self, until: f64, waves: usize, legs: usize) -> Vec<Length> {
        let begin = self.team.shared.spent();
        let wave = (until - begin) / waves as f64;
        (0..legs)
            .map(|leg| begin + wave * (leg / self.team.threads) as f64)
            .map(|from| Length::Spent {
                from,
                to: from + wave,
            })
            .collect()
    }

    /// A hot leg to find out how fast steps are; where it ends up.
    fn trial(&mut self, day: Day<'m>, length: Length) -> Day<'m> {
        let heat = self.heat;
        let rng = self.rng.fork();
        let leg = Leg {
            day,
            heat,
            length,
            excursions: true,
            rng,
        };
        let seen = self.team.go(vec![leg]);
        self.take(&seen);
        self.best.day.clone()
    }

    /// The first from this day, the others from nothing.
    fn first_legs(&mut self, day: Day<'m>, lengths: &[Length]) {
        let mut legs = Vec::with_capacity(lengths.len());
        let model = day.model;
        let mut first = Some(day);
        for &length in lengths {
            legs.push(Leg {
                day: first.take().unwrap_or_else(|| Day::new(model)),
                heat: self.heat,
                length,
                excursions: true,
                rng: self.rng.fork(),
            });
        }
        let seen = self.team.go(legs);
        self.take(&seen);
        self.found = seen;
    }

    /// Each from two of those found; what is found then takes the place of the dearest.
    fn mixed_legs(&mut self, lengths: &[Length]) {
        let mut legs = Vec::with_capacity(lengths.len());
        for &length in lengths {
            let first = self.rng.below(self.found.len());
            let other = 1 + self.rng.below(self.found.len().saturating_sub(1));
            let second = (first + other) % self.found.len();
            let (a, b) = (&self.found[first].day, &self.found[second].day);
            legs.push(Leg {
                day: mixed(a, b, self.team.near, self.rng),
                heat: self.heat.from(MIXED_HEAT),
                length,
                excursions: false,
                rng: self.rng.fork(),
            });
        }
        let seen = self.team.go(legs);
        self.take(&seen);
        for new in seen {
            if self.found.iter().any(|f| f.cost == new.cost) {
                continue;
            }
            if let Some(dearest) = self.found.iter_mut().max_by_key(|f| f.cost)
                && new.cost < dearest.cost
            {
                *dearest = new;
            }
        }
    }

    /// Notes the best of what was found.
    fn take(&mut self, seen: &[Seen<'m>]) {
        if let Some(new) = seen.iter().min_by_key(|s| s.cost)
            && new.cost < self.best.cost
        {
            self.best.note(&new.day, new.cost, &new.bank);
        }
    }
}
