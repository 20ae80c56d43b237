//! Recurrence rules by RFC 5545 section 3.8.5.3.
//!
//! They are expanded in floating time, as the clock on the wall shows it, and the zone is put on after: the library
//! moves a time that a clock change leaves out and counts it, where section 3.3.10 ignores it.

use chrono::{MappedLocalTime, NaiveDate, NaiveDateTime, NaiveTime, TimeDelta, TimeZone, Utc};
use chrono_tz::Tz;
use rrule::{Frequency, RRule, Unvalidated};

use super::local_to_instant;

/// More instances than these within the asked-for stretch are refused.
pub const MOST_INSTANCES: usize = 10_000;
/// A rule may start so far before the stretch that it has this many instances up to its end.
const MOST_WALKED: u16 = u16::MAX;

/// What is wrong with a recurrence rule, with its mend.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BadRule {
    /// Not of the form of a rule, or a part of it is out of range.
    #[error("this is no recurrence rule ({0}): write it as FREQ=WEEKLY;BYDAY=MO,TH")]
    Unreadable(String),
    /// Courts are not booked by the hour's rhythm, and a task does not fall due by it.
    #[error(
        "a rule repeats by days, weeks, months or years: use FREQ=DAILY, WEEKLY, MONTHLY or YEARLY"
    )]
    TooOften,
    /// Both `COUNT` and `UNTIL`.
    #[error("a rule ends by COUNT or by UNTIL, not by both: leave one out")]
    TwoEnds,
    /// The start is too far away to be meant.
    #[error("the start {0} is out of range: give a year from 1900 to 2200")]
    FarAway(NaiveDateTime),
    /// More instances than anybody plays or works.
    #[error("the rule has more than {MOST_INSTANCES} instances: give it an end or a later start")]
    TooMany,
}

/// When a rule is over.
enum End {
    Never,
    Count(usize),
    /// Up to and with this time on the wall.
    Local(NaiveDateTime),
    /// Up to and with this instant.
    Utc(NaiveDateTime),
}

/// The local times from `from` up to, but without, `to` at which something that starts at `start` recurs, in order.
///
/// `start` is the first and counts, whether or not the rule hits it (section 3.8.5.3 wants it to; calendars show it). A
/// local time that the zone's clocks leave out is no instance and is not counted; one that occurs twice is one
/// instance, and means the first ([`local_to_instant`]).
///
/// # Errors
/// [`BadRule`]: what cannot be read, and more than [`MOST_INSTANCES`].
pub fn expand(
    rule: &str,
    start: NaiveDateTime,
    zone: Tz,
    from: NaiveDateTime,
    to: NaiveDateTime,
) -> Result<Vec<NaiveDateTime>, BadRule> {
    let exists = |local: &NaiveDateTime| {
        *local == start || !matches!(zone.from_local_datetime(local), MappedLocalTime::None)
    };
    let (rule, end) = read(rule)?;
    let last = match end {
        End::Local(until) => until,
        // A zone is never further from UTC than a day; what lies between is looked at by the instant.
        End::Utc(until) => until + TimeDelta::days(1),
        End::Never | End::Count(_) => to,
    };
    let all = walk(rule, start, to.min(last))?;
    let rest = all.into_iter().filter(|local| *local != start);
    let instances = std::iter::once(start)
        .chain(rest)
        .filter(exists)
        .take(match end {
            End::Count(count) => count,
            _ => usize::MAX,
        })
        .take_while(|local| match end {
            End::Local(until) => *local <= until,
            End::Utc(until) => {
                local_to_instant(zone, local.date(), local.time()).naive_utc() <= until
            }
            End::Never | End::Count(_) => true,
        })
        .filter(|local| from <= *local && *local < to)
        .take(MOST_INSTANCES + 1)
        .collect::<Vec<_>>();
    if instances.len() > MOST_INSTANCES {
        return Err(BadRule::TooMany);
    }
    Ok(instances)
}

/// The days from `from` up to and with `until` on which a rule that starts on `start` falls, in order. Unlike a
/// meeting, work that starts on a day the rule does not hit is not due on it.
///
/// # Errors
/// As [`expand`].
pub fn days_of(
    rule: &str,
    start: NaiveDate,
    from: NaiveDate,
    until: NaiveDate,
) -> Result<Vec<NaiveDate>, BadRule> {
    let (rule, end) = read(rule)?;
    let last = match end {
        End::Local(last) | End::Utc(last) => last.date().min(until),
        End::Never | End::Count(_) => until,
    };
    let mut days: Vec<NaiveDate> = walk(rule, start.and_time(NaiveTime::MIN), day_end(last))?
        .into_iter()
        .map(|local| local.date())
        .collect();
    days.dedup();
    if let End::Count(count) = end {
        days.truncate(count);
    }
    days.retain(|day| from <= *day && *day <= last);
    if days.len() > MOST_INSTANCES {
        return Err(BadRule::TooMany);
    }
    Ok(days)
}

/// Every instance up to and with `last`, whatever the clocks do.
fn walk(
    rule: RRule<Unvalidated>,
    start: NaiveDateTime,
    last: NaiveDateTime,
) -> Result<Vec<NaiveDateTime>, BadRule> {
    use chrono::Datelike;
    if !(1900..=2200).contains(&start.year()) {
        return Err(BadRule::FarAway(start));
    }
    // The wall clock is handed over as if it were UTC, in which no time is missing.
    let as_utc = |local: NaiveDateTime| rrule::Tz::UTC.from_utc_datetime(&local);
    let found = rule
        .build(as_utc(start))
        .map_err(|why| BadRule::Unreadable(why.to_string()))?
        .before(as_utc(last))
        .all(MOST_WALKED);
    if found.limited {
        return Err(BadRule::TooMany);
    }
    Ok(found.dates.iter().map(rrule_local).collect())
}

fn rrule_local(date: &chrono::DateTime<rrule::Tz>) -> NaiveDateTime {
    date.with_timezone(&Utc).naive_utc()
}

/// The rule without its end, which is kept here: the library would count what does not exist.
fn read(text: &str) -> Result<(RRule<Unvalidated>, End), BadRule> {
    let unreadable = |what: &str| BadRule::Unreadable(what.to_owned());
    let mut end = End::Never;
    let mut rest = Vec::new();
    for part in text.trim().split(';').filter(|part| !part.is_empty()) {
        let (name, value) = part.split_once('=').ok_or_else(|| unreadable(part))?;
        let read = match name.trim().to_ascii_uppercase().as_str() {
            "COUNT" => count(value).ok_or_else(|| unreadable(part))?,
            "UNTIL" => until(value).ok_or_else(|| unreadable(part))?,
            "INTERVAL" if !value.parse::<u16>().is_ok_and(|every| every > 0) => {
                return Err(unreadable(part));
            }
            _ => {
                rest.push(part.to_ascii_uppercase());
                continue;
            }
        };
        if !matches!(end, End::Never) {
            return Err(BadRule::TwoEnds);
        }
        end = read;
    }
    let rule: RRule<Unvalidated> = rest
        .join(";")
        .parse()
        .map_err(|why: rrule::RRuleError| BadRule::Unreadable(why.to_string()))?;
    match rule.get_freq() {
        Frequency::Yearly | Frequency::Monthly | Frequency::Weekly | Frequency::Daily => {
            Ok((rule, end))
        }
        Frequency::Hourly | Frequency::Minutely | Frequency::Secondly => Err(BadRule::TooOften),
    }
}

fn count(value: &str) -> Option<End> {
    let count = value.parse::<u32>().ok().filter(|count| *count > 0)?;
    usize::try_from(count).ok().map(End::Count)
}

fn until(value: &str) -> Option<End> {
    if let Some(utc) = value.strip_suffix(['Z', 'z']) {
        return date_time(utc).map(End::Utc);
    }
    let day = || NaiveDate::parse_from_str(value, "%Y%m%d").ok();
    date_time(value)
        .or_else(|| day().map(day_end))
        .map(End::Local)
}

fn date_time(value: &str) -> Option<NaiveDateTime> {
    NaiveDateTime::parse_from_str(value, "%Y%m%dT%H%M%S").ok()
}

/// The last second of a day.
fn day_end(day: NaiveDate) -> NaiveDateTime {
    day.and_time(NaiveTime::MIN) + TimeDelta::seconds(86_399)
}

#[cfg(test)]
mod tests;
