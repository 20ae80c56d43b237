//! Taking a calendar: what it says becomes the site's sessions or closures, and what cannot be taken is told line by
//! line.

use std::collections::HashMap;

use chrono::TimeDelta;
use chrono_tz::Tz;
use serde::{Deserialize, Serialize};
use trade::calendar::Span;
use utoipa::ToSchema;

use super::decide::{Decision, Ground, Step, Wanted, decide};
use super::read::{LineFault, Reading, read};
use crate::desk::access::{EditCalendars, Permit};
use crate::desk::error::Named;
use crate::desk::{Error, Office, Result};
use crate::store::audit::{Deed, audit_append};
use crate::store::calendars::{
    self as rows, CalendarChangeKind, CalendarRow, ChangeRow, ChangeState, Makes, NewChange, Said,
    Taken,
};
use crate::store::courts::court_list;
use crate::store::play_changes::session_cancel;
use crate::store::sites::site_read;
use crate::store::{Instant, Page, Scope, Tx};

/// Largest file, bytes.
pub const MOST_BYTES: usize = 2_000_000;
/// So far back a calendar is read, so that what is being played is known.
const BACK: TimeDelta = TimeDelta::days(1);
/// So far ahead.
const AHEAD: TimeDelta = TimeDelta::days(400);
/// Most lines a report shows; the rest is counted.
const LINES: usize = 500;

/// Where a file comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Source {
    /// Somebody sent it: it speaks for the stretch from its first event to its last.
    Sent,
    /// It was fetched from the calendar's address: it is all there is.
    Fetched,
}

/// What became of a file.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[schema(as = CalendarReport)]
pub struct Report {
    /// Events that were new.
    pub taken: usize,
    /// Events that stand as they were.
    pub unchanged: usize,
    /// Events that were moved or renamed.
    pub changed: usize,
    /// Events that were taken back.
    pub cancelled: usize,
    /// Changes that wait for somebody's yes: a date they touch is planned.
    pub proposed: usize,
    /// Events that have begun or are over: they stay as they are.
    pub past: usize,
    /// Events that were not taken.
    pub refused: usize,
    /// Each event that was not simply left as it was: what was refused first.
    pub lines: Vec<ReportLine>,
    /// How many more lines there are.
    pub left_off: usize,
}

/// What became of one event.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[schema(as = CalendarReportLine)]
pub struct ReportLine {
    /// `taken`, `changed`, `cancelled`, `proposed` or `refused`.
    pub outcome: String,
    /// Its line in the file; none for one that is no longer in it.
    pub line: Option<usize>,
    /// The event.
    pub uid: Option<String>,
    /// When it is, or was.
    pub starts_at: Option<Instant>,
    /// The property at fault.
    pub field: Option<String>,
    /// What is wrong and how to mend it.
    pub detail: Option<String>,
}

/// Takes a file. One transaction: all that can be taken of it, or nothing.
pub fn calendar_import(
    office: &Office,
    permit: &Permit<EditCalendars>,
    calendar_id: i64,
    text: &str,
) -> Result<Report> {
    take(office, permit, calendar_id, text, Source::Sent, |_| Ok(()))
}

/// Takes a file from either source; `also` is done in the same transaction.
pub(super) fn take(
    office: &Office,
    permit: &Permit<EditCalendars>,
    calendar_id: i64,
    text: &str,
    source: Source,
    also: impl FnOnce(&mut Tx<'_>) -> Result<()>,
) -> Result<Report> {
    let (calendar, site) = office.db.read(|conn| -> Result<_> {
        let calendar = rows::calendar_read(conn, permit, calendar_id).named("calendar")?;
        Ok((calendar, site_read(conn, permit)?))
    })?;
    let zone = site.zone()?;
    let now = office.now().utc();
    let window = Span {
        from: now - BACK,
        to: now + AHEAD,
    };
    let reading = read(text, zone, window).map_err(|fault| {
        Error::refused("body", format!("line {}: {}", fault.line, fault.detail))
    })?;
    let whole = whole(&reading, source, window);
    office.db.write(permit, |tx| {
        let now_calendar = rows::calendar_read(tx.conn(), permit, calendar_id).named("calendar")?;
        if now_calendar.version != calendar.version {
            return Err(Error::Stale);
        }
        let decision = decide_now(tx, permit, &calendar, zone, whole, reading)?;
        let (report, ids) = carry_out(tx, permit, &calendar, decision)?;
        rows::calendar_imported(tx, permit, calendar_id, &report)?;
        also(tx)?;
        let deed = Deed {
            verb: "imported",
            subject: "calendar",
            id: calendar_id,
            data: serde_json::json!({ "makes": calendar.makes, "ids": ids }),
        };
        audit_append(tx, permit, &deed)?;
        Ok(report)
    })
}

/// The sessions or closures that a file touched: for the audit chain.
#[derive(Debug, Default, Serialize)]
struct Ids {
    taken: Vec<i64>,
    changed: Vec<i64>,
    cancelled: Vec<i64>,
}

/// The stretch for which the file says all there is.
fn whole(reading: &Reading, source: Source, window: Span) -> Option<Span> {
    if reading.only_cancels {
        return None;
    }
    match source {
        Source::Fetched => Some(window),
        Source::Sent => Some(Span {
            from: reading.instances.first()?.span.from,
            to: reading.instances.iter().map(|one| one.span.to).max()?,
        }),
    }
}

fn decide_now(
    tx: &mut Tx<'_>,
    scope: &Scope,
    calendar: &CalendarRow,
    zone: Tz,
    whole: Option<Span>,
    reading: Reading,
) -> Result<Decision> {
    let now = tx.now();
    let conn = tx.conn();
    let (planned, dates) = rows::sessions_from(conn, scope, now)?;
    let taken = match calendar.makes {
        Makes::Sessions => rows::events_of(conn, scope, calendar.id, now)?,
        Makes::Closures => rows::closures_of(conn, scope, calendar.id, now)?,
    };
    let courts: HashMap<String, i64> = court_list(conn, scope, Page::ALL)?
        .items
        .into_iter()
        .map(|court| (court.name.trim().to_lowercase(), court.id))
        .collect();
    let ground = Ground {
        calendar,
        courts: &courts,
        zone,
        now: now.utc(),
        whole,
        taken,
        planned,
        dates: dates.into_iter().collect(),
    };
    Ok(decide(reading, &ground))
}

/// Does what was decided, and tells it.
fn carry_out(
    tx: &mut Tx<'_>,
    scope: &Scope,
    calendar: &CalendarRow,
    mut decision: Decision,
) -> Result<(Report, Ids)> {
    let is_closure = calendar.makes == Makes::Closures;
    let refused_lines = std::mem::take(&mut decision.refused);
    let mut report = Report {
        unchanged: decision.unchanged,
        past: decision.past,
        refused: refused_lines.len(),
        lines: refused_lines.into_iter().map(refused).collect(),
        ..Report::default()
    };
    let mut ids = Ids::default();
    for id in &decision.lifted {
        session_cancel(tx, scope, *id)?;
    }
    for step in &decision.steps {
        match step {
            Step::Put(wanted, taken) => {
                let target = &wanted.target;
                let moves = taken
                    .as_ref()
                    .filter(|taken| !decision.lifted.contains(&taken.became));
                let id = if let Some(taken) = moves {
                    let revision = (wanted.sequence, wanted.digest.as_str());
                    rows::event_move(tx, scope, taken, is_closure, revision, target)?
                } else {
                    let said = said(wanted);
                    rows::event_add(tx, scope, calendar.id, is_closure, said, target)?
                };
                if taken.as_ref().is_some_and(Taken::stands) {
                    report.changed += 1;
                    ids.changed.push(id);
                } else {
                    report.taken += 1;
                    ids.taken.push(id);
                }
            }
            Step::Remove(taken, sequence) => {
                rows::event_remove(tx, scope, taken, is_closure, *sequence)?;
                report.cancelled += 1;
                ids.cancelled.push(taken.became);
            }
        }
        report.lines.push(line(step, None));
    }
    report.proposed = propose(tx, scope, calendar, &decision, &mut report.lines)?;
    report.left_off = report.lines.len().saturating_sub(LINES);
    report.lines.truncate(LINES);
    Ok((report, ids))
}

/// Lets what touches a planned date wait for somebody's yes; gives how many wait.
fn propose(
    tx: &mut Tx<'_>,
    scope: &Scope,
    calendar: &CalendarRow,
    decision: &Decision,
    lines: &mut Vec<ReportLine>,
) -> Result<usize> {
    let now = tx.now();
    let before = rows::changes_of(tx.conn(), scope, calendar.id, now)?;
    let mut stay = Vec::new();
    let mut waiting = 0;
    for step in &decision.proposed {
        let new = change(step);
        let alike = before.iter().rfind(|one| {
            (one.uid.as_str(), one.recurrence.as_str()) == (new.event.0, new.event.1)
                && one.kind == new.kind
                && one.digest == new.event.3
        });
        match alike.map(|one| (one.state, one.id)) {
            // Somebody said no to just this.
            Some((ChangeState::Refused, _)) => continue,
            Some((_, id)) => stay.push(id),
            None => rows::change_add(tx, scope, calendar.id, &new)?,
        }
        waiting += 1;
        lines.push(line(step, Some("proposed")));
    }
    let settled = |one: &ChangeRow| {
        let span = Span {
            from: one.starts_at.utc(),
            to: one.ends_at.utc(),
        };
        one.ends_at <= now || decision.settles(&one.uid, &one.recurrence, span)
    };
    let gone: Vec<i64> = before
        .iter()
        .filter(|one| one.state == ChangeState::Proposed && !stay.contains(&one.id))
        .filter(|one| settled(one))
        .map(|one| one.id)
        .collect();
    rows::changes_withdraw(tx, scope, &gone)?;
    Ok(waiting)
}

fn said(wanted: &Wanted) -> Said<'_> {
    let (uid, recurrence) = &wanted.key;
    (uid, recurrence, wanted.sequence, &wanted.digest)
}

fn change(step: &Step) -> NewChange<'_> {
    match step {
        Step::Put(wanted, taken) => {
            let was = taken.as_ref().filter(|taken| taken.stands());
            NewChange {
                kind: was.map_or(CalendarChangeKind::Add, |_| CalendarChangeKind::Move),
                event: said(wanted),
                court_id: wanted.target.court_id,
                name: &wanted.target.name,
                span: (wanted.target.starts_at, wanted.target.ends_at),
                was: was.map(|was| (was.starts_at, was.ends_at)),
            }
        }
        Step::Remove(taken, sequence) => NewChange {
            kind: CalendarChangeKind::Cancel,
            event: (&taken.uid, &taken.recurrence, *sequence, &taken.digest),
            court_id: taken.court_id,
            name: &taken.name,
            span: (taken.starts_at, taken.ends_at),
            was: Some((taken.starts_at, taken.ends_at)),
        },
    }
}

fn refused(fault: LineFault) -> ReportLine {
    ReportLine {
        outcome: "refused".into(),
        line: Some(fault.line),
        uid: fault.uid,
        starts_at: None,
        field: Some(fault.field),
        detail: Some(fault.detail),
    }
}

fn line(step: &Step, outcome: Option<&str>) -> ReportLine {
    let (usual, line, uid, starts_at) = match step {
        Step::Put(wanted, taken) => {
            let changes = taken.as_ref().is_some_and(Taken::stands);
            let usual = if changes { "changed" } else { "taken" };
            let starts_at = wanted.target.starts_at;
            (usual, Some(wanted.line), &wanted.key.0, starts_at)
        }
        Step::Remove(taken, _) => ("cancelled", None, &taken.uid, taken.starts_at),
    };
    ReportLine {
        outcome: outcome.unwrap_or(usual).into(),
        line,
        uid: Some(uid.clone()),
        starts_at: Some(starts_at),
        field: None,
        detail: None,
    }
}
