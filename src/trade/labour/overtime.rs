//! What a person's work week is paid beside straight time, by rules as data.
//!
//! The regular rate is all pay of the week by all hours of it, bonuses and several rates included (29 CFR 778.109, .110, .115);
//! what is beyond a threshold earns a share of it more. No hour is counted twice: what a day's threshold has taken is not beyond
//! the week's. Which rules hold is for the site and its counsel.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use super::{LabourError, SECONDS_AN_HOUR, cent_seconds};
use crate::money::Cents;
use crate::units::Seconds;
use crate::whole::{Overflow, half_even, narrow};

/// Time beyond so much of a day or week is paid at so much of the regular rate.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Beyond {
    /// The threshold.
    pub after: Seconds,
    /// Of the regular rate, per cent: 150 is time and a half.
    pub percent: i64,
}

/// The rules of a site.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct OvertimeRules {
    /// Beyond so much of a day, in rising order; none where a site has no daily rule.
    pub daily: Vec<Beyond>,
    /// Beyond so much of a work week.
    pub weekly: Option<Beyond>,
}

impl Default for OvertimeRules {
    /// Time and a half beyond 40 hours of a work week (29 CFR 778.101).
    fn default() -> Self {
        Self {
            daily: Vec::new(),
            weekly: Some(Beyond {
                after: Seconds(40 * SECONDS_AN_HOUR),
                percent: 150,
            }),
        }
    }
}

/// Time worked on a day of the week at a rate.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Stint {
    /// The day it counts to.
    pub day: NaiveDate,
    /// How long.
    pub worked: Seconds,
    /// Cents an hour.
    pub cents_an_hour: Cents,
}

/// What a week is paid.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct WeekPay {
    /// All time worked.
    pub worked: Seconds,
    /// At the straight rates, to the nearest cent, without the bonus.
    pub straight: Cents,
    /// Time that earns more.
    pub overtime: Seconds,
    /// What it earns more, to the nearest cent.
    pub premium: Cents,
}

/// What one person's work week is paid: straight time and premium. `bonus` is what else counts in the regular rate, as a bonus
/// for production (29 CFR 778.208 to .211).
pub fn week_pay(
    stints: &[Stint],
    bonus: Cents,
    rules: &OvertimeRules,
) -> Result<WeekPay, LabourError> {
    if bonus.0 < 0 {
        return Err(LabourError::Negative);
    }
    let (mut worked, mut weighed) = (0_i64, 0_i64);
    let mut days: BTreeMap<NaiveDate, i64> = BTreeMap::new();
    for stint in stints {
        let of_stint = cent_seconds(stint.worked, stint.cents_an_hour)?;
        weighed = weighed.checked_add(of_stint).ok_or(Overflow)?;
        worked = worked.checked_add(stint.worked.0).ok_or(Overflow)?;
        *days.entry(stint.day).or_default() += stint.worked.0;
    }
    if worked == 0 {
        return Ok(WeekPay::default());
    }
    let (mut overtime, mut percent_seconds) = (0_i64, 0_i128);
    for day in days.into_values() {
        let (of_day, more) = beyond(day, &rules.daily);
        overtime += of_day;
        percent_seconds += more;
    }
    if let Some(weekly) = rules.weekly {
        let (of_week, more) = beyond(worked - overtime, &[weekly]);
        overtime += of_week;
        percent_seconds += more;
    }
    // (straight + bonus) ÷ hours × overtime hours × share: all in one division, so that no rate is rounded on the way.
    let per_hour = i128::from(SECONDS_AN_HOUR);
    let pay = i128::from(weighed) + i128::from(bonus.0) * per_hour;
    let premium = pay * percent_seconds;
    let over = per_hour * 100 * i128::from(worked);
    Ok(WeekPay {
        worked: Seconds(worked),
        straight: Cents(narrow(half_even(i128::from(weighed), per_hour))?),
        overtime: Seconds(overtime),
        premium: Cents(narrow(half_even(premium, over))?),
    })
}

/// How much of some time is beyond the first threshold, and what it earns more: seconds × per cent.
fn beyond(worked: i64, steps: &[Beyond]) -> (i64, i128) {
    let over = |step: &Beyond| (worked - step.after.0).max(0);
    let first = steps.first().map_or(0, over);
    let mut before = 100;
    let mut more = 0;
    for step in steps {
        more += i128::from(over(step)) * i128::from(step.percent - before);
        before = step.percent;
    }
    (first, more)
}

/// What an hour of a salary comes to, cents: the pay of a week by the hours it is meant for (29 CFR 778.113(a)), a half cent to
/// the even cent.
pub fn hour_of_salary(cents_a_week: Cents, hours: Seconds) -> Result<Cents, LabourError> {
    if cents_a_week.0 < 0 || hours.0 <= 0 {
        return Err(LabourError::Negative);
    }
    let whole = i128::from(cents_a_week.0) * i128::from(SECONDS_AN_HOUR);
    Ok(Cents(narrow(half_even(whole, i128::from(hours.0)))?))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn hours(of: i64) -> Seconds {
        Seconds(of * SECONDS_AN_HOUR)
    }

    fn stint(day: u32, worked: i64, cents: i64) -> Stint {
        Stint {
            day: NaiveDate::from_ymd_opt(2031, 6, day).unwrap(),
            worked: hours(worked),
            cents_an_hour: Cents(cents),
        }
    }

    fn week(stints: &[Stint], bonus: i64) -> WeekPay {
        week_pay(stints, Cents(bonus), &OvertimeRules::default()).unwrap()
    }

    /// 29 CFR 778.110(a): 46 hours at $12 are $588.
    #[test]
    fn forty_six_hours_at_twelve_dollars_are_588_dollars() {
        let pay = week(&[stint(2, 40, 1_200), stint(7, 6, 1_200)], 0);
        assert_eq!((pay.straight, pay.premium), (Cents(55_200), Cents(3_600)));
        assert_eq!((pay.worked, pay.overtime), (hours(46), hours(6)));
    }

    /// 29 CFR 778.110(b): the same with a bonus of $46 for production; the regular rate is $13, the week $637. And its text
    /// before 2011: $6 an hour with a bonus of $9.20 are $303.80, of which the premium is six halves of $6.20.
    #[test]
    fn a_bonus_counts_in_the_regular_rate() {
        let pay = week(&[stint(2, 46, 1_200)], 4_600);
        assert_eq!(pay.straight.0 + 4_600 + pay.premium.0, 63_700);
        let pay = week(&[stint(2, 46, 600)], 920);
        assert_eq!(pay.straight.0 + 920 + pay.premium.0, 30_380);
    }

    /// 29 CFR 778.115: with two rates the regular rate is all pay by all hours. Own arithmetic: 30 hours at $10 and 20 at $15
    /// are $600 by 50 hours, $12; ten halves of it are $60.
    #[test]
    fn two_rates_in_a_week_are_weighed_by_their_hours() {
        let pay = week(&[stint(2, 30, 1_000), stint(5, 20, 1_500)], 0);
        assert_eq!((pay.straight, pay.premium), (Cents(60_000), Cents(6_000)));
    }

    /// 29 CFR 778.104: 30 hours one week and 50 the next are ten of overtime in the second.
    #[test]
    fn weeks_are_not_averaged() {
        assert_eq!(week(&[stint(2, 30, 1_000)], 0).overtime, hours(0));
        assert_eq!(week(&[stint(9, 50, 1_000)], 0).overtime, hours(10));
    }

    /// Own arithmetic: 14 hours on one day are two beyond 8 and two beyond 12 more; with four days of 8 the week has 46, of which
    /// 6 are the day's own, and the 40 left are not beyond 40.
    #[test]
    fn what_a_day_has_taken_is_not_beyond_the_week() {
        let rules = OvertimeRules {
            daily: vec![
                Beyond {
                    after: hours(8),
                    percent: 150,
                },
                Beyond {
                    after: hours(12),
                    percent: 200,
                },
            ],
            ..OvertimeRules::default()
        };
        let days = [
            stint(2, 14, 1_000),
            stint(3, 8, 1_000),
            stint(4, 8, 1_000),
            stint(5, 8, 1_000),
            stint(6, 8, 1_000),
        ];
        let pay = week_pay(&days, Cents(0), &rules).unwrap();
        // Four hours at half more, two at as much again: 4 × 5 + 2 × 10 dollars.
        assert_eq!((pay.overtime, pay.premium), (hours(6), Cents(4_000)));
        let longer = [&days[..], &[stint(7, 5, 1_000)]].concat();
        let pay = week_pay(&longer, Cents(0), &rules).unwrap();
        assert_eq!((pay.overtime, pay.premium), (hours(11), Cents(6_500)));
    }

    /// 29 CFR 778.113(a), before 2011: $182.70 for 35 hours are $5.22 an hour, $220.80 for 40 are $5.52.
    #[test]
    fn a_salary_is_an_hourly_rate_by_the_hours_it_is_meant_for() {
        assert_eq!(hour_of_salary(Cents(18_270), hours(35)), Ok(Cents(522)));
        assert_eq!(hour_of_salary(Cents(22_080), hours(40)), Ok(Cents(552)));
        assert!(hour_of_salary(Cents(1), hours(0)).is_err());
    }

    #[test]
    fn nothing_worked_is_nothing_paid_and_what_is_negative_is_refused() {
        assert_eq!(week(&[], 0), WeekPay::default());
        assert!(week_pay(&[stint(2, -1, 1_000)], Cents(0), &OvertimeRules::default()).is_err());
        assert!(week_pay(&[stint(2, 1, 1_000)], Cents(-1), &OvertimeRules::default()).is_err());
    }

    proptest! {
        #[test]
        fn the_premium_is_half_the_regular_rate_for_each_hour_beyond_forty(
            days in prop::collection::vec((2_u32..9, 0_i64..24, 0_i64..5_000), 0..12), bonus in 0_i64..10_000
        ) {
            let stints: Vec<Stint> = days.iter().map(|(day, worked, cents)| stint(*day, *worked, *cents)).collect();
            let pay = week(&stints, bonus);
            let all = days.iter().map(|(_, worked, _)| worked).sum::<i64>();
            prop_assert_eq!(pay.overtime, hours((all - 40).max(0)));
            let earned: i64 = days.iter().map(|(_, worked, cents)| worked * cents).sum::<i64>() + if all > 0 { bonus } else { 0 };
            let doubled = 2 * pay.premium.0 * all.max(1);
            prop_assert!((doubled - earned * (all - 40).max(0)).abs() <= all.max(1), "{:?}", pay);
        }
    }
}
