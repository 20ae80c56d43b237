//! From an event's properties to what it says: when, how long, how often.

use chrono::{
    DateTime, Datelike, Days, MappedLocalTime, NaiveDate, NaiveDateTime, NaiveTime, TimeDelta,
    TimeZone, Utc,
};
use chrono_tz::Tz;
use trade::calendar::{day_start, local_to_instant};

use super::LineFault;
use super::lines::{Block, Prop};

/// A time as a calendar gives it: on the wall of a zone, or a whole day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct When {
    pub local: NaiveDateTime,
    pub zone: Tz,
    pub whole_day: bool,
}

impl When {
    /// The instant meant.
    pub fn instant(self) -> DateTime<Utc> {
        if self.whole_day {
            day_start(self.zone, self.local.date())
        } else {
            local_to_instant(self.zone, self.local.date(), self.local.time())
        }
    }

    /// The same kind of time at another place on the wall.
    pub const fn at(self, local: NaiveDateTime) -> Self {
        Self { local, ..self }
    }

    /// Whether a clock of the zone ever shows it.
    pub fn exists(&self) -> bool {
        let found = self.zone.from_local_datetime(&self.local);
        self.whole_day || !matches!(found, MappedLocalTime::None)
    }
}

/// How long an event lasts: so many days on the calendar, then so much time. With `DTEND` it is time alone, whatever
/// the clocks do (RFC 5545 section 3.8.5.3).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Length {
    days: u64,
    then: TimeDelta,
}

impl Length {
    const fn days(days: u64) -> Self {
        Self {
            days,
            then: TimeDelta::zero(),
        }
    }

    const fn exact(then: TimeDelta) -> Self {
        Self { days: 0, then }
    }

    /// When something that starts then is over.
    pub fn end(self, start: When) -> DateTime<Utc> {
        let local = start.local.checked_add_days(Days::new(self.days));
        start.at(local.unwrap_or(start.local)).instant() + self.then
    }
}

/// What one `VEVENT` says.
#[derive(Clone, Debug)]
pub(super) struct Event {
    pub line: usize,
    pub uid: String,
    pub sequence: i64,
    pub start: When,
    pub length: Length,
    pub summary: String,
    pub location: Option<String>,
    pub cancelled: bool,
    pub rule: Option<Prop>,
    pub more: Vec<When>,
    pub without: Vec<When>,
    /// Which instance of a recurring event it stands in for.
    pub stands_for: Option<When>,
}

/// Longest text kept of a summary, a location or a UID, characters.
const TEXT_CHARS: usize = 200;
/// Nothing lasts longer.
const LONGEST: TimeDelta = TimeDelta::days(400);

/// Reads one event; times without a zone are the site's own. `cancel`: the whole file cancels.
pub(super) fn event(block: &Block, site: Tz, cancel: bool) -> Result<Event, LineFault> {
    if let Some(fault) = &block.broken {
        return Err(fault.clone());
    }
    let uid = block
        .uid()
        .filter(|uid| uid.chars().count() <= TEXT_CHARS && !uid.contains('\0'));
    let uid = uid.ok_or_else(|| {
        let detail = "give the event a UID of its own, the same each time it is sent, of at most 200 characters";
        of_block(block, "UID", detail)
    })?;
    let status = block.prop("STATUS").map(|prop| prop.value.trim());
    let cancelled = cancel || status.is_some_and(|status| status.eq_ignore_ascii_case("CANCELLED"));
    let stands_for = block
        .prop("RECURRENCE-ID")
        .map(|prop| stands_for(prop, site))
        .transpose()?;
    let (start, length) = match times(block, site) {
        Ok(times) => times,
        // What is cancelled need not say again when it would have been.
        Err(_) if cancelled => (
            stands_for.unwrap_or(day(site, NaiveDate::default())),
            Length::days(1),
        ),
        Err(fault) => return Err(fault),
    };
    Ok(Event {
        line: block.line,
        uid: uid.to_owned(),
        sequence: sequence(block)?,
        start,
        length,
        summary: text(block, "SUMMARY").unwrap_or_default(),
        location: text(block, "LOCATION"),
        cancelled,
        rule: block.prop("RRULE").cloned(),
        more: list(block, "RDATE", site)?,
        without: list(block, "EXDATE", site)?,
        stands_for,
    })
}

/// A fault of something the event lacks.
fn of_block(block: &Block, field: &str, detail: &str) -> LineFault {
    LineFault {
        line: block.line,
        uid: None,
        field: field.into(),
        detail: detail.into(),
    }
}

fn stands_for(prop: &Prop, site: Tz) -> Result<When, LineFault> {
    if prop.param("RANGE").is_some() {
        return Err(prop.fault(
            "a change of one date and all that follow is not read: end the event with UNTIL and add a new one",
        ));
    }
    when(prop, &prop.value, site)
}

fn sequence(block: &Block) -> Result<i64, LineFault> {
    let Some(prop) = block.prop("SEQUENCE") else {
        return Ok(0);
    };
    let read = prop.value.trim().parse::<u32>();
    read.map(i64::from)
        .map_err(|_| prop.fault("give SEQUENCE as a whole number from 0"))
}

fn text(block: &Block, name: &str) -> Option<String> {
    let value = block.prop(name)?.value.replace('\0', "");
    let text: String = value.trim().chars().take(TEXT_CHARS).collect();
    Some(text).filter(|text| !text.is_empty())
}

fn list(block: &Block, name: &'static str, site: Tz) -> Result<Vec<When>, LineFault> {
    let values = block
        .all(name)
        .flat_map(|prop| prop.value.split(',').map(move |value| (prop, value)));
    values
        .map(|(prop, value)| when(prop, value, site))
        .collect()
}

/// When the event starts and how long it lasts.
fn times(block: &Block, site: Tz) -> Result<(When, Length), LineFault> {
    let starts = block
        .prop("DTSTART")
        .ok_or_else(|| of_block(block, "DTSTART", "say when the event starts: DTSTART"))?;
    let start = when(starts, &starts.value, site)?;
    let (length, said) = match (block.prop("DTEND"), block.prop("DURATION")) {
        (Some(end), Some(_)) => return Err(end.fault("give DTEND or DURATION, not both")),
        (Some(prop), None) => (until(prop, start, site)?, prop),
        (None, Some(prop)) => {
            let mend = "give a duration of weeks, or of days, hours and minutes: PT1H30M";
            (duration(&prop.value).ok_or_else(|| prop.fault(mend))?, prop)
        }
        (None, None) if start.whole_day => (Length::days(1), starts),
        (None, None) => return Err(starts.fault("say until when it lasts: DTEND or DURATION")),
    };
    let lasts = length.end(start) - start.instant();
    if lasts <= TimeDelta::zero() || lasts > LONGEST {
        return Err(said.fault("an event ends after it starts, and within 400 days: mend its end"));
    }
    Ok((start, length))
}

/// The length up to a `DTEND`.
fn until(prop: &Prop, start: When, site: Tz) -> Result<Length, LineFault> {
    let end = when(prop, &prop.value, site)?;
    if end.whole_day != start.whole_day {
        return Err(prop.fault("give DTSTART and DTEND both as dates or both with a time"));
    }
    let days = u64::try_from((end.local - start.local).num_days()).unwrap_or(0);
    Ok(if end.whole_day {
        Length::days(days)
    } else {
        Length::exact(end.instant() - start.instant())
    })
}

fn day(zone: Tz, date: NaiveDate) -> When {
    When {
        local: date.and_time(NaiveTime::MIN),
        zone,
        whole_day: true,
    }
}

/// One date, or date and time, of a property.
fn when(prop: &Prop, value: &str, site: Tz) -> Result<When, LineFault> {
    let value = value.trim();
    let date_time = |text: &str| {
        let read = NaiveDateTime::parse_from_str(text, "%Y%m%dT%H%M%S").ok();
        read.filter(|_| text.len() == 15)
    };
    let found = if value.len() == 8 {
        let date = NaiveDate::parse_from_str(value, "%Y%m%d").ok();
        date.map(|date| day(site, date))
    } else {
        let (local, zone) = match value.strip_suffix(['Z', 'z']) {
            Some(utc) => (date_time(utc), Tz::UTC),
            None => (date_time(value), zone(prop, site)?),
        };
        local.map(|local| When {
            local,
            zone,
            whole_day: false,
        })
    };
    found.filter(|when| (1900..=2200).contains(&when.local.year())).ok_or_else(|| {
        prop.fault("give a date or a time of the calendar: 20310610, 20310610T140000 or 20310610T180000Z")
    })
}

fn zone(prop: &Prop, site: Tz) -> Result<Tz, LineFault> {
    let Some(id) = prop.param("TZID") else {
        return Ok(site);
    };
    id.trim_start_matches('/').parse().map_err(|_| {
        let shown: String = id.chars().take(60).collect();
        prop.fault(format!(
            "the zone \"{shown}\" is not known: give its name in the IANA list, as America/New_York"
        ))
    })
}

/// RFC 5545 section 3.3.6: weeks alone, or days and a time; a negative one makes no event.
fn duration(text: &str) -> Option<Length> {
    let text = text.trim().to_ascii_uppercase();
    let text = text.strip_prefix('+').unwrap_or(&text).strip_prefix('P')?;
    if let Some(weeks) = text.strip_suffix('W') {
        let weeks = weeks.parse::<u64>().ok().filter(|weeks| *weeks <= 60)?;
        return Some(Length::days(weeks * 7));
    }
    let (date, time) = match text.split_once('T') {
        Some((date, time)) => (date, Some(time)),
        None => (text, None),
    };
    if time == Some("") || (date.is_empty() && time.is_none()) {
        return None;
    }
    let days = match date {
        "" => 0,
        date => date
            .strip_suffix('D')?
            .parse()
            .ok()
            .filter(|days| *days <= 400)?,
    };
    let (mut seconds, mut rest) = (0_i64, time.unwrap_or_default());
    for (unit, worth) in [('H', 3_600), ('M', 60), ('S', 1)] {
        if let Some((number, after)) = rest.split_once(unit) {
            seconds += i64::from(number.parse::<u32>().ok()?) * worth;
            rest = after;
        }
    }
    let then = TimeDelta::try_seconds(seconds)?;
    (rest.is_empty() && then <= LONGEST).then_some(Length { days, then })
}
