//! What calendars would change on dates that are planned: shown, accepted or refused.

use chrono::NaiveDate;
use trade::calendar::day_span;

use super::decide::refuses;
use crate::desk::access::{EditCalendars, Permit, SeeCalendars};
use crate::desk::error::Named;
use crate::desk::once::Once;
use crate::desk::{Error, Office, Result};
use crate::store::audit::{Deed, audit_append};
use crate::store::calendars::{
    self as rows, CalendarChangeKind, ChangeRow, ChangeState, Makes, Taken, Target,
};
use crate::store::sites::site_read;
use crate::store::{self, Page, Paged, Scope, Tx};

/// The changes that wait.
pub fn change_list(
    office: &Office,
    permit: &Permit<SeeCalendars>,
    page: Page,
) -> Result<Paged<ChangeRow>> {
    Ok(office
        .db
        .read(|conn| rows::change_list(conn, permit, page))?)
}

/// How many changes wait that touch a date of the site.
pub fn changes_of_date(
    office: &Office,
    permit: &Permit<EditCalendars>,
    date: NaiveDate,
) -> Result<usize> {
    Ok(office.db.read(|conn| -> store::Result<_> {
        let zone = site_read(conn, permit)?.zone()?;
        rows::changes_within(conn, permit, day_span(zone, date))
    })?)
}

/// Accepts a change: it is done at once. [`Error::State`] where it no longer can be.
pub fn change_accept(
    office: &Office,
    permit: &Permit<EditCalendars>,
    id: i64,
    key: String,
) -> Result<ChangeRow> {
    decide(office, permit, id, key, ChangeState::Accepted)
}

/// Refuses a change: the calendar's event stays as it was taken.
pub fn change_refuse(
    office: &Office,
    permit: &Permit<EditCalendars>,
    id: i64,
    key: String,
) -> Result<ChangeRow> {
    decide(office, permit, id, key, ChangeState::Refused)
}

fn decide(
    office: &Office,
    permit: &Permit<EditCalendars>,
    id: i64,
    key: String,
    state: ChangeState,
) -> Result<ChangeRow> {
    let once = Once::new(key, format!("{state} calendar change {id}"), &())?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let change = rows::change_read(tx.conn(), permit, id).named("calendar change")?;
            if change.state != ChangeState::Proposed {
                return Err(Error::state(format!(
                    "this change is {}: nothing waits",
                    change.state
                )));
            }
            if state == ChangeState::Accepted {
                carry_out(tx, permit, &change)?;
            }
            rows::change_decide(tx, permit, id, state)?;
            let deed = Deed {
                verb: state.as_str(),
                subject: "calendar_change",
                id,
                data: serde_json::json!({ "calendar_id": change.calendar_id, "kind": change.kind }),
            };
            audit_append(tx, permit, &deed)?;
            Ok(rows::change_read(tx.conn(), permit, id)?)
        })
    })
}

fn carry_out(tx: &mut Tx<'_>, scope: &Scope, change: &ChangeRow) -> Result<()> {
    let now = tx.now();
    let calendar = rows::calendar_read(tx.conn(), scope, change.calendar_id)?;
    let is_closure = calendar.makes == Makes::Closures;
    let taken = match calendar.makes {
        Makes::Sessions => rows::events_of(tx.conn(), scope, calendar.id, now)?,
        Makes::Closures => rows::closures_of(tx.conn(), scope, calendar.id, now)?,
    };
    let own = |one: &Taken| one.uid == change.uid && one.recurrence == change.recurrence;
    let taken = taken.into_iter().find(own);
    let begun = taken
        .as_ref()
        .is_some_and(|taken| taken.stands() && taken.starts_at <= now);
    if begun || change.ends_at <= now {
        return Err(Error::state(
            "it has begun or is over: refuse the change".into(),
        ));
    }
    let target = Target {
        court_id: change.court_id,
        name: change.name.clone(),
        starts_at: change.starts_at,
        ends_at: change.ends_at,
        short_turnaround: calendar.short_turnaround,
    };
    let (planned, _) = rows::sessions_from(tx.conn(), scope, now)?;
    let own = taken.as_ref().map(|taken| taken.became);
    let puts = change.kind != CalendarChangeKind::Cancel;
    if puts && !is_closure && refuses(&planned, &target, own) {
        return Err(Error::state(
            "the court is in play then: move the other session first".into(),
        ));
    }
    match (change.kind, taken) {
        (CalendarChangeKind::Cancel, Some(taken)) if taken.stands() => {
            rows::event_remove(tx, scope, &taken, is_closure, change.sequence)?;
        }
        (CalendarChangeKind::Cancel, _) => {}
        (_, Some(taken)) => {
            let revision = (change.sequence, change.digest.as_str());
            rows::event_move(tx, scope, &taken, is_closure, revision, &target)?;
        }
        (_, None) => {
            let event = (
                change.uid.as_str(),
                change.recurrence.as_str(),
                change.sequence,
                change.digest.as_str(),
            );
            rows::event_add(tx, scope, calendar.id, is_closure, event, &target)?;
        }
    }
    Ok(())
}
