//! How people begin work in heat.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use super::rule::{HeatRule, Hour, Rest, RestBy, hot_hours, rests};
use crate::units::Seconds;

/// Who is not used to the heat yet, and on which day of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Newcomer {
    /// New to the work: its day, from 1.
    New(u32),
    /// Back after a week or more away: the day back, from 1.
    Returning(u32),
}

/// How much of a day's work in heat somebody may do, percent: new people 20, 40, 60, 80 and then 100; those
/// back from a week away 50, 60, 80 and then 100.
///
/// Advice of the US National Institute for Occupational Safety and Health, from memory; not law.
pub const fn heat_share_pct(who: Newcomer) -> i64 {
    match who {
        Newcomer::New(0 | 1) => 20,
        Newcomer::New(2) => 40,
        Newcomer::New(3) | Newcomer::Returning(2) => 60,
        Newcomer::Returning(0 | 1) => 50,
        Newcomer::New(4) | Newcomer::Returning(3) => 80,
        Newcomer::New(_) | Newcomer::Returning(_) => 100,
    }
}

/// What is known of when somebody worked.
#[derive(Clone, Copy, Debug)]
pub struct Worked<'a> {
    /// Their first day at work here, where it is known.
    pub came_on: Option<NaiveDate>,
    /// The days on which they stood on a shift, in order.
    pub days: &'a [NaiveDate],
    /// Since when that is known: nothing is said of the time before.
    pub known_from: NaiveDate,
}

/// How somebody who stands on a shift of `date` stands to the heat: new, back after at least `days_away` days on no
/// shift, or neither. Days are counted by the days on shift, this one among them. Of two ways to be a newcomer the one
/// that allows less counts.
pub fn newcomer(date: NaiveDate, worked: &Worked<'_>, days_away: i64) -> Option<Newcomer> {
    let all = [
        is_new(date, worked).map(Newcomer::New),
        is_back(date, worked, days_away).map(Newcomer::Returning),
    ];
    let begins = all.into_iter().flatten();
    let begins = begins.filter(|who| heat_share_pct(*who) < 100);
    begins.min_by_key(|who| heat_share_pct(*who))
}

/// Which of their days it is, where all of them are known.
fn is_new(date: NaiveDate, worked: &Worked<'_>) -> Option<u32> {
    let came_on = worked.came_on?.min(date);
    if came_on < worked.known_from {
        return None;
    }
    let before = worked.days.iter();
    let before = before.filter(|day| (came_on..date).contains(day)).count();
    u32::try_from(before + 1).ok()
}

/// Which day it is since they were last away for so long; none where no such time is known.
fn is_back(date: NaiveDate, worked: &Worked<'_>, days_away: i64) -> Option<u32> {
    let (mut since, mut days) = (date, 1);
    let away = |from: NaiveDate, until: NaiveDate| (until - from).num_days() >= days_away;
    for day in worked.days.iter().rev().filter(|day| **day < date) {
        // From the day after this one until the last that was counted.
        if day.succ_opt().is_some_and(|next| away(next, since)) {
            return Some(days);
        }
        days += u32::from(*day != since);
        since = *day;
    }
    // Before their first day nobody was away.
    let known = worked
        .came_on
        .map_or(worked.known_from, |came_on| came_on.max(worked.known_from));
    away(known, since).then_some(days)
}

/// The rests of a crew on shift from `shift.0` to `shift.1`, in order, in which somebody may do only `share_pct` of the
/// work in heat. Whenever in their windows they begin, at most that share of each hot stretch is worked, no rest is
/// shorter than the rule's, and nobody works longer than the rule's stretch without one. `hours` are in order.
///
/// The crew goes together, so that all of it rests.
pub fn rests_for_newcomers(
    rule: &HeatRule,
    hours: &[Hour],
    shift: (Seconds, Seconds),
    share_pct: i64,
) -> Vec<Rest> {
    if share_pct >= 100 {
        return rests(rule, hours, shift);
    }
    match rule.by {
        RestBy::HighTrigger => hot_hours(rule, hours)
            .into_iter()
            .flat_map(|(from, until)| {
                let on_shift = (from.max(shift.0).0, until.min(shift.1).0);
                in_blocks(rule, on_shift, share_pct)
            })
            .collect(),
        RestBy::Table => by_the_hour(rule, hours, shift, share_pct),
    }
}

/// One hot stretch in blocks of equal length, each with one rest: as few as keep two blocks' work within the rule's
/// stretch, so that there is time for whole visits between the rests.
fn in_blocks(rule: &HeatRule, (from, until): (i64, i64), share_pct: i64) -> Vec<Rest> {
    let long = until - from;
    if long <= 0 {
        return Vec::new();
    }
    let (work, every) = (share(long, share_pct), rule.every.0.max(1));
    let blocks = if work <= every {
        1
    } else {
        (2 * work + every - 1) / every
    };
    (0..blocks)
        .map(|nth| {
            let begins = from + long * nth / blocks;
            let ends = from + long * (nth + 1) / blocks;
            rest_within((begins, ends), share_pct, rule.rest.0)
        })
        .collect()
}

/// By the table, but in hot hours no more than the share.
fn by_the_hour(
    rule: &HeatRule,
    hours: &[Hour],
    shift: (Seconds, Seconds),
    share_pct: i64,
) -> Vec<Rest> {
    hours
        .iter()
        .filter_map(|hour| {
            let one = std::slice::from_ref(hour);
            let usual = rests(rule, one, shift).pop();
            let on_shift = (hour.from.max(shift.0).0, hour.until.min(shift.1).0);
            if hot_hours(rule, one).is_empty() || on_shift.0 >= on_shift.1 {
                return usual;
            }
            let least = usual.map_or(0, |rest| rest.length.0);
            Some(rest_within(on_shift, share_pct, least))
        })
        .collect()
}

/// One rest in a stretch, so that of it no more than the share is worked, and that is as long as `least` or all of it.
fn rest_within((from, until): (i64, i64), share_pct: i64, least: i64) -> Rest {
    let long = until - from;
    let length = (long - share(long, share_pct)).max(least).min(long);
    Rest {
        earliest: Seconds(from),
        latest: Seconds(until - length),
        length: Seconds(length),
    }
}

const fn share(of: i64, pct: i64) -> i64 {
    of.saturating_mul(pct) / 100
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::heat::rule::tests::{clock, hours};

    /// Steps of the Institute's advice, from memory.
    #[test]
    fn whoever_is_new_or_was_away_starts_on_less() {
        let new = [1, 2, 3, 4, 5, 6].map(|day| heat_share_pct(Newcomer::New(day)));
        assert_eq!(new, [20, 40, 60, 80, 100, 100]);
        let back = [1, 2, 3, 4, 5].map(|day| heat_share_pct(Newcomer::Returning(day)));
        assert_eq!(back, [50, 60, 80, 100, 100]);
    }

    fn june(day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2031, 6, day).unwrap()
    }

    fn on(day: u32, came_on: Option<u32>, days: &[u32]) -> Option<Newcomer> {
        let days: Vec<NaiveDate> = days.iter().map(|day| june(*day)).collect();
        let worked = Worked {
            came_on: came_on.map(june),
            days: &days,
            known_from: june(1),
        };
        newcomer(june(day), &worked, 7)
    }

    #[test]
    fn whoever_is_new_counts_by_days_on_shift_until_the_fifth() {
        assert_eq!(on(10, Some(10), &[]), Some(Newcomer::New(1)));
        assert_eq!(on(14, Some(10), &[10, 11]), Some(Newcomer::New(3)));
        assert_eq!(on(14, Some(10), &[10, 11, 12, 13]), None);
        assert_eq!(
            on(9, Some(10), &[]),
            Some(Newcomer::New(1)),
            "before the first day"
        );
    }

    #[test]
    fn whoever_was_a_week_on_no_shift_is_back_and_six_days_are_no_week() {
        assert_eq!(on(12, None, &[1, 2, 3, 4]), Some(Newcomer::Returning(1)));
        assert_eq!(on(11, None, &[1, 2, 3, 4]), None);
        assert_eq!(on(14, None, &[4, 12, 13]), Some(Newcomer::Returning(3)));
        assert_eq!(on(15, None, &[4, 12, 13, 14]), None);
    }

    #[test]
    fn of_what_was_before_the_site_knew_nothing_is_said() {
        assert_eq!(on(4, None, &[]), None);
        assert_eq!(on(8, None, &[]), Some(Newcomer::Returning(1)));
        let long_ago = Worked {
            came_on: NaiveDate::from_ymd_opt(2029, 4, 1),
            days: &[june(5)],
            known_from: june(1),
        };
        assert_eq!(newcomer(june(6), &long_ago, 7), None);
    }

    #[test]
    fn who_is_new_and_was_away_starts_on_the_less_of_the_two() {
        assert_eq!(on(20, Some(2), &[2, 3, 4]), Some(Newcomer::Returning(1)));
        assert_eq!(on(20, Some(8), &[8]), Some(Newcomer::New(2)));
    }

    #[test]
    fn on_the_first_day_a_fifth_of_five_hot_hours_is_worked() {
        let day = hours(12, &[95; 5]);
        let found = rests_for_newcomers(&HeatRule::default(), &day, (clock(6), clock(18)), 20);
        let all = [Rest {
            earliest: clock(12),
            latest: clock(13),
            length: clock(4),
        }];
        assert_eq!(found, all);
        assert_eq!(
            rests_for_newcomers(&HeatRule::default(), &day, (clock(6), clock(18)), 100),
            rests(&HeatRule::default(), &day, (clock(6), clock(18)))
        );
    }

    proptest! {
        #[test]
        fn never_more_than_the_share_is_worked_nor_longer_than_the_rule_without_a_rest(
            indexes in prop::collection::vec(75_i64..115, 1..14),
            starts in prop::collection::vec(0_i64..=100, 40),
            begins in 4_i64..12,
            long in 1_i64..12,
            share_pct in prop::sample::select(vec![20_i64, 40, 50, 60, 80]),
            table: bool,
        ) {
            let by = if table { RestBy::Table } else { RestBy::HighTrigger };
            let rule = HeatRule { by, ..HeatRule::default() };
            let day = hours(6, &indexes);
            let shift = (clock(begins), clock(begins + long));
            let found = rests_for_newcomers(&rule, &day, shift, share_pct);
            let laid: Vec<(i64, i64)> = found.iter().zip(&starts).map(|(rest, part)| {
                let at = rest.earliest.0 + (rest.latest.0 - rest.earliest.0) * part / 100;
                (at, at + rest.length.0)
            }).collect();
            for pair in laid.windows(2) {
                prop_assert!(pair[0].1 <= pair[1].0, "{laid:?}");
            }
            for (from, until) in hot_hours(&rule, &day) {
                let (from, until) = (from.max(shift.0).0, until.min(shift.1).0);
                if from >= until {
                    continue;
                }
                let within = laid.iter().filter(|(a, b)| *a >= from && *b <= until);
                let rested: i64 = within.map(|(a, b)| b - a).sum();
                prop_assert!((until - from - rested) * 100 <= (until - from) * share_pct);
                let mut since = from;
                for (a, b) in laid.iter().filter(|(a, b)| *a >= from && *b <= until) {
                    prop_assert!(a - since <= rule.every.0);
                    since = *b;
                }
                prop_assert!(until - since <= rule.every.0);
            }
        }
    }
}
