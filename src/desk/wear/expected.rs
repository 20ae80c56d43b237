//! What use is to be expected of a tool's parts, day by day: what is planned, else as of late, as the season has it.

use std::collections::{BTreeSet, HashMap};

use chrono::{Days, NaiveDate};
use trade::wear::DayUse;

use super::known::km;
use crate::desk::Result;
use crate::desk::booking::Rates;
use crate::store::wear::{tools_planned, used_by_day};
use crate::store::{Conn, Scope};

/// Days of use from which the use to come is expected: four weeks hold every weekday alike.
pub(super) const LOOKED_BACK: i64 = 28;
/// How far ahead a day is named, days: two seasons.
pub(super) const LOOKED_AHEAD: usize = 730;
/// A year of whole weeks, so that weekdays fall together.
const YEAR: i64 = 364;
/// A season does not make more of the use than so many times as much, or less: a year ago may have been odd.
const MOST_TIMES: f64 = 4.0;

/// What is to be expected at a site.
pub(super) struct Expected {
    today: NaiveDate,
    /// How many times as much as of late, for each day from tomorrow on.
    season: Vec<f64>,
    /// Dates with orders, and how many uses of each tool they plan.
    planned_on: BTreeSet<NaiveDate>,
    planned: HashMap<(i64, NaiveDate), f64>,
}

impl Expected {
    /// As of the evening of a date of the site: two queries.
    pub fn read(conn: &mut Conn, scope: &Scope, rates: &Rates, today: NaiveDate) -> Result<Self> {
        let from = today - Days::new(u64::try_from(YEAR + 2 * LOOKED_BACK).unwrap_or(0));
        let used: HashMap<NaiveDate, f64> = used_by_day(conn, scope, from)?
            .into_iter()
            .map(|(day, used)| (day, km(used.unwrap_or(0))))
            .collect();
        let tomorrow = today.succ_opt().unwrap_or(today);
        let mut planned_on = BTreeSet::new();
        let mut planned: HashMap<(i64, NaiveDate), f64> = HashMap::new();
        for one in tools_planned(conn, scope, tomorrow)? {
            let courts = rates.courts_at(one.court_id, one.bank_id).count();
            planned_on.insert(one.work_date);
            *planned.entry((one.tool_id, one.work_date)).or_default() +=
                counted(i64::try_from(courts).unwrap_or(0));
        }
        Ok(Self {
            today,
            season: season(&used, today),
            planned_on,
            planned,
        })
    }

    /// The use of each day from tomorrow on, km: what is planned where there are orders; else `a_day_km`, the mean of the last
    /// four weeks, times what the same weeks a year ago were to those a year before these.
    pub fn days(&self, tool: i64, a_day_km: f64, one_use_km: f64) -> Vec<DayUse> {
        let ahead = self.today.iter_days().skip(1).zip(&self.season);
        ahead
            .map(|(day, times)| DayUse {
                day,
                uses: match self.planned.get(&(tool, day)) {
                    Some(uses) => uses * one_use_km,
                    None if self.planned_on.contains(&day) => 0.0,
                    None => a_day_km * times,
                },
            })
            .collect()
    }
}

/// How the use of each day to come stands to that of late, by the same days of the last year; 1 where a year is not known.
fn season(used: &HashMap<NaiveDate, f64>, today: NaiveDate) -> Vec<f64> {
    let first = used.keys().min().copied().unwrap_or(today);
    let mean = |from: NaiveDate| {
        let days = from
            .iter_days()
            .take(usize::try_from(LOOKED_BACK).unwrap_or(1));
        days.map(|day| used.get(&day).copied().unwrap_or(0.0))
            .sum::<f64>()
            / counted(LOOKED_BACK)
    };
    let back = |day: NaiveDate, days: i64| day - Days::new(u64::try_from(days).unwrap_or(0));
    let then = back(today, YEAR + LOOKED_BACK - 1);
    let base = mean(then);
    let known = first <= then && base > 0.0;
    let days = today.iter_days().skip(1).take(LOOKED_AHEAD).enumerate();
    days.map(|(nth, day)| {
        if !known {
            return 1.0;
        }
        let years = i64::try_from(nth).unwrap_or(0) / YEAR + 1;
        let around = back(day, years * YEAR + LOOKED_BACK / 2);
        (mean(around) / base).clamp(1.0 / MOST_TIMES, MOST_TIMES)
    })
    .collect()
}

#[expect(
    clippy::cast_precision_loss,
    reason = "days and orders are far below 2^53"
)]
pub(super) const fn counted(of: i64) -> f64 {
    of as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(year: i32, month: u32, day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(year, month, day).unwrap()
    }

    fn used(
        from: NaiveDate,
        to: NaiveDate,
        a_day: impl Fn(NaiveDate) -> f64,
    ) -> HashMap<NaiveDate, f64> {
        let days = from.iter_days().take_while(|day| *day <= to);
        days.map(|day| (day, a_day(day))).collect()
    }

    #[test]
    fn without_a_year_behind_it_a_site_goes_on_as_of_late() {
        let today = day(2031, 6, 10);
        let months = used(day(2031, 2, 1), today, |_| 3.0);
        assert!(
            season(&months, today)
                .iter()
                .all(|times| (times - 1.0).abs() < 1e-12)
        );
        assert_eq!(season(&HashMap::new(), today).len(), LOOKED_AHEAD);
    }

    #[test]
    fn a_month_that_was_twice_as_busy_last_year_is_expected_to_be_so_again() {
        let today = day(2031, 3, 1);
        let busy_from_may = |day: NaiveDate| {
            if day >= self::day(2030, 5, 1) {
                8.0
            } else {
                4.0
            }
        };
        let year = used(day(2029, 12, 1), today, busy_from_may);
        let times = season(&year, today);
        assert!((times[10] - 1.0).abs() < 1e-12, "{}", times[10]);
        assert!((times[100] - 2.0).abs() < 1e-12, "{}", times[100]);
    }

    #[test]
    fn a_site_that_was_shut_a_year_ago_is_not_expected_to_do_without() {
        let today = day(2031, 3, 1);
        let shut_in_june = |day: NaiveDate| {
            if day > self::day(2030, 6, 1) {
                0.0
            } else {
                4.0
            }
        };
        let year = used(day(2029, 12, 1), today, shut_in_june);
        assert!(
            season(&year, today)
                .iter()
                .all(|times| *times >= 1.0 / MOST_TIMES)
        );
    }
}
