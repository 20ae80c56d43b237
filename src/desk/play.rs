//! When courts are in play and shut: set, changed, called off, and said to be over.

mod check;
pub mod told;
pub mod tournament;

use chrono::NaiveDate;
use chrono_tz::Tz;
use serde::{Deserialize, Serialize};
use serde_json::json;
use trade::calendar::day_span;
use utoipa::ToSchema;

use self::check::{Check, is_a_reason};
use self::told::{NewClosures, NewSessions, PlayOver, SessionEdit};
use super::access::{EditPlay, Permit, SeePlay, TellPlayOver};
use super::error::Named;
use super::once::Once;
use super::{Error, Office, Result};
use crate::store::audit::{Change, Deed, audit_edit_about};
use crate::store::play::{ClosureRow, SessionRow};
use crate::store::play_changes::{self, PlayFilter};
use crate::store::sites::site_read;
use crate::store::{self, Conn, Page, Paged, Scope, Tx};

/// What was set on several courts at once.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
pub struct Set<T> {
    /// One a court, in the order asked.
    pub items: Vec<T>,
}

/// Which of a site's own dates are asked for.
#[derive(Clone, Copy, Debug, Default)]
pub struct PlayDays {
    /// From this one on.
    pub from: Option<NaiveDate>,
    /// Up to this one.
    pub to: Option<NaiveDate>,
    /// On this court.
    pub court_id: Option<i64>,
}

impl PlayDays {
    fn filter(self, conn: &mut Conn, scope: &Scope) -> store::Result<PlayFilter> {
        let zone = site_read(conn, scope)?.zone;
        let zone: Tz = zone
            .parse()
            .map_err(|_| store::Error::Unreadable(format!("the site's zone: {zone}")))?;
        Ok(PlayFilter {
            from: self.from.map(|date| day_span(zone, date).from.into()),
            to: self.to.map(|date| day_span(zone, date).to.into()),
            court_id: self.court_id,
        })
    }
}

/// The site's sessions that pass the filter.
pub fn session_list(
    office: &Office,
    permit: &Permit<SeePlay>,
    days: PlayDays,
    page: Page,
) -> Result<Paged<SessionRow>> {
    Ok(office.db.read(|conn| -> store::Result<_> {
        let filter = days.filter(conn, permit)?;
        play_changes::session_list(conn, permit, &filter, page)
    })?)
}

/// One session.
pub fn session_read(office: &Office, permit: &Permit<SeePlay>, id: i64) -> Result<SessionRow> {
    office
        .db
        .read(|conn| play_changes::session_read(conn, permit, id).named("play session"))
}

/// Adds one session on each of several courts. Nothing is added where one of them is refused.
pub fn sessions_add(
    office: &Office,
    permit: &Permit<EditPlay>,
    client_key: String,
    told: &NewSessions,
) -> Result<Set<SessionRow>> {
    let once = Once::new(client_key, "add play sessions".to_owned(), told)?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let mut check = Check::default();
            check.play_span(&told.play);
            check.name("/play/name", &told.play.name);
            check.courts(tx.conn(), permit, &told.court_ids)?;
            for (nth, court) in told.court_ids.iter().enumerate() {
                let field = format!("/court_ids/{nth}");
                check.free(tx.conn(), permit, &field, *court, &told.play, None)?;
            }
            check.end()?;
            let mut items = Vec::new();
            for court in &told.court_ids {
                let set = told.play.on(*court);
                // One that was called off at this very start is put back.
                let before =
                    play_changes::session_starting(tx.conn(), permit, *court, set.starts_at)?;
                let id = match before {
                    Some(old) => {
                        play_changes::session_set(tx, permit, old.id, old.version, &set)?;
                        old.id
                    }
                    None => play_changes::session_add(tx, permit, &set)?,
                };
                note(
                    tx,
                    permit,
                    "added",
                    ("play_session", id),
                    *court,
                    Change::default(),
                )?;
                items.push(play_changes::session_read(tx.conn(), permit, id)?);
            }
            Ok(Set { items })
        })
    })
}

/// Changes a session that still has `version` and is neither over nor called off.
pub fn session_edit(
    office: &Office,
    permit: &Permit<EditPlay>,
    id: i64,
    version: i64,
    edit: &SessionEdit,
) -> Result<SessionRow> {
    office.db.write(permit, |tx| {
        let session = play_changes::session_read(tx.conn(), permit, id).named("play session")?;
        still_to_come(&session)?;
        let mut check = Check::default();
        check.play_span(&edit.play);
        check.name("/play/name", &edit.play.name);
        let court = edit.court_id;
        check.court(tx.conn(), permit, "/court_id", court)?;
        check.free(
            tx.conn(),
            permit,
            "/play/starts_at",
            court,
            &edit.play,
            Some(id),
        )?;
        check.end()?;
        let set = edit.play.on(court);
        play_changes::session_set(tx, permit, id, version, &set)?;
        let after = play_changes::session_read(tx.conn(), permit, id)?;
        let change = Change::between(&session, &after)?;
        note(tx, permit, "edited", ("play_session", id), court, change)?;
        Ok(play_changes::session_read(tx.conn(), permit, id)?)
    })
}

/// Says that play is over, now or at the instant told. Sent again under the same key, it gives the
/// first answer.
pub fn session_over(
    office: &Office,
    permit: &Permit<TellPlayOver>,
    id: i64,
    client_key: String,
    told: &PlayOver,
) -> Result<SessionRow> {
    let once = Once::new(client_key, format!("play session {id} is over"), told)?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let session =
                play_changes::session_read(tx.conn(), permit, id).named("play session")?;
            still_to_come(&session)?;
            let now = tx.now();
            let at = told.happened_at.unwrap_or(now);
            if at > now {
                return Err(Error::refused("/happened_at", "say it once play is over"));
            }
            if at <= session.starts_at {
                return Err(Error::refused(
                    "/happened_at",
                    "play begins only after this: call the session off instead",
                ));
            }
            play_changes::session_over(tx, permit, id, at)?;
            note(
                tx,
                permit,
                "over",
                ("play_session", id),
                session.court_id,
                Change::default(),
            )?;
            Ok(play_changes::session_read(tx.conn(), permit, id)?)
        })
    })
}

/// Calls a session off; it stays on record. Sent again under the same key, it gives the first
/// answer.
pub fn session_cancel(
    office: &Office,
    permit: &Permit<EditPlay>,
    id: i64,
    client_key: String,
) -> Result<SessionRow> {
    let once = Once::new(
        client_key,
        format!("call play session {id} off"),
        &json!({}),
    )?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let session =
                play_changes::session_read(tx.conn(), permit, id).named("play session")?;
            still_to_come(&session)?;
            play_changes::session_cancel(tx, permit, id)?;
            note(
                tx,
                permit,
                "cancelled",
                ("play_session", id),
                session.court_id,
                Change::default(),
            )?;
            Ok(play_changes::session_read(tx.conn(), permit, id)?)
        })
    })
}

/// What is over or called off is not changed any more.
fn still_to_come(session: &SessionRow) -> Result<()> {
    if session.cancelled_at.is_some() {
        return Err(Error::state(
            "the session was called off: add it anew where it is played after all".to_owned(),
        ));
    }
    if session.over_at.is_some() {
        return Err(Error::state("play is over in this session".to_owned()));
    }
    Ok(())
}

/// The site's closures that pass the filter.
pub fn closure_list(
    office: &Office,
    permit: &Permit<SeePlay>,
    days: PlayDays,
    page: Page,
) -> Result<Paged<ClosureRow>> {
    Ok(office.db.read(|conn| -> store::Result<_> {
        let filter = days.filter(conn, permit)?;
        play_changes::closure_list(conn, permit, &filter, page)
    })?)
}

/// Shuts several courts for a time. Nothing is shut where one of them is refused.
pub fn closures_add(
    office: &Office,
    permit: &Permit<EditPlay>,
    client_key: String,
    told: &NewClosures,
) -> Result<Set<ClosureRow>> {
    let once = Once::new(client_key, "shut courts".to_owned(), told)?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let mut check = Check::default();
            check.order("", told.starts_at, told.ends_at);
            if !is_a_reason(&told.reason) {
                check.fault(
                    "/reason",
                    "say in 1 to 200 characters why the court is shut",
                );
            }
            check.courts(tx.conn(), permit, &told.court_ids)?;
            check.end()?;
            let span = (told.starts_at, told.ends_at);
            let mut items = Vec::new();
            for court in &told.court_ids {
                let reason = told.reason.trim();
                let id = play_changes::closure_set(tx, permit, *court, span, reason)?;
                note(
                    tx,
                    permit,
                    "added",
                    ("closure", id),
                    *court,
                    Change::default(),
                )?;
                items.push(play_changes::closure_read(tx.conn(), permit, id)?);
            }
            Ok(Set { items })
        })
    })
}

/// Calls a closure off; it stays on record. Sent again under the same key, it gives the first
/// answer.
pub fn closure_cancel(
    office: &Office,
    permit: &Permit<EditPlay>,
    id: i64,
    client_key: String,
) -> Result<ClosureRow> {
    let once = Once::new(client_key, format!("call closure {id} off"), &json!({}))?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let closure = play_changes::closure_read(tx.conn(), permit, id).named("closure")?;
            if closure.cancelled_at.is_some() {
                return Err(Error::state("the closure was called off before".to_owned()));
            }
            play_changes::closure_cancel(tx, permit, id)?;
            note(
                tx,
                permit,
                "cancelled",
                ("closure", id),
                closure.court_id,
                Change::default(),
            )?;
            Ok(play_changes::closure_read(tx.conn(), permit, id)?)
        })
    })
}

fn note(
    tx: &mut Tx<'_>,
    scope: &Scope,
    verb: &str,
    (subject, id): (&str, i64),
    court: i64,
    change: Change,
) -> Result<()> {
    let deed = Deed {
        verb,
        subject,
        id,
        data: json!({}),
    };
    Ok(audit_edit_about(
        tx,
        scope,
        deed,
        change,
        &[("court", court)],
    )?)
}
