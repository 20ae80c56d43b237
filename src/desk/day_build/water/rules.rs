//! When water may run, and how much of it is left of a day's allowance.

use std::collections::BTreeMap;

use chrono::{Datelike, Days, NaiveDate, NaiveTime};
use planner::problem::Span;
use trade::units::{Millilitres, MlPerSecond, Seconds};
use trade::watering::{Budget, Taken};

use super::Water;
use crate::desk::day_build::Inputs;
use crate::desk::day_build::clock::{DayClock, minus};
use crate::store::water::{RuleKind, RuleRow};

/// The days around a date on which rules are laid out: hours that start the evening before reach into it, its night
/// into the next, and what is looked at ends 36 hours after it.
const AROUND: std::ops::RangeInclusive<i64> = -2..=3;

/// When nothing may run on a bank's line: outside the hours it is free, and outside those that local rules allow.
/// In seconds of the day's clock, in order, apart from each other.
pub fn closed(inputs: &Inputs, bank: i64) -> Vec<Span> {
    let whole = [
        at(inputs, *AROUND.start(), NaiveTime::MIN),
        at(inputs, *AROUND.end(), NaiveTime::MIN),
    ];
    let mut open = vec![whole];
    for kind in [RuleKind::LineFree, RuleKind::LocalHours] {
        for of_bank in [None, Some(bank)] {
            let rules = of(&inputs.water, kind, of_bank);
            if rules.is_empty() {
                continue;
            }
            let allowed: Vec<Span> = rules.iter().flat_map(|rule| hours(inputs, rule)).collect();
            let shut = minus(whole, &allowed);
            open = open
                .into_iter()
                .flat_map(|span| minus(span, &shut))
                .collect();
        }
    }
    // And while the wind would carry the water away.
    let open: Vec<Span> = open
        .into_iter()
        .flat_map(|span| minus(span, &inputs.sky.windy))
        .collect();
    minus(whole, &open)
}

fn of(water: &Water, kind: RuleKind, bank: Option<i64>) -> Vec<&RuleRow> {
    let all = water.rules.iter();
    all.filter(|rule| rule.kind == kind && rule.bank_id == bank)
        .collect()
}

fn date_at(inputs: &Inputs, days_later: i64) -> Option<NaiveDate> {
    let days = Days::new(days_later.unsigned_abs());
    if days_later < 0 {
        inputs.date.checked_sub_days(days)
    } else {
        inputs.date.checked_add_days(days)
    }
}

/// The second of a local time, so many days from the date.
fn at(inputs: &Inputs, days_later: i64, time: NaiveTime) -> i64 {
    let clock: &DayClock = &inputs.clock;
    match date_at(inputs, days_later) {
        Some(date) => clock.begins(clock.on(date).instant_of(time)),
        None => 0,
    }
}

fn holds_on(rule: &RuleRow, date: NaiveDate) -> bool {
    let day = i64::from(date.weekday().number_from_monday());
    rule.weekdays.0.contains(&day)
}

/// The hours of a rule around the date.
fn hours(inputs: &Inputs, rule: &RuleRow) -> Vec<Span> {
    let time = |text: &Option<String>| {
        let text = text.as_deref()?;
        NaiveTime::parse_from_str(text, "%H:%M").ok()
    };
    let (Some(from), Some(until)) = (time(&rule.from_time), time(&rule.until_time)) else {
        return Vec::new();
    };
    let over = i64::from(until <= from);
    AROUND
        .filter(|day| date_at(inputs, *day).is_some_and(|date| holds_on(rule, date)))
        .map(|day| [at(inputs, day, from), at(inputs, day + over, until)])
        .collect()
}

/// What other days' plans take of each bank's line.
pub fn taken_of_others(inputs: &Inputs) -> BTreeMap<i64, Vec<Taken>> {
    let mut taken: BTreeMap<i64, Vec<Taken>> = BTreeMap::new();
    for run in &inputs.waterings {
        taken.entry(run.bank_id).or_default().push(Taken {
            from: Seconds(inputs.clock.begins(run.starts_at)),
            to: Seconds(inputs.clock.ends(run.ends_at)),
            flow: MlPerSecond(run.flow_mlps),
        });
    }
    taken
}

/// What is left of the allowances a day, of the site and of each bank.
#[derive(Clone, Debug, Default)]
pub struct Allowances(Vec<(Option<i64>, Budget)>);

impl Allowances {
    /// Those around the date, less what other days' plans take.
    pub fn of(inputs: &Inputs) -> Self {
        let rules = inputs.water.rules.iter();
        let rules = rules.filter(|rule| rule.kind == RuleKind::Allowance);
        let mut all = Vec::new();
        for rule in rules {
            for day in AROUND {
                let date = date_at(inputs, day);
                let (Some(most), true) =
                    (rule.ml_a_day, date.is_some_and(|date| holds_on(rule, date)))
                else {
                    continue;
                };
                let budget = Budget {
                    from: Seconds(at(inputs, day, NaiveTime::MIN)),
                    to: Seconds(at(inputs, day + 1, NaiveTime::MIN)),
                    left: Millilitres(most),
                };
                all.push((rule.bank_id, budget));
            }
        }
        let mut allowances = Self(all);
        for run in &inputs.waterings {
            let start = inputs.clock.begins(run.starts_at);
            allowances.take(run.bank_id, start, run.volume_ml);
        }
        allowances
    }

    /// Takes a run's water.
    pub fn take(&mut self, bank: i64, start: i64, volume_ml: i64) {
        for (_, budget) in self.touched(bank, start) {
            budget.left.0 = budget.left.0.saturating_sub(volume_ml);
        }
    }

    /// Whether a run's water is still there.
    pub fn hold(&mut self, bank: i64, start: i64, volume_ml: i64) -> bool {
        self.touched(bank, start)
            .all(|(_, budget)| budget.left.0 >= volume_ml)
    }

    fn touched(
        &mut self,
        bank: i64,
        start: i64,
    ) -> impl Iterator<Item = &mut (Option<i64>, Budget)> {
        self.0.iter_mut().filter(move |(of, budget)| {
            of.is_none_or(|of| of == bank) && (budget.from.0..budget.to.0).contains(&start)
        })
    }

    /// What holds for a bank's line.
    pub fn of_bank(&self, bank: i64) -> Vec<Budget> {
        let all = self.0.iter();
        all.filter(|(of, _)| of.is_none_or(|of| of == bank))
            .map(|(_, budget)| *budget)
            .collect()
    }
}
