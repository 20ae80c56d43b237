//! What happened and what was decided, written where it belongs.

use chrono::{NaiveDate, NaiveTime, TimeDelta};

use super::asked::{HandChange, Happened, ReplanAsk};
use crate::desk::access::{Permit, PlanDay};
use crate::desk::day_build::care_key;
use crate::desk::error::FieldFault;
use crate::desk::{Error, Result};
use crate::store::audit::{Deed, audit_append};
use crate::store::care::{DoneAt, care_task_list};
use crate::store::courts::court_read;
use crate::store::crews::{crew_read, person_read};
use crate::store::day_changes::{ChangeKind, ChangeRow, change_add};
use crate::store::day_news::{NewsKind, NewsRow, news_add, tool_broken};
use crate::store::orders::{OrderState, order_expect, order_read};
use crate::store::play_changes::{SessionSet, closure_set, session_read, session_set};
use crate::store::tools::{ToolState, tool_read};
use crate::store::{self, Instant, Tx};

const LONGEST: usize = 200;
const MOST: usize = 20;
/// What is told further from the date than this is a slip of the pen.
const FARTHEST: TimeDelta = TimeDelta::days(3);

/// Refuses what cannot be read as sense before anything is looked up.
pub fn check(ask: &ReplanAsk, date: NaiveDate, now: Instant) -> Result<()> {
    let mut faults = Vec::new();
    let mut bad = |field: String, mend: &str| faults.push(FieldFault::new(field, mend));
    if ask.because.chars().count() > LONGEST {
        bad("/because".into(), "say it in at most 200 characters");
    }
    if ask.happened.len() > MOST {
        bad("/happened".into(), "tell at most 20 at once");
    }
    if ask.changes.len() > MOST {
        bad("/changes".into(), "decide at most 20 at once");
    }
    for (at, one) in ask.happened.iter().enumerate() {
        for (field, time) in times(one) {
            if !is_near(time, date) {
                bad(
                    format!("/happened/{at}/{field}"),
                    "give a time within three days of the date",
                );
            }
        }
        if let Happened::CourtShut { reason, .. } = one
            && !(1..=LONGEST).contains(&reason.trim().chars().count())
        {
            bad(
                format!("/happened/{at}/reason"),
                "say why in 1 to 200 characters",
            );
        }
        if let Happened::Rain { from, until } | Happened::CourtShut { from, until, .. } = one
            && *until <= from.unwrap_or(now)
        {
            bad(format!("/happened/{at}/until"), "it ends after it begins");
        }
    }
    for (at, one) in ask.changes.iter().enumerate() {
        check_change(one, date, &mut |field, mend| {
            bad(format!("/changes/{at}/{field}"), mend);
        });
    }
    if faults.is_empty() {
        Ok(())
    } else {
        Err(Error::Refused(faults))
    }
}

fn check_change(one: &HandChange, date: NaiveDate, bad: &mut dyn FnMut(&str, &str)) {
    let is_add = one.kind == ChangeKind::Add;
    let is_pin = one.kind == ChangeKind::Pin;
    let given = [
        ("visit_key", one.visit_key.is_some(), !is_add),
        ("court_id", one.court_id.is_some(), is_add),
        ("care_task_id", one.care_task_id.is_some(), is_add),
        ("crew_id", one.crew_id.is_some(), is_pin),
    ];
    for (field, is_given, is_wanted) in given {
        match (is_given, is_wanted) {
            (false, true) => bad(field, "this is needed here"),
            (true, false) => bad(field, "this says nothing here: leave it out"),
            _ => {}
        }
    }
    if one.start_at.is_some() && !is_pin {
        bad("start_at", "only a pin has a start: leave it out");
    }
    if one.start_at.is_some_and(|at| !is_near(at, date)) {
        bad("start_at", "give a time within three days of the date");
    }
}

fn is_near(at: Instant, date: NaiveDate) -> bool {
    (at.utc() - date.and_time(NaiveTime::MIN).and_utc()).abs() <= FARTHEST
}

/// The times that are told, by their fields.
fn times(one: &Happened) -> Vec<(&'static str, Instant)> {
    let some = |from: Option<Instant>, until: Option<Instant>| {
        let from = from.map(|at| ("from", at));
        from.into_iter()
            .chain(until.map(|at| ("until", at)))
            .collect()
    };
    match *one {
        Happened::Rain { from, until } | Happened::CourtShut { from, until, .. } => {
            some(from, Some(until))
        }
        Happened::CrewAway { from, .. } => some(from, None),
        Happened::PlayRunsOver { until, .. } | Happened::WorkRunsOver { until, .. } => {
            some(None, Some(until))
        }
        Happened::PersonAway { .. } | Happened::ToolBroken { .. } => Vec::new(),
    }
}

/// Writes everything; the audit names each.
pub fn write(
    tx: &mut Tx<'_>,
    permit: &Permit<PlanDay>,
    date: NaiveDate,
    ask: &ReplanAsk,
    now: Instant,
    user_id: i64,
) -> Result<()> {
    for (at, one) in ask.happened.iter().enumerate() {
        let (subject, id) = happened(tx, permit, date, one, at, now, user_id)?;
        audit_append(
            tx,
            permit,
            &Deed {
                verb: "told",
                subject,
                id,
                data: serde_json::json!({ "date": date, "happened": one }),
            },
        )?;
    }
    for (at, one) in ask.changes.iter().enumerate() {
        let row = change_row(tx, permit, date, one, at)?;
        let id = change_add(tx, permit, &row, user_id)?;
        audit_append(
            tx,
            permit,
            &Deed {
                verb: row.kind.as_str(),
                subject: "day_change",
                id,
                data: serde_json::json!({ "date": date, "visit": row.visit_key }),
            },
        )?;
    }
    Ok(())
}

fn happened(
    tx: &mut Tx<'_>,
    permit: &Permit<PlanDay>,
    date: NaiveDate,
    one: &Happened,
    at: usize,
    now: Instant,
    user_id: i64,
) -> Result<(&'static str, i64)> {
    let none = |field: &str, what: &str| {
        let (field, mend) = (
            format!("/happened/{at}/{field}"),
            format!("this site has no {what} with this id"),
        );
        move |why: store::Error| match why {
            store::Error::NotFound => Error::refused(field, mend),
            other => other.into(),
        }
    };
    let news = NewsRow {
        work_date: date,
        kind: NewsKind::Rain,
        crew_id: None,
        person_id: None,
        from_at: now,
        until_at: None,
    };
    let noted = match one {
        Happened::Rain { from, until } => NewsRow {
            from_at: from.unwrap_or(now),
            until_at: Some(*until),
            ..news
        },
        Happened::CrewAway { crew_id, from } => {
            crew_read(tx.conn(), permit, *crew_id).map_err(none("crew_id", "crew"))?;
            NewsRow {
                kind: NewsKind::CrewAway,
                crew_id: Some(*crew_id),
                from_at: from.unwrap_or(now),
                ..news
            }
        }
        Happened::PersonAway { person_id } => {
            person_read(tx.conn(), permit, *person_id).map_err(none("person_id", "person"))?;
            NewsRow {
                kind: NewsKind::PersonAway,
                person_id: Some(*person_id),
                ..news
            }
        }
        Happened::CourtShut {
            court_id,
            from,
            until,
            reason,
        } => {
            court_read(tx.conn(), permit, *court_id).map_err(none("court_id", "court"))?;
            let hours = (from.unwrap_or(now), *until);
            let id = closure_set(tx, permit, *court_id, hours, reason.trim())?;
            return Ok(("closure", id));
        }
        Happened::ToolBroken { tool_id } => {
            let tool = tool_read(tx.conn(), permit, *tool_id).map_err(none("tool_id", "tool"))?;
            // Told twice, or told elsewhere before: it is out of service either way.
            if tool.state == ToolState::InService {
                tool_broken(tx, permit, *tool_id)?;
            }
            return Ok(("tool", *tool_id));
        }
        Happened::PlayRunsOver { session_id, until } => {
            let session = session_read(tx.conn(), permit, *session_id);
            let session = session.map_err(none("session_id", "session of play"))?;
            if session.over_at.is_some() || session.cancelled_at.is_some() {
                let field = format!("/happened/{at}/session_id");
                return Err(Error::refused(field, "this play is over or called off"));
            }
            if *until <= session.starts_at {
                let field = format!("/happened/{at}/until");
                return Err(Error::refused(field, "it ends after it begins"));
            }
            let set = SessionSet {
                court_id: session.court_id,
                name: session.name,
                starts_at: session.starts_at,
                ends_at: *until,
                short_turnaround: session.short_turnaround,
                players_brush: session.players_brush,
                open_ended: session.open_ended,
                short_ok: session.short_ok,
            };
            session_set(tx, permit, session.id, session.version, &set)?;
            return Ok(("play_session", *session_id));
        }
        Happened::WorkRunsOver { order_id, until } => {
            let order = order_read(tx.conn(), permit, *order_id);
            let order = order.map_err(none("order_id", "work order"))?;
            if order.state != OrderState::UnderWay || order.work_date != date {
                let field = format!("/happened/{at}/order_id");
                let mend = "this order is not under way on that date: only such work runs over";
                return Err(Error::refused(field, mend));
            }
            order_expect(tx, permit, *order_id, *until)?;
            return Ok(("work_order", *order_id));
        }
    };
    Ok(("day_news", news_add(tx, permit, &noted, user_id)?))
}

fn change_row(
    tx: &mut Tx<'_>,
    permit: &Permit<PlanDay>,
    date: NaiveDate,
    one: &HandChange,
    at: usize,
) -> Result<ChangeRow> {
    let visit_key = match (&one.visit_key, one.court_id, one.care_task_id) {
        (Some(key), ..) => key.clone(),
        (None, Some(court), Some(task)) => {
            court_read(tx.conn(), permit, court).map_err(|why| match why {
                store::Error::NotFound => Error::refused(
                    format!("/changes/{at}/court_id"),
                    "this site has no court with this id",
                ),
                other => other.into(),
            })?;
            let tasks = care_task_list(tx.conn(), permit)?;
            let mut tasks = tasks.iter();
            if !tasks.any(|row| row.id == task && row.done_at == DoneAt::Court) {
                return Err(Error::refused(
                    format!("/changes/{at}/care_task_id"),
                    "take a task of the care standard that is done on one court",
                ));
            }
            care_key(task, court)
        }
        _ => String::new(),
    };
    if let Some(crew) = one.crew_id {
        crew_read(tx.conn(), permit, crew).map_err(|why| match why {
            store::Error::NotFound => Error::refused(
                format!("/changes/{at}/crew_id"),
                "this site has no crew with this id",
            ),
            other => other.into(),
        })?;
    }
    Ok(ChangeRow {
        work_date: date,
        visit_key,
        kind: one.kind,
        crew_id: one.crew_id,
        start_at: one.start_at,
    })
}
