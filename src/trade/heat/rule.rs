//! What a site does at which heat. The usual numbers are those of a published proposal (89 FR 70698, 2024), which is
//! guidance here and not law; where a state has a rule of its own, that comes first.

use serde::{Deserialize, Serialize};
use thiserror::Error;

use super::table::{Effort, WorkRest, work_rest};
use super::{FULL_SUN_MOST, MilliFahrenheit};
use crate::units::Seconds;

word_enum! {
    /// By what a crew rests.
    RestBy {
        /// A rest at least every so many hours from the high trigger on.
        HighTrigger = "high_trigger",
        /// The table of work and rest by the hour, for moderate work.
        Table = "table",
    }
}

/// A site's rule.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct HeatRule {
    /// From this index on the order carries the caution.
    pub initial: MilliFahrenheit,
    /// From this index on people rest, and no heavy work is done.
    pub high: MilliFahrenheit,
    /// What full sun is taken to add, 0 to 15 °F.
    pub sun: MilliFahrenheit,
    /// How long a rest is; it is paid.
    pub rest: Seconds,
    /// The longest work between two rests.
    pub every: Seconds,
    /// By what a crew rests.
    pub by: RestBy,
}

impl Default for HeatRule {
    /// 80 °F, 90 °F, a rest of 15 min at least every 2 h: the published proposal.
    fn default() -> Self {
        Self {
            initial: MilliFahrenheit(80_000),
            high: MilliFahrenheit(90_000),
            sun: MilliFahrenheit::ZERO,
            rest: Seconds(900),
            every: Seconds(7_200),
            by: RestBy::HighTrigger,
        }
    }
}

/// What is wrong with a rule.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum HeatRuleError {
    /// The high trigger lies below the first.
    #[error("the high trigger is at least the first: raise it, or lower the first")]
    Triggers,
    /// Sun adds less than nothing or more than 15 °F.
    #[error("full sun adds 0 to 15 °F")]
    Sun,
    /// Rest or work between rests is nothing.
    #[error("a rest and the work between two are more than nothing")]
    Rest,
}

impl HeatRule {
    /// The same rule, if it makes sense.
    pub fn checked(self) -> Result<Self, HeatRuleError> {
        if self.high < self.initial {
            return Err(HeatRuleError::Triggers);
        }
        if self.sun < MilliFahrenheit::ZERO || self.sun > FULL_SUN_MOST {
            return Err(HeatRuleError::Sun);
        }
        if self.rest.0 <= 0 || self.every.0 <= 0 {
            return Err(HeatRuleError::Rest);
        }
        Ok(self)
    }

    /// The index as this site counts it, with its sun.
    pub const fn felt(&self, shade: MilliFahrenheit) -> MilliFahrenheit {
        MilliFahrenheit(shade.0.saturating_add(self.sun.0))
    }
}

/// A stretch of the day with one index: usually an hour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Hour {
    /// From, s.
    pub from: Seconds,
    /// Until, s.
    pub until: Seconds,
    /// The heat index in the shade.
    pub index: MilliFahrenheit,
    /// The temperature with which the table of work and rest is entered.
    pub adjusted: MilliFahrenheit,
}

/// A rest: it begins within its window.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Rest {
    /// The earliest it begins.
    pub earliest: Seconds,
    /// The latest it begins.
    pub latest: Seconds,
    /// How long it is.
    pub length: Seconds,
}

/// Whether heavy work (rolling, top dressing, patching) may be done at this index of the shade.
pub fn heavy_allowed(rule: &HeatRule, shade: MilliFahrenheit) -> bool {
    rule.felt(shade) < rule.high
}

/// The stretches in which no heavy work is done, as (from, until), those that touch joined. `hours` are in
/// order.
pub fn hot_hours(rule: &HeatRule, hours: &[Hour]) -> Vec<(Seconds, Seconds)> {
    let mut hot: Vec<(Seconds, Seconds)> = Vec::new();
    for hour in hours.iter().filter(|h| !heavy_allowed(rule, h.index)) {
        match hot.last_mut() {
            Some(last) if last.1 >= hour.from => last.1 = last.1.max(hour.until),
            _ => hot.push((hour.from, hour.until)),
        }
    }
    hot
}

/// The rests of a crew on shift from `shift.0` to `shift.1`, in order. Whenever in their windows they begin, nobody
/// works longer than the rule's stretch without one while it is hot. `hours` are in order.
pub fn rests(rule: &HeatRule, hours: &[Hour], shift: (Seconds, Seconds)) -> Vec<Rest> {
    match rule.by {
        RestBy::HighTrigger => hot_hours(rule, hours)
            .into_iter()
            .flat_map(|(from, until)| between_rests(rule, (from.max(shift.0), until.min(shift.1))))
            .collect(),
        RestBy::Table => hours
            .iter()
            .filter_map(|hour| by_the_table(hour, shift))
            .collect(),
    }
}

/// The rests of one hot stretch on shift.
fn between_rests(rule: &HeatRule, (from, until): (Seconds, Seconds)) -> Vec<Rest> {
    let (length, every) = (rule.rest.0.max(1), rule.every.0.max(1));
    // A window a quarter of the stretch wide lets a rest lie between two visits.
    let wide = every / 4;
    let mut found = Vec::new();
    // The earliest moment since which somebody may have been at work without a rest.
    let mut since = from.0;
    while until.0.saturating_sub(since) > every {
        let latest = since + every;
        found.push(Rest {
            earliest: Seconds(latest - wide),
            latest: Seconds(latest),
            length: Seconds(length),
        });
        since = latest - wide + length;
    }
    found
}

/// The rest of one hour by the table, for moderate work; an hour for which it gives no work is rest.
fn by_the_table(hour: &Hour, shift: (Seconds, Seconds)) -> Option<Rest> {
    let (from, until) = (hour.from.max(shift.0).0, hour.until.min(shift.1).0);
    let long = until - from;
    let rest = match work_rest(Effort::Moderate, hour.adjusted) {
        WorkRest::Usual => return None,
        WorkRest::Minutes { rest, .. } => long * rest / 60,
        WorkRest::Caution => long,
    };
    (rest > 0).then_some(Rest {
        earliest: Seconds(from),
        latest: Seconds(until - rest),
        length: Seconds(rest),
    })
}

#[cfg(test)]
pub(in crate::heat) mod tests {
    use proptest::prelude::*;

    use super::*;

    pub fn hours(from: i64, fahrenheit: &[i64]) -> Vec<Hour> {
        let at = |(nth, f): (i64, &i64)| Hour {
            from: Seconds((from + nth) * 3_600),
            until: Seconds((from + nth + 1) * 3_600),
            index: MilliFahrenheit(f * 1_000),
            adjusted: MilliFahrenheit(f * 1_000),
        };
        (0..).zip(fahrenheit).map(at).collect()
    }

    pub fn clock(hour: i64) -> Seconds {
        Seconds(hour * 3_600)
    }

    /// The published proposal: 15 min at least every 2 h from an index of 90 °F on.
    #[test]
    fn five_hot_hours_have_two_rests_and_cool_ones_none() {
        let rule = HeatRule::default();
        let day = hours(10, &[85, 90, 92, 95, 95, 91, 88]);
        let shift = (clock(6), clock(18));
        let found = rests(&rule, &day, shift);
        assert_eq!(found.len(), 2);
        assert!(found.iter().all(|rest| rest.length == Seconds(900)));
        assert_eq!(found[0].latest, clock(13));
        assert!(rests(&rule, &hours(10, &[85, 89]), shift).is_empty());
    }

    #[test]
    fn full_sun_brings_the_rests_forward_and_ends_heavy_work_sooner() {
        let shade = MilliFahrenheit(80_000);
        let rule = HeatRule::default();
        assert!(heavy_allowed(&rule, shade));
        let sunny = HeatRule {
            sun: FULL_SUN_MOST,
            ..rule
        };
        assert!(!heavy_allowed(&sunny, shade));
        let day = hours(10, &[80, 80, 80]);
        assert_eq!(hot_hours(&sunny, &day), [(clock(10), clock(13))]);
        assert_eq!(rests(&sunny, &day, (clock(6), clock(18))).len(), 1);
    }

    /// The Institute's table: 30 min of rest in an hour at 103 °F for moderate work.
    #[test]
    fn a_site_may_rest_by_the_table() {
        let rule = HeatRule {
            by: RestBy::Table,
            ..HeatRule::default()
        };
        let found = rests(&rule, &hours(12, &[99, 103]), (clock(6), clock(18)));
        assert_eq!(
            found,
            [Rest {
                earliest: clock(13),
                latest: Seconds(13 * 3_600 + 1_800),
                length: Seconds(1_800)
            }]
        );
    }

    #[test]
    fn a_rule_that_makes_no_sense_is_refused() {
        let usual = HeatRule::default();
        assert_eq!(usual.checked(), Ok(usual));
        let sun = HeatRule {
            sun: MilliFahrenheit(15_001),
            ..usual
        };
        assert_eq!(sun.checked(), Err(HeatRuleError::Sun));
        let upside_down = HeatRule {
            high: MilliFahrenheit(79_000),
            ..usual
        };
        assert_eq!(upside_down.checked(), Err(HeatRuleError::Triggers));
    }

    proptest! {
        #[test]
        fn wherever_in_their_windows_rests_begin_nobody_works_on_too_long(
            indexes in prop::collection::vec(75_i64..105, 1..14),
            starts in prop::collection::vec(0_i64..=100, 20),
            begins in 4_i64..12,
            long in 1_i64..12,
        ) {
            let rule = HeatRule::default();
            let day = hours(6, &indexes);
            let shift = (clock(begins), clock(begins + long));
            let found = rests(&rule, &day, shift);
            for (from, until) in hot_hours(&rule, &day) {
                let (from, until) = (from.max(shift.0).0, until.min(shift.1).0);
                let mut since = from;
                for (rest, part) in found.iter().zip(&starts) {
                    if rest.latest.0 < from || rest.earliest.0 > until {
                        continue;
                    }
                    let at = rest.earliest.0 + (rest.latest.0 - rest.earliest.0) * part / 100;
                    prop_assert!(at - since <= rule.every.0);
                    since = at + rest.length.0;
                }
                prop_assert!(until - since <= rule.every.0);
            }
        }

        #[test]
        fn rests_do_not_run_into_each_other(indexes in prop::collection::vec(75_i64..115, 1..14), table: bool) {
            let by = if table { RestBy::Table } else { RestBy::HighTrigger };
            let rule = HeatRule { by, ..HeatRule::default() };
            let found = rests(&rule, &hours(6, &indexes), (clock(6), clock(20)));
            for pair in found.windows(2) {
                prop_assert!(pair[0].earliest.0 + pair[0].length.0 <= pair[1].latest.0);
            }
        }
    }
}
