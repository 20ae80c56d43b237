//! Reading a calendar in the form of RFC 5545: a pure function from its text to what is to be played and when, and to
//! the lines that cannot be taken.

mod event;
mod lines;
#[cfg(test)]
mod tests;

use std::collections::BTreeMap;

use chrono::{DateTime, TimeDelta, Utc};
use chrono_tz::Tz;
use serde::{Deserialize, Serialize};
use trade::calendar::{Span, expand};

use self::event::{Event, When};

/// Most events that one file may hold.
pub const MOST_EVENTS: usize = 5_000;
/// Most times of play that they may make within the window.
pub const MOST_INSTANCES: usize = 20_000;

/// A line that cannot be taken.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct LineFault {
    /// The line in the file, from 1.
    pub line: usize,
    /// The event's UID, where it has one.
    pub uid: Option<String>,
    /// The property at fault.
    #[schema(example = "DTEND")]
    pub field: String,
    /// What is wrong and how to mend it.
    pub detail: String,
}

/// One time of one event.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Instance {
    /// The line of the event it is of.
    pub line: usize,
    /// The event.
    pub uid: String,
    /// Of a recurring event: when the rule has it, whatever it was moved to.
    pub recurrence: Option<DateTime<Utc>>,
    /// The revision of the event.
    pub sequence: i64,
    /// From when until when.
    pub span: Span,
    /// What it is called; may be empty.
    pub name: String,
    /// Where it is.
    pub location: Option<String>,
}

/// An event, or one instance of it, that is said to be cancelled.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cancel {
    /// The event.
    pub uid: String,
    /// The instance; none for all of it.
    pub recurrence: Option<DateTime<Utc>>,
    /// The revision of the event that cancels it.
    pub sequence: i64,
}

/// What a calendar says.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Reading {
    /// In order of start, then of UID.
    pub instances: Vec<Instance>,
    /// What is cancelled by name.
    pub cancels: Vec<Cancel>,
    /// What cannot be taken, in order of lines.
    pub faults: Vec<LineFault>,
    /// Whether the file only says what is cancelled (`METHOD:CANCEL`), so that what it leaves out stands.
    pub only_cancels: bool,
}

/// Reads a calendar: what lies, at least in part, within `window`. Times without a zone are the site's own.
///
/// # Errors
/// Where it is no calendar, or not a whole one.
pub fn read(text: &str, site: Tz, window: Span) -> Result<Reading, LineFault> {
    let content = lines::content(text)?;
    let only_cancels = content.method.as_deref() == Some("CANCEL");
    let mut reading = Reading {
        only_cancels,
        ..Reading::default()
    };
    let mut by_uid: BTreeMap<String, Vec<Event>> = BTreeMap::new();
    for (nth, block) in content.events.iter().enumerate() {
        let event = if nth < MOST_EVENTS {
            event::event(block, site, only_cancels)
        } else {
            Err(too_many(
                block.line,
                "VEVENT",
                &format!("{MOST_EVENTS} events"),
            ))
        };
        match event {
            Ok(event) => by_uid.entry(event.uid.clone()).or_default().push(event),
            Err(fault) => reading.faults.push(LineFault {
                uid: block.uid().map(str::to_owned),
                ..fault
            }),
        }
    }
    for (uid, events) in by_uid {
        let said = of_one_uid(&uid, newest(events), window).and_then(|said| {
            let line = said.0.first().map_or(1, |first| first.line);
            let fits = reading.instances.len() + said.0.len() <= MOST_INSTANCES;
            let most = || too_many(line, "RRULE", &format!("{MOST_INSTANCES} times of play"));
            fits.then_some(said).ok_or_else(most)
        });
        match said {
            Ok((instances, cancels)) => {
                reading.instances.extend(instances);
                reading.cancels.extend(cancels);
            }
            Err(fault) => reading.faults.push(LineFault {
                uid: Some(uid),
                ..fault
            }),
        }
    }
    reading
        .instances
        .sort_by(|a, b| (a.span.from, &a.uid).cmp(&(b.span.from, &b.uid)));
    reading.faults.sort_by_key(|fault| fault.line);
    Ok(reading)
}

fn too_many(line: usize, field: &str, most: &str) -> LineFault {
    LineFault {
        line,
        uid: None,
        field: field.into(),
        detail: format!("a file holds at most {most}: send the rest in another calendar"),
    }
}

/// Of each event, and of each instance that stands for itself, the newest revision; of two alike the later in the file.
fn newest(events: Vec<Event>) -> Vec<Event> {
    let mut newest: BTreeMap<Option<DateTime<Utc>>, Event> = BTreeMap::new();
    for event in events {
        let key = event.stands_for.map(When::instant);
        if newest
            .get(&key)
            .is_none_or(|known| known.sequence <= event.sequence)
        {
            newest.insert(key, event);
        }
    }
    newest.into_values().collect()
}

/// The times of one event, and what it says is cancelled.
fn of_one_uid(
    uid: &str,
    events: Vec<Event>,
    window: Span,
) -> Result<(Vec<Instance>, Vec<Cancel>), LineFault> {
    let mut instances = BTreeMap::new();
    let mut cancels = Vec::new();
    // The event itself comes first, so that an instance that stands for itself takes the place of the rule's.
    for event in events {
        let stands_for = event.stands_for.map(When::instant);
        if event.cancelled {
            if stands_for.is_some() {
                instances.remove(&stands_for);
            }
            cancels.push(Cancel {
                uid: uid.to_owned(),
                recurrence: stands_for,
                sequence: event.sequence,
            });
        } else if stands_for.is_some() {
            instances.insert(stands_for, instance(&event, event.start, stands_for));
        } else {
            let recurs = event.rule.is_some() || !event.more.is_empty();
            for start in starts(&event, window)? {
                let recurrence = recurs.then(|| start.instant());
                instances.insert(recurrence, instance(&event, start, recurrence));
            }
        }
    }
    let within = instances
        .into_values()
        .filter(|one| one.span.overlaps(&window));
    Ok((within.collect(), cancels))
}

fn instance(event: &Event, start: When, recurrence: Option<DateTime<Utc>>) -> Instance {
    Instance {
        line: event.line,
        uid: event.uid.clone(),
        recurrence,
        sequence: event.sequence,
        span: Span {
            from: start.instant(),
            to: event.length.end(start),
        },
        name: event.summary.clone(),
        location: event.location.clone(),
    }
}

/// Every start of an event near the window.
fn starts(event: &Event, window: Span) -> Result<Vec<When>, LineFault> {
    let lasts = event.length.end(event.start) - event.start.instant();
    // No zone is further from UTC than a day; what lies outside is left out by the instant.
    let around = TimeDelta::days(1);
    let from = (window.from - lasts - around).naive_utc();
    let to = (window.to + around).naive_utc();
    let mut starts = match &event.rule {
        None => vec![event.start],
        Some(prop) => expand(&prop.value, event.start.local, event.start.zone, from, to)
            .map_err(|why| prop.fault(why.to_string()))?
            .into_iter()
            .map(|local| event.start.at(local))
            .collect(),
    };
    starts.extend(event.more.iter().filter(|more| more.exists()));
    let left_out = |start: &When| {
        event.without.iter().any(|without| {
            let whole = without.whole_day && without.local.date() == start.local.date();
            whole || without.instant() == start.instant()
        })
    };
    starts.retain(|start| !left_out(start));
    Ok(starts)
}
