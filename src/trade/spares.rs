//! Parts on the shelf: how many are needed, when to order and how many.
//!
//! What is needed is what the forecasts of the parts in service say: each needs a change by a day with its own chance. How
//! many do is then Poisson binomial, which is reckoned exactly, part by part. A part that was changed is not thought to
//! need another change within the time looked at.

use chrono::{Days, NaiveDate};
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// Why no number of spares can be told.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum SparesError {
    /// A chance below nothing or above one.
    #[error("part {0} has no chance from 0 to 1")]
    NoChance(usize),
    /// A part whose chance falls from one day to the next.
    #[error("the chance of part {0} falls: give the chance to need a change by each day")]
    Falls(usize),
    /// A service level that no number of parts gives, or any.
    #[error("give a service level from 1 to 999 of 1,000")]
    NoService,
    /// A day beyond the calendar.
    #[error("the day does not fit the calendar")]
    NoDay,
}

/// How many parts need a change: the chance of none, of one, of two and so on.
#[derive(Clone, Debug, PartialEq)]
pub struct Demand(Vec<f64>);

impl Demand {
    /// Of parts that need a change with these chances, each by itself: the convolution of all.
    pub fn of(chances: &[f64]) -> Result<Self, SparesError> {
        let mut all = vec![1.0_f64];
        for (place, chance) in chances.iter().enumerate() {
            if !(0.0..=1.0).contains(chance) {
                return Err(SparesError::NoChance(place));
            }
            all.push(0.0);
            for count in (1..all.len()).rev() {
                all[count] = all[count].mul_add(1.0 - chance, all[count - 1] * chance);
            }
            all[0] *= 1.0 - chance;
        }
        Ok(Self(all))
    }

    /// The chance that exactly so many do.
    pub fn exactly(&self, count: usize) -> f64 {
        self.0.get(count).copied().unwrap_or(0.0)
    }

    /// How many do on average.
    pub fn mean(&self) -> f64 {
        let mut count = 0.0;
        let mut mean = 0.0;
        for chance in &self.0 {
            mean = chance.mul_add(count, mean);
            count += 1.0;
        }
        mean
    }

    /// The least number of parts that are enough with a chance of `service_permille` in 1,000.
    pub fn enough(&self, service_permille: i64) -> Result<usize, SparesError> {
        let wanted = service(service_permille)?;
        let mut sum = 0.0;
        let found = self.0.iter().position(|chance| {
            sum += chance;
            // What rounding takes off a sum of so many chances does not ask for a part.
            sum >= wanted - 1e-12
        });
        Ok(found.unwrap_or(self.0.len() - 1))
    }
}

fn service(permille: i64) -> Result<f64, SparesError> {
    match u16::try_from(permille) {
        Ok(permille @ 1..=999) => Ok(f64::from(permille) / 1_000.0),
        _ => Err(SparesError::NoService),
    }
}

/// What stands on the shelf and how more of it comes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Supply {
    /// Parts on the shelf and on their way.
    pub parts: usize,
    /// Days from an order until it stands on the shelf.
    pub lead_days: usize,
    /// Days for which an order is to last once it is there.
    pub cover_days: usize,
    /// In how many of 1,000 times there is to be a part when one is needed.
    pub service_permille: i64,
}

/// An order to be made.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct SpareOrder {
    /// The day on which to make it.
    pub on: NaiveDate,
    /// The day from which the parts at hand are no longer enough.
    pub short_from: NaiveDate,
    /// How many.
    pub quantity: usize,
    /// How many of them stand beyond the mean demand until the order after it comes: what the service level costs.
    pub safety: f64,
    /// Whether it comes too late even if it is made today.
    pub late: bool,
}

/// When to order, and how many, so that the order is there in time; none where the parts at hand are enough for all days
/// looked at. `chances` are, for each part in service, its chance to need a change by the end of today, of tomorrow and so
/// on; after the last day it stays.
pub fn order(
    today: NaiveDate,
    chances: &[Vec<f64>],
    supply: &Supply,
) -> Result<Option<SpareOrder>, SparesError> {
    service(supply.service_permille)?;
    for (place, part) in chances.iter().enumerate() {
        if part.windows(2).any(|pair| pair[1] < pair[0]) {
            return Err(SparesError::Falls(place));
        }
    }
    let days = chances.iter().map(Vec::len).max().unwrap_or(0);
    let by = |day: usize| {
        let at = |part: &Vec<f64>| part.get(day).or(part.last()).copied().unwrap_or(0.0);
        Demand::of(&chances.iter().map(at).collect::<Vec<f64>>())
    };
    let mut short = None;
    for day in 0..days {
        if by(day)?.enough(supply.service_permille)? > supply.parts {
            short = Some(day);
            break;
        }
    }
    let Some(short) = short else {
        return Ok(None);
    };
    let on = short.saturating_sub(supply.lead_days);
    let there = on.saturating_add(supply.lead_days);
    let demand = by(there.saturating_add(supply.cover_days))?;
    let enough = demand.enough(supply.service_permille)?;
    Ok(Some(SpareOrder {
        on: date(today, on)?,
        short_from: date(today, short)?,
        quantity: enough.saturating_sub(supply.parts).max(1),
        safety: counted(enough) - demand.mean(),
        late: there > short,
    }))
}

fn date(today: NaiveDate, after: usize) -> Result<NaiveDate, SparesError> {
    let days = u64::try_from(after).map_err(|_| SparesError::NoDay)?;
    today
        .checked_add_days(Days::new(days))
        .ok_or(SparesError::NoDay)
}

#[expect(clippy::cast_precision_loss, reason = "no shelf holds 2^53 parts")]
const fn counted(of: usize) -> f64 {
    of as f64
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn day(nth: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2031, 6, nth).unwrap()
    }

    /// By hand: 0.9 × 0.8 × 0.7 = 0.504; one: 0.056 + 0.126 + 0.216; two: 0.014 + 0.024 + 0.054; three: 0.006.
    #[test]
    fn three_brooms_need_so_many_changes() {
        let demand = Demand::of(&[0.1, 0.2, 0.3]).unwrap();
        for (count, chance) in [(0, 0.504), (1, 0.398), (2, 0.092), (3, 0.006), (4, 0.0)] {
            assert!((demand.exactly(count) - chance).abs() < 1e-12, "{count}");
        }
        assert!((demand.mean() - 0.6).abs() < 1e-12);
        // 0.504, 0.902, 0.994.
        let enough = [500, 504, 505, 902, 903, 994, 995].map(|of| demand.enough(of).unwrap());
        assert_eq!(enough, [0, 0, 1, 1, 2, 2, 3]);
    }

    #[test]
    fn brooms_that_surely_need_a_change_ask_for_one_each() {
        assert_eq!(Demand::of(&[1.0; 4]).unwrap().enough(1), Ok(4));
        assert_eq!(Demand::of(&[]).unwrap().enough(999), Ok(0));
    }

    /// Two brooms of which each needs a change by a day with 0, 0, 0.1, 0.2, … 0.8. One spare is enough with a chance of
    /// 1 less the square: 0.96 on the day of 0.2, 0.91 on that of 0.3, 0.84 on that of 0.4, the sixth.
    fn two_brooms() -> Vec<Vec<f64>> {
        let chances = [0.0, 0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8];
        vec![chances.to_vec(); 2]
    }

    #[test]
    fn an_order_is_made_so_that_it_is_there_in_time() {
        let supply = Supply {
            parts: 1,
            lead_days: 3,
            cover_days: 4,
            service_permille: 900,
        };
        let told = order(day(1), &two_brooms(), &supply).unwrap().unwrap();
        assert_eq!(
            (told.on, told.short_from, told.late),
            (day(3), day(6), false)
        );
        // On the tenth, 0.8 each: one is enough with 1 - 0.64, so that two are needed.
        assert_eq!(told.quantity, 1);
        assert!((told.safety - (2.0 - 1.6)).abs() < 1e-12);
    }

    #[test]
    fn an_order_that_comes_too_late_says_so() {
        let supply = Supply {
            parts: 0,
            lead_days: 14,
            cover_days: 0,
            service_permille: 900,
        };
        // None is enough while 0.9² = 0.81 is not: from the third day on.
        let told = order(day(1), &two_brooms(), &supply).unwrap().unwrap();
        assert_eq!(
            (told.on, told.short_from, told.late),
            (day(1), day(3), true)
        );
        assert_eq!(told.quantity, 2);
    }

    #[test]
    fn a_full_shelf_orders_nothing() {
        let supply = Supply {
            parts: 2,
            lead_days: 14,
            cover_days: 90,
            service_permille: 999,
        };
        assert_eq!(order(day(1), &two_brooms(), &supply), Ok(None));
        assert_eq!(order(day(1), &[], &supply), Ok(None));
    }

    #[test]
    fn what_is_no_chance_and_no_service_is_refused() {
        assert_eq!(Demand::of(&[0.5, 1.5]), Err(SparesError::NoChance(1)));
        let supply = Supply {
            parts: 0,
            lead_days: 1,
            cover_days: 1,
            service_permille: 900,
        };
        let falls = order(day(1), &[vec![0.1], vec![0.5, 0.4]], &supply);
        assert_eq!(falls, Err(SparesError::Falls(1)));
        let nan = order(day(1), &[vec![f64::NAN]], &supply);
        assert_eq!(nan, Err(SparesError::NoChance(0)));
        for service_permille in [0, 1_000, -5] {
            let supply = Supply {
                service_permille,
                ..supply
            };
            assert_eq!(order(day(1), &[], &supply), Err(SparesError::NoService));
        }
    }

    proptest! {
        #[test]
        fn chances_sum_to_one_and_to_their_mean(chances in prop::collection::vec(0.0..=1.0_f64, 0..40)) {
            let demand = Demand::of(&chances).unwrap();
            let sum: f64 = (0..=chances.len()).map(|count| demand.exactly(count)).sum();
            prop_assert!((sum - 1.0).abs() < 1e-12);
            prop_assert!((demand.mean() - chances.iter().sum::<f64>()).abs() < 1e-9);
        }

        #[test]
        fn more_service_asks_for_no_fewer_parts(chances in prop::collection::vec(0.0..=1.0_f64, 0..20), low in 1_i64..999, more in 0_i64..500) {
            let demand = Demand::of(&chances).unwrap();
            let high = (low + more).min(999);
            prop_assert!(demand.enough(low).unwrap() <= demand.enough(high).unwrap());
        }
    }
}
