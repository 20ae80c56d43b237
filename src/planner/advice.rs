//! What would help: for each scarce thing what a little more of it would save, and for each visit left out what
//! binds it.
//!
//! Every scarce thing gives a day problem that is like this one but for a little more of the thing. The plan is
//! improved once; from there the day as it is and each of the others are improved again by equally many steps
//! with one seed. So that the search's luck is not sold as help, a plan of another day that breaks no rule of
//! this one counts as a plan of this day, and every other that is cheaper is brought back to this day and
//! improved there by as many steps. What is saved is the difference to the cheapest plan of this day known in
//! the end; what saves nothing is not listed. Things that cannot matter are not tried: a tool
//! of which one lies in the shed at any time, a crew home well before it must be, water that never runs short.
//!
//! From top to bottom: this file (trying and comparing), `things` (what is tried), `binding` (what binds).
//!
//! Measured with 400 steps a thing (`Limits::default`; CPU time of one core of a busy machine): small-3 0.2 s,
//! medium-2 and medium-3 0.6 s, large-1 1.3 s, what binds included. Too few steps are no cheap advice: from a plan
//! that the search has not finished (medium-3 after 4000 steps), 100 steps a thing found 4176 cents in a kit
//! that 1600 steps found without it. A generated day of 1000 visits at 402 places with 30 crews, 301 visits left
//! out, took 27 MB at its peak on one thread and 36 MB on two, of which 16 MB were for planning it; with every
//! day to be tried made beforehand it had been 318 MB.

mod binding;
mod things;

use std::collections::HashSet;
use std::fmt;
use std::iter::once;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

use crate::money::Total;
use crate::plan::{Plan, Reason};
use crate::problem::{Checked, Problem};
use crate::{Control, Options, judge, planned};

/// How much to try.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// Of the searches.
    pub seed: u64,
    /// Steps of the search for each thing, and twice for the plan itself.
    pub steps: u64,
    /// Threads; the advice does not depend on how many, but where it is stopped.
    pub threads: usize,
    /// Longer windows are tried for so many visits, those that cost most by being late or left out.
    pub windows: usize,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            seed: 1,
            steps: 400,
            threads: 1,
            windows: 24,
        }
    }
}

/// Something scarce.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Thing {
    /// Tools of a class.
    Tool(String),
    /// Classes in a crew's kit; of every crew where none is named.
    KitPlace(Option<String>),
    /// Hands in a crew, at the same cost a head; of every crew where none is named.
    Hand(Option<String>),
    /// A skill, in every crew.
    Skill(String),
    /// Flow of a supply line, percent.
    Water(String),
    /// Seconds of overtime of a crew; of every crew where none is named.
    Overtime(Option<String>),
    /// Seconds by which every crew starts earlier and ends later.
    Shift,
    /// Seconds by which a visit may end later, the aim and the watering's end with it.
    Window(String),
    /// Load, grams, of a crew; of every crew where none is named.
    Load(Option<String>),
    /// The pin's freedom: any crew at any time.
    Pin,
    /// The visit that is waited for.
    After(String),
    /// Cents that leaving it out would have to cost more.
    SkipCost,
}

impl Thing {
    /// Its kind, as one word.
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::Tool(_) => "tool",
            Self::KitPlace(_) => "kit_place",
            Self::Hand(_) => "hand",
            Self::Skill(_) => "skill",
            Self::Water(_) => "water",
            Self::Overtime(_) => "overtime",
            Self::Shift => "shift",
            Self::Window(_) => "window",
            Self::Load(_) => "load",
            Self::Pin => "pin",
            Self::After(_) => "after",
            Self::SkipCost => "skip_cost",
        }
    }

    /// Whose it is: the field it is named in, and the name.
    pub fn of(&self) -> Option<(&'static str, &str)> {
        match self {
            Self::Tool(class) => Some(("class", class)),
            Self::KitPlace(crew) | Self::Hand(crew) | Self::Overtime(crew) | Self::Load(crew) => {
                crew.as_deref().map(|c| ("crew", c))
            }
            Self::Skill(skill) => Some(("skill", skill)),
            Self::Water(group) => Some(("group", group)),
            Self::Window(visit) | Self::After(visit) => Some(("visit", visit)),
            Self::Shift | Self::Pin | Self::SkipCost => None,
        }
    }
}

/// So much more of a thing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct More {
    /// Of what.
    pub thing: Thing,
    /// How much, in the thing's unit.
    pub plus: i64,
}

impl fmt::Display for More {
    /// `tool:roller+1`
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.thing.kind())?;
        if let Some((_, name)) = self.thing.of() {
            write!(f, ":{name}")?;
        }
        write!(f, "+{}", self.plus)
    }
}

/// What more of a thing would bring.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Help {
    /// Of what, and how much.
    pub more: More,
    /// What the day would cost less, cents; above 0.
    pub saves: Total,
    /// Ids of visits that would be served and otherwise are not, in the problem's order.
    pub brings: Vec<String>,
}

/// A visit that the plan leaves out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Missing {
    /// Its id.
    pub visit: String,
    /// The plan's reason.
    pub reason: Reason,
    /// What alone would let it fit, everything else of the plan unmoved; for what waits, the visits it waits for.
    /// Of times the least that is tried.
    pub binds: Vec<More>,
}

/// What would help.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Advice {
    /// The most saving first.
    pub helps: Vec<Help>,
    /// In the problem's order.
    pub unserved: Vec<Missing>,
    /// Things that were left untried when the caller said stop.
    pub untried: usize,
}

/// Looks for what would help a day with this plan. `go_on` is asked at every step of every search, from every
/// thread; once it says no, things half tried count as untried.
pub fn advise(
    problem: &Checked,
    plan: &Plan,
    limits: &Limits,
    go_on: &(dyn Fn() -> bool + Sync),
) -> Advice {
    let day = problem.problem();
    let unserved = binding::missing(day, plan, go_on);
    let tries = things::tries(day, plan, limits.windows);
    let Some(better) = improved(day, plan, limits, go_on) else {
        return Advice {
            untried: tries.len(),
            unserved,
            ..Advice::default()
        };
    };
    // First the day as it is. Each other day is as large as the problem, so it lives no longer than its search,
    // and of its plan only what may save something is kept.
    let tries: Vec<Option<More>> = once(None).chain(tries.into_iter().map(Some)).collect();
    let plans = in_parallel(limits.threads, tries.len(), |i| {
        let plan = match &tries[i] {
            None => improved(day, &better, limits, go_on),
            Some(more) => improved(&things::relaxed(day, more), &better, limits, go_on),
        };
        plan.map(|plan| (plan.cost.total < better.cost.total).then_some(plan))
    });
    let untried = plans.iter().filter(|p| p.is_none()).count();
    let (mut best, mut others) = (better, Vec::new());
    for (more, plan) in tries.into_iter().zip(plans) {
        let Some(plan) = plan.flatten() else { continue };
        if let Some(more) = more
            && !judge::violations(problem, &plan).is_empty()
        {
            others.push((more, plan));
        } else if plan.cost.total < best.cost.total {
            best = plan;
        }
    }
    others.retain(|(_, plan)| plan.cost.total < best.cost.total);
    let back = in_parallel(limits.threads, others.len(), |i| {
        improved(day, &others[i].1, limits, go_on)
    });
    for plan in back.into_iter().flatten() {
        if plan.cost.total < best.cost.total {
            best = plan;
        }
    }
    let mut helps: Vec<Help> = others
        .into_iter()
        .filter(|(_, plan)| plan.cost.total < best.cost.total)
        .map(|(more, plan)| Help {
            more,
            saves: Total::from_hundredths(
                best.cost.total.hundredths() - plan.cost.total.hundredths(),
            ),
            brings: brought(&best, &plan),
        })
        .collect();
    helps.sort_by_key(|h| (std::cmp::Reverse(h.saves), h.more.thing.clone()));
    Advice {
        helps,
        unserved,
        untried,
    }
}

/// What `before` leaves out and `after` does not.
fn brought(before: &Plan, after: &Plan) -> Vec<String> {
    let still: HashSet<&str> = after.unserved.iter().map(|u| u.visit.as_str()).collect();
    let out = before.unserved.iter().map(|u| &u.visit);
    out.filter(|v| !still.contains(v.as_str()))
        .cloned()
        .collect()
}

/// A plan improved by the steps of the limits; nothing where the caller said stop meanwhile.
fn improved(
    problem: &Problem,
    from: &Plan,
    limits: &Limits,
    go_on: &(dyn Fn() -> bool + Sync),
) -> Option<Plan> {
    let options = Options {
        seed: limits.seed,
        iterations: Some(limits.steps),
        ..Options::default()
    };
    let mut whole = true;
    let plan = planned(problem, Some(from), &options, &mut |_| {
        whole = whole && go_on();
        if whole {
            Control::Continue { spent: 0.0 }
        } else {
            Control::Stop
        }
    });
    (whole && go_on()).then_some(plan)
}

/// Does `n` pieces of work in so many threads; the results in the order of the pieces.
fn in_parallel<T: Send>(
    threads: usize,
    n: usize,
    work: impl Fn(usize) -> Option<T> + Sync,
) -> Vec<Option<T>> {
    let next = AtomicUsize::new(0);
    let some = || {
        let mut done = Vec::new();
        loop {
            let i = next.fetch_add(1, Ordering::Relaxed);
            if i >= n {
                return done;
            }
            done.push((i, work(i)));
        }
    };
    let mut out: Vec<Option<T>> = (0..n).map(|_| None).collect();
    thread::scope(|scope| {
        let others: Vec<_> = (1..threads.min(n)).map(|_| scope.spawn(some)).collect();
        let mut all = some();
        for other in others {
            match other.join() {
                Ok(done) => all.extend(done),
                Err(panic) => std::panic::resume_unwind(panic),
            }
        }
        for (i, one) in all {
            out[i] = one;
        }
    });
    out
}
