//! When a care task falls due.

use std::num::NonZeroU16;

use chrono::{Days, NaiveDate};
use serde::{Deserialize, Serialize};

use super::{Cadence, Due, Season, next_due};
use crate::grooming::Condition;

/// When a task falls due; written `"daily"`, `{"every_days": 14}`, `{"recurs": {"rrule": "FREQ=WEEKLY;BYDAY=MO", "from": "2031-06-02"}}`.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Rule {
    /// After each session of play.
    AfterEachSession,
    /// Once a day.
    Daily,
    /// So many days after it was last done.
    EveryDays(NonZeroU16),
    /// On the same day of the month after it was last done.
    Monthly,
    /// On the same date of the year after it was last done.
    Yearly,
    /// On the days of a recurrence rule (RFC 5545), whenever it was last done.
    Recurs {
        /// The rule, as `FREQ=WEEKLY;BYDAY=MO`.
        rrule: String,
        /// The first day of the rule, its `DTSTART`.
        from: NaiveDate,
    },
    /// After so many hours of play since it was last done.
    AfterPlayHours(NonZeroU16),
    /// After a rain of at least so many mm: what falls on days that follow each other is one rain.
    AfterRainMm(NonZeroU16),
    /// On the day after a rain of at least so many mm, when the water has had a night to work its way.
    DayAfterRainMm(NonZeroU16),
    /// When the court is found in one of these conditions.
    WhenCondition(Vec<Condition>),
    /// Only where somebody asks for it.
    AsFound,
}

impl Rule {
    /// Whether it counts from when the task was last done: days, play, rain or the days of a recurrence.
    pub const fn counts(&self) -> bool {
        match self {
            Self::EveryDays(_)
            | Self::Monthly
            | Self::Yearly
            | Self::Recurs { .. }
            | Self::AfterPlayHours(_)
            | Self::AfterRainMm(_)
            | Self::DayAfterRainMm(_) => true,
            Self::AfterEachSession | Self::Daily | Self::WhenCondition(_) | Self::AsFound => false,
        }
    }
}

impl From<Cadence> for Rule {
    fn from(cadence: Cadence) -> Self {
        match cadence {
            Cadence::AfterEachSession => Self::AfterEachSession,
            Cadence::Daily => Self::Daily,
            Cadence::Weekly => Self::EveryDays(WEEK),
            Cadence::EveryDays(days) => Self::EveryDays(days),
            Cadence::Monthly => Self::Monthly,
            Cadence::Yearly => Self::Yearly,
            Cadence::AsFound => Self::AsFound,
        }
    }
}

const WEEK: NonZeroU16 = NonZeroU16::new(7).expect("seven is not zero");

/// What is known of a task at one place, on the morning of the day it is asked for.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Record<'a> {
    /// The day on which it was really last done.
    pub last_done: Option<NaiveDate>,
    /// The day from which it counts where it was never done: see [`spread`].
    pub counts_from: Option<NaiveDate>,
    /// Seconds of play on the court since it was last done, or since it counts.
    pub play_s: i64,
    /// Rain by day, in order of days: micrometres. Days before it was last done do no harm.
    pub rain: &'a [(NaiveDate, i64)],
    /// How the court was last found, and when.
    pub found: Option<(NaiveDate, Condition)>,
    /// The days of a recurrence rule up to the day it is asked for, in order.
    pub instances: &'a [NaiveDate],
}

impl Record<'_> {
    /// The day after which something can make the task due.
    fn since(&self) -> Option<NaiveDate> {
        self.last_done.or(self.counts_from)
    }
}

/// Whether the task is due on `today`. What was never done counts from its day of the spread: it is not overdue from
/// the first day on. One that follows each session is due whenever one ends, and never overdue by days; one done as
/// found is not due by itself. Out of its season nothing is due; what fell due out of season is due on its first day.
pub fn due_on(rule: &Rule, season: Option<Season>, record: &Record<'_>, today: NaiveDate) -> Due {
    if season.is_some_and(|season| !season.contains(today)) {
        return Due::NotDue;
    }
    let Some(since) = due_since(rule, record, today) else {
        return Due::NotDue;
    };
    let since = season.map_or(since, |season| season.next(since));
    match (today - since).num_days() {
        0 => Due::Due,
        days @ 1.. => Due::Overdue { days },
        _ => Due::NotDue,
    }
}

/// The day on which a task of days falls due, or fell due, by what is known; none where its rule counts something else.
pub fn next_on(rule: &Rule, season: Option<Season>, record: &Record<'_>) -> Option<NaiveDate> {
    interval_days(rule)?;
    let on = due_since(rule, record, record.since()?)?;
    Some(season.map_or(on, |season| season.next(on)))
}

/// The day on which the task fell due, or will by what is known; none where nothing says so yet.
fn due_since(rule: &Rule, record: &Record<'_>, today: NaiveDate) -> Option<NaiveDate> {
    let by = |cadence| match (record.last_done, record.counts_from, interval_days(rule)) {
        (Some(last), _, _) => next_due(cadence, last),
        // The spread is one of days: a short month must not make its first day late.
        (None, Some(from), Some(days)) => from.checked_add_days(Days::new(days)),
        _ => Some(today),
    };
    match rule {
        Rule::AfterEachSession | Rule::Daily => Some(today),
        Rule::EveryDays(days) => by(Cadence::EveryDays(*days)),
        Rule::Monthly => by(Cadence::Monthly),
        Rule::Yearly => by(Cadence::Yearly),
        Rule::Recurs { .. } => newest(record, today),
        Rule::AfterPlayHours(hours) => played_out(record, i64::from(hours.get()) * 3_600, today),
        Rule::AfterRainMm(mm) => rained(record, i64::from(mm.get()) * 1_000, today),
        Rule::DayAfterRainMm(mm) => {
            // What was done on the day of the rain itself was done too early.
            let before = |since: NaiveDate| since.pred_opt().unwrap_or(since);
            let record = Record {
                last_done: record.last_done.map(before),
                ..record.clone()
            };
            rained(&record, i64::from(mm.get()) * 1_000, today)?.succ_opt()
        }
        Rule::WhenCondition(conditions) => {
            let (on, found) = record.found?;
            let new = record.last_done.is_none_or(|last| on > last);
            (new && on <= today && conditions.contains(&found)).then_some(on)
        }
        Rule::AsFound => None,
    }
}

/// The newest day of the recurrence that nobody has served: several missed ones are one piece of work.
fn newest(record: &Record<'_>, today: NaiveDate) -> Option<NaiveDate> {
    let served = |day: NaiveDate| {
        let done = record.last_done.is_some_and(|last| last >= day);
        let before = record.counts_from.is_some_and(|from| day < from);
        done || (record.last_done.is_none() && before)
    };
    let mut open = record.instances.iter().copied();
    open.find(|day| *day <= today && !served(*day))
}

/// The day on which the hours of play were full, as if they had been played evenly.
fn played_out(record: &Record<'_>, enough_s: i64, today: NaiveDate) -> Option<NaiveDate> {
    if record.play_s < enough_s || record.play_s <= 0 {
        return None;
    }
    let Some(since) = record.since().filter(|since| *since < today) else {
        return Some(today);
    };
    let days = i128::from((today - since).num_days());
    let into = days * i128::from(enough_s) / i128::from(record.play_s);
    let into = u64::try_from(into).unwrap_or(0);
    since.checked_add_days(Days::new(into.max(1)))
}

/// The first day after the task was last done on which a rain reached so much, micrometres.
fn rained(record: &Record<'_>, enough_um: i64, today: NaiveDate) -> Option<NaiveDate> {
    let since = record.since();
    let (mut fallen, mut before) = (0_i64, None);
    for (day, um) in record
        .rain
        .iter()
        .filter(|(day, um)| *day <= today && *um > 0)
    {
        let goes_on = before.and_then(|before: NaiveDate| before.succ_opt()) == Some(*day);
        fallen = if goes_on {
            fallen.saturating_add(*um)
        } else {
            *um
        };
        before = Some(*day);
        if fallen >= enough_um && since.is_none_or(|since| *day > since) {
            return Some(*day);
        }
    }
    None
}

/// How many days lie between one time and the next, where the rule is one of days.
pub fn interval_days(rule: &Rule) -> Option<u64> {
    match rule {
        Rule::EveryDays(days) => Some(u64::from(days.get())),
        Rule::Monthly => Some(30),
        Rule::Yearly => Some(365),
        _ => None,
    }
}

/// The day from which a task counts at the `nth` of `of` places where nobody knows when it was last done: a day
/// in the period of `interval` days before `founded`, so that the places fall due evenly over the period after it.
pub fn spread(nth: usize, of: usize, interval: u64, founded: NaiveDate) -> NaiveDate {
    let (nth, of) = (nth as u128, (of as u128).max(1));
    let into = (nth % of) * u128::from(interval) / of;
    let back = u128::from(interval).saturating_sub(into);
    let back = Days::new(u64::try_from(back).unwrap_or(0));
    founded.checked_sub_days(back).unwrap_or(founded)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn date(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    fn every(days: u16) -> Rule {
        Rule::EveryDays(NonZeroU16::new(days).unwrap())
    }

    fn last(text: &str) -> Record<'static> {
        Record {
            last_done: Some(date(text)),
            ..Record::default()
        }
    }

    #[test]
    fn days_count_from_when_it_was_really_done() {
        let on = |today| due_on(&every(7), None, &last("2031-06-04"), date(today));
        assert_eq!(on("2031-06-10"), Due::NotDue);
        assert_eq!(on("2031-06-11"), Due::Due);
        assert_eq!(on("2031-06-14"), Due::Overdue { days: 3 });
    }

    #[test]
    fn what_is_daily_is_due_each_day_and_never_late_by_days() {
        let on = |today| due_on(&Rule::Daily, None, &last("2031-06-04"), date(today));
        assert_eq!(on("2031-06-05"), Due::Due);
        assert_eq!(on("2031-06-25"), Due::Due);
        assert_eq!(
            on("2031-06-04"),
            Due::Due,
            "a closing round that ran past midnight"
        );
    }

    #[test]
    fn a_task_never_recorded_is_not_overdue_and_falls_due_on_its_own_day() {
        let founded = date("2031-06-02");
        let first_due = |nth| {
            let counts_from = Some(spread(nth, 14, 7, founded));
            let record = Record {
                counts_from,
                ..Record::default()
            };
            (0..7).find(|day| {
                let today = founded.checked_add_days(Days::new(*day)).unwrap();
                let found = due_on(&every(7), None, &record, today);
                assert_ne!(found, Due::Overdue { days: 1 });
                found == Due::Due
            })
        };
        let days: Vec<_> = (0..14).map(|nth| first_due(nth).unwrap()).collect();
        assert_eq!(days, [0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 5, 5, 6, 6]);
    }

    #[test]
    fn the_next_day_of_a_task_of_days_is_told_ahead_and_waits_for_its_season() {
        let autumn = Season {
            from: "10-01".parse().unwrap(),
            until: "12-15".parse().unwrap(),
        };
        let done = last("2031-06-04");
        assert_eq!(next_on(&every(7), None, &done), Some(date("2031-06-11")));
        let waits = next_on(&every(7), Some(autumn), &done);
        assert_eq!(waits, Some(date("2031-10-01")));
        assert_eq!(next_on(&Rule::AsFound, None, &done), None);
        assert_eq!(next_on(&every(7), None, &Record::default()), None);
        let spread = Record {
            counts_from: Some(date("2031-06-01")),
            ..Record::default()
        };
        assert_eq!(
            next_on(&Rule::Monthly, None, &spread),
            Some(date("2031-07-01"))
        );
    }

    #[test]
    fn a_recurrence_is_served_once_and_several_missed_days_are_one_piece_of_work() {
        let rule = Rule::Recurs {
            rrule: "FREQ=WEEKLY;BYDAY=MO".into(),
            from: date("2031-06-02"),
        };
        let mondays = [date("2031-06-02"), date("2031-06-09"), date("2031-06-16")];
        let on = |last_done: Option<&str>, today: &str| {
            let record = Record {
                last_done: last_done.map(date),
                counts_from: Some(date("2031-06-05")),
                instances: &mondays,
                ..Record::default()
            };
            due_on(&rule, None, &record, date(today))
        };
        assert_eq!(
            on(None, "2031-06-08"),
            Due::NotDue,
            "the Monday before the site was set up"
        );
        assert_eq!(on(None, "2031-06-09"), Due::Due);
        assert_eq!(on(None, "2031-06-17"), Due::Overdue { days: 8 });
        assert_eq!(on(Some("2031-06-10"), "2031-06-15"), Due::NotDue);
        assert_eq!(on(Some("2031-06-10"), "2031-06-16"), Due::Due);
    }

    #[test]
    fn hours_of_play_make_it_due_and_it_is_late_from_the_day_they_were_full() {
        let rule = Rule::AfterPlayHours(NonZeroU16::new(40).unwrap());
        let on = |hours: i64, today| {
            let record = Record {
                play_s: hours * 3_600,
                ..last("2031-06-01")
            };
            due_on(&rule, None, &record, date(today))
        };
        assert_eq!(on(39, "2031-06-09"), Due::NotDue);
        assert_eq!(on(40, "2031-06-09"), Due::Due);
        // 80 hours in 10 days: 40 were full after 5.
        assert_eq!(on(80, "2031-06-11"), Due::Overdue { days: 5 });
    }

    #[test]
    fn rain_that_goes_on_over_night_is_one_rain_and_a_dry_day_ends_it() {
        let rule = Rule::AfterRainMm(NonZeroU16::new(10).unwrap());
        let rain = [
            (date("2031-06-02"), 6_000),
            (date("2031-06-04"), 6_000),
            (date("2031-06-05"), 5_000),
        ];
        let on = |last_done, today| {
            let record = Record {
                rain: &rain,
                ..last(last_done)
            };
            due_on(&rule, None, &record, date(today))
        };
        assert_eq!(on("2031-06-01", "2031-06-04"), Due::NotDue);
        assert_eq!(on("2031-06-01", "2031-06-05"), Due::Due);
        assert_eq!(on("2031-06-01", "2031-06-07"), Due::Overdue { days: 2 });
        assert_eq!(on("2031-06-06", "2031-06-07"), Due::NotDue);
    }

    #[test]
    fn what_is_due_the_day_after_rain_waits_for_that_day_also_where_it_was_done_as_it_rained() {
        let rule = Rule::DayAfterRainMm(NonZeroU16::new(10).unwrap());
        let rain = [(date("2031-06-04"), 12_000)];
        let on = |last_done, today| {
            let record = Record {
                rain: &rain,
                ..last(last_done)
            };
            due_on(&rule, None, &record, date(today))
        };
        assert_eq!(on("2031-06-01", "2031-06-04"), Due::NotDue);
        assert_eq!(on("2031-06-01", "2031-06-05"), Due::Due);
        assert_eq!(on("2031-06-04", "2031-06-05"), Due::Due);
        assert_eq!(on("2031-06-04", "2031-06-06"), Due::Overdue { days: 1 });
        assert_eq!(on("2031-06-05", "2031-06-06"), Due::NotDue);
    }

    #[test]
    fn a_condition_makes_it_due_until_it_was_done_after_the_court_was_seen() {
        let rule = Rule::WhenCondition(vec![Condition::LowSpots]);
        let on = |found, last_done: Option<&str>| {
            let record = Record {
                found: Some((date("2031-06-04"), found)),
                last_done: last_done.map(date),
                ..Record::default()
            };
            due_on(&rule, None, &record, date("2031-06-06"))
        };
        assert_eq!(
            on(Condition::LowSpots, Some("2031-05-30")),
            Due::Overdue { days: 2 }
        );
        assert_eq!(on(Condition::LowSpots, Some("2031-06-05")), Due::NotDue);
        assert_eq!(on(Condition::Sound, None), Due::NotDue);
    }

    #[test]
    fn out_of_season_nothing_is_due_and_what_waited_is_due_on_its_first_day() {
        let summer = Season {
            from: "04-01".parse().unwrap(),
            until: "10-31".parse().unwrap(),
        };
        let on = |today| due_on(&every(7), Some(summer), &last("2031-10-20"), date(today));
        assert_eq!(on("2031-10-29"), Due::Overdue { days: 2 });
        assert_eq!(on("2031-11-01"), Due::NotDue);
        let late = |today| due_on(&every(7), Some(summer), &last("2031-10-28"), date(today));
        assert_eq!(late("2032-04-01"), Due::Due);
        assert_eq!(late("2032-04-03"), Due::Overdue { days: 2 });
    }

    #[test]
    fn a_plain_rule_is_one_word() {
        let read = |word: &'static str| {
            use serde::de::IntoDeserializer;
            use serde::de::value::{Error, StrDeserializer};
            let word: StrDeserializer<'_, Error> = word.into_deserializer();
            Rule::deserialize(word)
        };
        assert_eq!(read("after_each_session"), Ok(Rule::AfterEachSession));
        assert_eq!(read("daily"), Ok(Rule::Daily));
        assert!(read("hourly").is_err() && read("every_days").is_err());
        assert_eq!(Rule::from("weekly".parse::<Cadence>().unwrap()), every(7));
    }

    proptest! {
        /// Whatever is due stays due until it is done, and grows older by a day each day.
        #[test]
        fn what_is_due_waits_and_grows_older(days in 1_u16..400, ago in 0_u64..900) {
            let today = date("2031-06-10");
            let record = Record {
                last_done: today.checked_sub_days(Days::new(ago)),
                ..Record::default()
            };
            let age = |today| match due_on(&every(days), None, &record, today) {
                Due::NotDue => -1,
                Due::Due => 0,
                Due::Overdue { days } => days,
            };
            let (now, then) = (age(today), age(today.succ_opt().unwrap()));
            prop_assert_eq!(now, i64::try_from(ago).unwrap().saturating_sub(days.into()).max(-1));
            prop_assert!(then == now + 1 || (now == -1 && then == -1));
        }

        /// The places of a site fall due evenly: no day of the period has more than one above another.
        #[test]
        fn the_unknown_are_spread_evenly(of in 1_usize..200, interval in 1_u64..366) {
            let founded = date("2031-06-02");
            let mut counts = std::collections::HashMap::new();
            for nth in 0..of {
                let from = spread(nth, of, interval, founded);
                prop_assert!(from < founded);
                prop_assert!((founded - from).num_days() <= i64::try_from(interval).unwrap());
                *counts.entry(from).or_insert(0_usize) += 1;
            }
            let even = of.div_ceil(usize::try_from(interval).unwrap());
            prop_assert!(counts.values().all(|count| *count <= even));
        }
    }
}
