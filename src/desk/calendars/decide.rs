//! What is to be done so that a site's play follows its calendar: a pure function from what the calendar says and what
//! was taken of it before.

use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};

use chrono::{DateTime, Days, NaiveDate, TimeDelta, Utc};
use chrono_tz::Tz;
use sha2::{Digest, Sha256};
use trade::calendar::{Span, work_date};

use super::read::{Cancel, Instance, LineFault, Reading};
use crate::store::calendars::{CalendarRow, Makes, Planned, Taken, Target};
use crate::store::columns;

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
    /// Taken back, by this revision.
    Remove(Taken, i64),
}

impl Step {
    /// Every span that the step touches.
    fn spans(&self) -> Vec<Span> {
        let taken = |taken: &Taken| span(taken);
        match self {
            Self::Put(wanted, before) => {
                let before = before.iter().filter(|before| before.stands());
                before.map(taken).chain([wanted.span()]).collect()
            }
            Self::Remove(before, _) => vec![taken(before)],
        }
    }
}

/// What is to be done, in this order.
#[derive(Debug, Default)]
pub(super) struct Decision {
    /// At once.
    pub steps: Vec<Step>,
    /// What is called off before anything else, so that those that change places find them free: ids of sessions.
    pub lifted: BTreeSet<i64>,
    /// Only when somebody says yes: a date they touch is planned.
    pub proposed: Vec<Step>,
    /// What cannot be.
    pub refused: Vec<LineFault>,
    /// How many events stand as they were taken.
    pub unchanged: usize,
    /// How many have begun or are over: they stand as they are.
    pub past: usize,
    /// What the calendar speaks of.
    spoken_of: SpokenOf,
}

impl Decision {
    /// Whether the calendar says something of this event, be it that it is gone: what was proposed of it before is
    /// settled by that.
    pub fn settles(&self, uid: &str, recurrence: &str, span: Span) -> bool {
        let of = &self.spoken_of;
        let by_name = of.cancelled.contains(uid)
            || of
                .instances
                .contains(&(uid.to_owned(), recurrence.to_owned()));
        let left_out = of.whole.is_some_and(|whole| span.overlaps(&whole));
        by_name || (left_out && !of.unreadable.contains(uid))
    }
}

/// Of which events a calendar says something.
#[derive(Debug, Default)]
struct SpokenOf {
    instances: HashSet<Key>,
    /// UIDs of what is cancelled as a whole.
    cancelled: HashSet<String>,
    /// UIDs of what cannot be read.
    unreadable: HashSet<String>,
    /// Within which stretch what it leaves out is gone.
    whole: Option<Span>,
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
        spoken_of: SpokenOf {
            whole: ground.whole,
            ..SpokenOf::default()
        },
        ..Decision::default()
    };
    for fault in reading.faults {
        decision.spoken_of.unreadable.extend(fault.uid.clone());
        decision.refused.push(fault);
    }
    let mut known: BTreeMap<Key, &Taken> = BTreeMap::new();
    for taken in &ground.taken {
        known.insert((taken.uid.clone(), taken.recurrence.clone()), taken);
    }
    let mut steps = Vec::new();
    for instance in reading.instances {
        let key = (instance.uid.clone(), recurrence(instance.recurrence));
        decision.spoken_of.instances.insert(key.clone());
        if instance.span.to <= ground.now {
            decision.past += 1;
            continue;
        }
        match wanted(instance, key, ground) {
            Ok(wanted) => follow(wanted, &known, ground.now, &mut steps, &mut decision),
            // A rule's instances share their faults.
            Err(fault) if decision.refused.contains(&fault) => {}
            Err(fault) => decision.refused.push(fault),
        }
    }
    for (key, taken) in &known {
        // Of an event that cannot be read nothing is known, least of all that it is gone.
        let of = &decision.spoken_of;
        if of.instances.contains(key) || of.unreadable.contains(&key.0) {
            continue;
        }
        let Some(sequence) = gone_by(key, taken, &reading.cancels, ground.whole) else {
            continue;
        };
        if !taken.stands() {
            // It was called off before.
        } else if taken.starts_at.utc() <= ground.now {
            decision.past += 1;
        } else {
            steps.push(Step::Remove((*taken).clone(), sequence));
        }
    }
    for cancel in reading.cancels {
        let of = &mut decision.spoken_of;
        match cancel.recurrence {
            Some(_) => of
                .instances
                .insert((cancel.uid, recurrence(cancel.recurrence))),
            None => of.cancelled.insert(cancel.uid),
        };
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

/// What is to be done so that an event is as wanted.
fn follow(
    wanted: Wanted,
    known: &BTreeMap<Key, &Taken>,
    now: DateTime<Utc>,
    steps: &mut Vec<Step>,
    decision: &mut Decision,
) {
    let Some(taken) = known.get(&wanted.key) else {
        steps.push(Step::Put(wanted, None));
        return;
    };
    let as_it_was = taken.digest == wanted.digest && !taken.gone;
    // An older file that comes late changes nothing (RFC 5545 section 3.8.7.4).
    if as_it_was || wanted.sequence < taken.sequence {
        decision.unchanged += 1;
    } else if taken.stands() && taken.starts_at.utc() <= now {
        decision.past += 1;
    } else {
        steps.push(Step::Put(wanted, Some((*taken).clone())));
    }
}

/// The revision by which an event that the calendar does not hold is taken back; none where it stands.
fn gone_by(key: &Key, taken: &Taken, cancels: &[Cancel], whole: Option<Span>) -> Option<i64> {
    let named = cancels.iter().find(|cancel| {
        let whole_or_this = |at| recurrence(Some(at)) == key.1;
        cancel.uid == key.0 && cancel.recurrence.is_none_or(whole_or_this)
    });
    match named {
        Some(cancel) => (cancel.sequence >= taken.sequence).then_some(cancel.sequence),
        None => whole
            .is_some_and(|whole| span(taken).overlaps(&whole))
            .then_some(taken.sequence),
    }
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
    let makes_play = calendar.makes == Makes::Sessions;
    if makes_play && instance.span.to - instance.span.from > LONGEST_SESSION {
        return Err(LineFault {
            line: instance.line,
            uid: Some(instance.uid),
            field: "DTEND".into(),
            detail: "a session lasts at most 36 hours: end it earlier, or make it several".into(),
        });
    }
    let name = if instance.name.is_empty() {
        &calendar.name
    } else {
        &instance.name
    };
    let target = Target {
        court_id,
        name: name.chars().take(NAME_CHARS).collect(),
        starts_at: instance.span.from.into(),
        ends_at: instance.span.to.into(),
        short_turnaround: calendar.short_turnaround,
    };
    let text = format!(
        "{court_id}\n{}\n{}\n{}\n{}",
        target.starts_at, target.ends_at, target.short_turnaround, target.name
    );
    let digest = columns::hex(&Sha256::digest(text));
    Ok(Wanted {
        line: instance.line,
        key,
        sequence: instance.sequence,
        digest,
        target,
    })
}

/// The longest session, as where one is set by hand.
const LONGEST_SESSION: TimeDelta = TimeDelta::hours(36);
/// The longest name of a session, characters.
const NAME_CHARS: usize = 80;

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

/// Which court is taken when, by which session; 0 is one that is still to be made.
type Courts = HashMap<i64, Vec<(Span, i64)>>;
/// An event as it is wanted, and as it was taken.
type Move = (Wanted, Option<Taken>);

/// Puts the steps into an order in which no two sessions of a court ever overlap; what finds no place is refused.
fn place(steps: Vec<Step>, ground: &Ground<'_>, decision: &mut Decision) {
    let mut courts = Courts::new();
    for planned in &ground.planned {
        let span = Span {
            from: planned.starts_at.utc(),
            to: planned.end().utc(),
        };
        let court = courts.entry(planned.court_id).or_default();
        court.push((span, planned.session_id));
    }
    let mut open: Vec<Move> = Vec::new();
    for step in steps {
        match step {
            Step::Remove(taken, sequence) => {
                leave(&mut courts, &taken);
                decision.steps.push(Step::Remove(taken, sequence));
            }
            Step::Put(wanted, taken) => open.push((wanted, taken)),
        }
    }
    if ground.calendar.makes == Makes::Closures {
        let put = |(wanted, taken)| Step::Put(wanted, taken);
        decision.steps.extend(open.into_iter().map(put));
        return;
    }
    let open = one_after_the_other(open, &mut courts, decision);
    let open = places_changed(open, &mut courts, decision);
    for (wanted, taken) in open {
        let other = in_the_way(&courts, &wanted, taken.as_ref());
        decision.refused.push(overlap(&wanted, other, ground.zone));
    }
}

/// Places what finds its place free, also by one that moves away before it; gives what does not.
fn one_after_the_other(
    mut open: Vec<Move>,
    courts: &mut Courts,
    decision: &mut Decision,
) -> Vec<Move> {
    loop {
        let before = open.len();
        let mut waiting = Vec::new();
        for (wanted, taken) in open {
            if in_the_way(courts, &wanted, taken.as_ref()).is_some() {
                waiting.push((wanted, taken));
                continue;
            }
            if let Some(taken) = &taken {
                leave(courts, taken);
            }
            enter(courts, &wanted, taken.as_ref());
            decision.steps.push(Step::Put(wanted, taken));
        }
        // From the other end the next time, so that a whole day that moves one way is through in two rounds.
        waiting.reverse();
        open = waiting;
        if open.len() == before || open.is_empty() {
            return open;
        }
    }
}

/// Places those that are in nobody's way but each other's, such as two that change places; gives the rest.
fn places_changed(mut open: Vec<Move>, courts: &mut Courts, decision: &mut Decision) -> Vec<Move> {
    // Who has a place comes before who is new.
    open.sort_by_key(|(_, taken)| taken.is_none());
    let mut refused = Vec::new();
    loop {
        let mut trial = courts.clone();
        for taken in open.iter().filter_map(|(_, taken)| taken.as_ref()) {
            leave(&mut trial, taken);
        }
        let mut fits = Vec::new();
        let mut clash = Vec::new();
        for (wanted, taken) in open {
            if in_the_way(&trial, &wanted, taken.as_ref()).is_some() {
                clash.push((wanted, taken));
            } else {
                enter(&mut trial, &wanted, taken.as_ref());
                fits.push((wanted, taken));
            }
        }
        if clash.is_empty() {
            *courts = trial;
            for (wanted, taken) in fits {
                let lifted = taken.iter().filter(|taken| taken.stands());
                decision.lifted.extend(lifted.map(|taken| taken.became));
                decision.steps.push(Step::Put(wanted, taken));
            }
            return refused;
        }
        // What finds no place stays where it was, and there it may be in another's way.
        refused.extend(clash);
        open = fits;
    }
}

fn enter(courts: &mut Courts, wanted: &Wanted, taken: Option<&Taken>) {
    let court = courts.entry(wanted.target.court_id).or_default();
    court.push((wanted.span(), taken.map_or(0, |taken| taken.became)));
}

fn leave(courts: &mut Courts, taken: &Taken) {
    if let Some(court) = courts.get_mut(&taken.court_id) {
        court.retain(|(_, id)| *id != taken.became);
    }
}

fn in_the_way(courts: &Courts, wanted: &Wanted, taken: Option<&Taken>) -> Option<Span> {
    let own = taken.map(|taken| taken.became);
    let others = courts.get(&wanted.target.court_id)?;
    let other = others
        .iter()
        .find(|(span, id)| clash(span, &wanted.span()) && Some(*id) != own);
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
            to: other.end().utc(),
        };
        other.court_id == target.court_id && Some(other.session_id) != own && clash(&taken, &span)
    })
}

/// Two never begin together on a court, though the first was over early.
fn clash(one: &Span, other: &Span) -> bool {
    one.overlaps(other) || one.from == other.from
}
