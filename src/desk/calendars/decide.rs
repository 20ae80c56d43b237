//! What is to be done so that a site's play follows its calendar: a pure function from what the calendar says and what
//! was taken of it before.

use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};

use chrono::{DateTime, Days, NaiveDate, TimeDelta, Utc};
use chrono_tz::Tz;
use sha2::{Digest, Sha256};
use trade::calendar::{Span, work_date};

use super::read::{Instance, LineFault, Reading};
use crate::store::calendars::{CalendarRow, Makes, Planned, Taken, Target};

/// Which event and which instance of it.
pub(super) type Key = (String, String);

/// An event as it is wanted.
#[derive(Clone, Debug)]
pub(super) struct Wanted {
    pub line: usize,
    pub key: Key,
    pub sequence: i64,
    pub digest: String,
    pub target: Target,
}

impl Wanted {
    fn span(&self) -> Span {
        Span {
            from: self.target.starts_at.utc(),
            to: self.target.ends_at.utc(),
        }
    }
}

/// What is to be done with one event.
#[derive(Clone, Debug)]
pub(super) enum Step {
    /// Made anew, or moved from what was taken.
    Put(Wanted, Option<Taken>),
    /// Taken back.
    Remove(Taken),
}

impl Step {
    /// Every span that the step touches.
    fn spans(&self) -> Vec<Span> {
        let taken = |taken: &Taken| span(taken);
        match self {
            Self::Put(wanted, before) => before.iter().map(taken).chain([wanted.span()]).collect(),
            Self::Remove(before) => vec![taken(before)],
        }
    }
}

/// What is to be done, in this order.
#[derive(Debug, Default)]
pub(super) struct Decision {
    /// At once.
    pub steps: Vec<Step>,
    /// Only when somebody says yes: a date they touch is planned.
    pub proposed: Vec<Step>,
    /// What cannot be.
    pub refused: Vec<LineFault>,
    /// How many events stand as they were taken.
    pub unchanged: usize,
    /// How many have begun or are over: they stand as they are.
    pub past: usize,
}

/// What a decision rests on.
pub(super) struct Ground<'a> {
    pub calendar: &'a CalendarRow,
    /// The site's courts by name, in small letters.
    pub courts: &'a HashMap<String, i64>,
    pub zone: Tz,
    pub now: DateTime<Utc>,
    /// Within which stretch what the calendar leaves out is gone.
    pub whole: Option<Span>,
    pub taken: Vec<Taken>,
    /// Every session of the site from now on.
    pub planned: Vec<Planned>,
    /// The dates that have a plan in force.
    pub dates: BTreeSet<NaiveDate>,
}

/// Decides. The reading's own faults come first among what is refused.
pub(super) fn decide(reading: Reading, ground: &Ground<'_>) -> Decision {
    let mut decision = Decision {
        refused: reading.faults.clone(),
        ..Decision::default()
    };
    let mut known: BTreeMap<Key, &Taken> = BTreeMap::new();
    for taken in &ground.taken {
        known.insert((taken.uid.clone(), taken.recurrence.clone()), taken);
    }
    let mut steps = Vec::new();
    let mut seen: HashSet<Key> = HashSet::new();
    for instance in reading.instances {
        let key = (instance.uid.clone(), recurrence(instance.recurrence));
        seen.insert(key.clone());
        let wanted = match wanted(instance, key, ground) {
            Ok(wanted) => wanted,
            Err(fault) => {
                decision.refused.push(fault);
                continue;
            }
        };
        match known.get(&wanted.key) {
            _ if wanted.span().to <= ground.now => decision.past += 1,
            None => steps.push(Step::Put(wanted, None)),
            // An older file that comes late changes nothing (RFC 5545 section 3.8.7.4).
            Some(taken) if taken.digest == wanted.digest || wanted.sequence < taken.sequence => {
                decision.unchanged += 1;
            }
            Some(taken) if taken.starts_at.utc() <= ground.now => decision.past += 1,
            Some(taken) => steps.push(Step::Put(wanted, Some((*taken).clone()))),
        }
    }
    let broken: HashSet<&str> = reading
        .faults
        .iter()
        .filter_map(|fault| fault.uid.as_deref())
        .collect();
    for (key, taken) in known.iter().filter(|(key, _)| !seen.contains(*key)) {
        let cancel = reading.cancels.iter().find(|cancel| {
            cancel.uid == key.0
                && cancel
                    .recurrence
                    .is_none_or(|at| recurrence(Some(at)) == key.1)
        });
        let gone = match cancel {
            Some(cancel) => cancel.sequence >= taken.sequence,
            None => ground
                .whole
                .is_some_and(|whole| span(taken).overlaps(&whole)),
        };
        // Of an event that cannot be read nothing is known, least of all that it is gone.
        if !gone || broken.contains(key.0.as_str()) {
            continue;
        }
        if taken.starts_at.utc() <= ground.now {
            decision.past += 1;
        } else {
            steps.push(Step::Remove((*taken).clone()));
        }
    }
    let touches_a_plan = |step: &Step| {
        step.spans()
            .into_iter()
            .any(|span| dates(ground.zone, span).any(|date| ground.dates.contains(&date)))
    };
    let (proposed, at_once) = steps.into_iter().partition(touches_a_plan);
    decision.proposed = proposed;
    place(at_once, ground, &mut decision);
    decision
}

/// When an instance is of its rule, as it is kept.
pub(super) fn recurrence(at: Option<DateTime<Utc>>) -> String {
    at.map(|at| at.format("%Y%m%dT%H%M%SZ").to_string())
        .unwrap_or_default()
}

fn span(taken: &Taken) -> Span {
    Span {
        from: taken.starts_at.utc(),
        to: taken.ends_at.utc(),
    }
}

/// The site's own dates that a span lies on.
fn dates(zone: Tz, span: Span) -> impl Iterator<Item = NaiveDate> {
    let last = work_date(zone, span.to - TimeDelta::seconds(1));
    let first = work_date(zone, span.from);
    first
        .iter_days()
        .take_while(move |date| *date <= last && *date < first + Days::new(500))
}

fn wanted(instance: Instance, key: Key, ground: &Ground<'_>) -> Result<Wanted, LineFault> {
    let calendar = ground.calendar;
    let court_id = court(&instance, ground)?;
    let name = Some(instance.name).filter(|name| !name.is_empty());
    let target = Target {
        court_id,
        name: name.unwrap_or_else(|| calendar.name.clone()),
        starts_at: instance.span.from.into(),
        ends_at: instance.span.to.into(),
        short_turnaround: calendar.short_turnaround,
    };
    let text = format!(
        "{court_id}\n{}\n{}\n{}\n{}",
        target.starts_at, target.ends_at, target.short_turnaround, target.name
    );
    let digest = Sha256::digest(text)
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect();
    Ok(Wanted {
        line: instance.line,
        key,
        sequence: instance.sequence,
        digest,
        target,
    })
}

/// The one court of the calendar, or the one that the event's place names.
fn court(instance: &Instance, ground: &Ground<'_>) -> Result<i64, LineFault> {
    if let Some(court_id) = ground.calendar.court_id {
        return Ok(court_id);
    }
    let place = instance
        .location
        .as_deref()
        .unwrap_or_default()
        .trim()
        .to_lowercase();
    let mapped = ground
        .calendar
        .courts
        .0
        .iter()
        .find(|(name, _)| name.trim().to_lowercase() == place);
    let found = mapped
        .map(|(_, id)| *id)
        .or_else(|| ground.courts.get(&place).copied());
    found.ok_or_else(|| LineFault {
        line: instance.line,
        uid: Some(instance.uid.clone()),
        field: "LOCATION".into(),
        detail: match place.as_str() {
            "" => "the event names no place: give it a court's name, or give the calendar one court".into(),
            place => format!("no court is called \"{place}\": give a court's name, or say which court the place is in the calendar's list of places"),
        },
    })
}

/// Puts the steps into an order in which no two sessions of a court ever overlap; what finds no place is refused.
fn place(steps: Vec<Step>, ground: &Ground<'_>, decision: &mut Decision) {
    let mut courts: HashMap<i64, Vec<(Span, i64)>> = HashMap::new();
    for planned in &ground.planned {
        let span = Span {
            from: planned.starts_at.utc(),
            to: planned.ends_at.utc(),
        };
        courts
            .entry(planned.court_id)
            .or_default()
            .push((span, planned.session_id));
    }
    let mut open = Vec::new();
    for step in steps {
        match step {
            Step::Remove(taken) => {
                leave(&mut courts, &taken);
                decision.steps.push(Step::Remove(taken));
            }
            put @ Step::Put(..) => open.push(put),
        }
    }
    if ground.calendar.makes == Makes::Closures {
        decision.steps.extend(open);
        return;
    }
    // A session moves only once its new place is free: one that moves away later frees it.
    loop {
        let before = open.len();
        let mut waiting = Vec::new();
        for step in open {
            let Step::Put(wanted, taken) = &step else {
                continue;
            };
            if in_the_way(&courts, wanted, taken.as_ref()).is_some() {
                waiting.push(step);
                continue;
            }
            if let Some(taken) = taken {
                leave(&mut courts, taken);
            }
            let became = taken.as_ref().map_or(0, |taken| taken.became);
            courts
                .entry(wanted.target.court_id)
                .or_default()
                .push((wanted.span(), became));
            decision.steps.push(step);
        }
        // From the other end the next time, so that a whole day that moves one way is through in two rounds.
        waiting.reverse();
        open = waiting;
        if open.len() == before || open.is_empty() {
            break;
        }
    }
    for step in open {
        let Step::Put(wanted, taken) = step else {
            continue;
        };
        let other = in_the_way(&courts, &wanted, taken.as_ref());
        decision.refused.push(overlap(&wanted, other, ground.zone));
    }
}

fn leave(courts: &mut HashMap<i64, Vec<(Span, i64)>>, taken: &Taken) {
    if let Some(court) = courts.get_mut(&taken.court_id) {
        court.retain(|(_, id)| *id != taken.became);
    }
}

fn in_the_way(
    courts: &HashMap<i64, Vec<(Span, i64)>>,
    wanted: &Wanted,
    taken: Option<&Taken>,
) -> Option<Span> {
    let own = taken.map(|taken| taken.became);
    let others = courts.get(&wanted.target.court_id)?;
    let other = others
        .iter()
        .find(|(span, id)| span.overlaps(&wanted.span()) && Some(*id) != own);
    other.map(|(span, _)| *span)
}

fn overlap(wanted: &Wanted, other: Option<Span>, zone: Tz) -> LineFault {
    let show = |at: DateTime<Utc>| at.with_timezone(&zone).format("%Y-%m-%d %H:%M").to_string();
    let other = other.map(|other| format!(" from {} to {}", show(other.from), show(other.to)));
    LineFault {
        line: wanted.line,
        uid: Some(wanted.key.0.clone()),
        field: "DTSTART".into(),
        detail: format!(
            "the court is already in play{}: this one starts at {}; move one of the two",
            other.unwrap_or_default(),
            show(wanted.span().from)
        ),
    }
}

/// What stands in the way of a change that somebody accepts.
pub(super) fn refuses(planned: &[Planned], target: &Target, own: Option<i64>) -> bool {
    let span = Span {
        from: target.starts_at.utc(),
        to: target.ends_at.utc(),
    };
    planned.iter().any(|other| {
        let taken = Span {
            from: other.starts_at.utc(),
            to: other.ends_at.utc(),
        };
        other.court_id == target.court_id && Some(other.session_id) != own && taken.overlaps(&span)
    })
}
