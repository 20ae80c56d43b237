//! When people came, took their breaks and went, and who changed crews in the course of a day.
//!
//! These are clocks as they were told, and not yet hours for pay: what an order is paid by stands with the order. Nothing is
//! refused for its order: an outbox tells late, and somebody forgets to clock out. It is kept, and called odd.

mod fold;

use chrono::{NaiveDate, TimeDelta};
use serde::{Deserialize, Serialize};
use trade::calendar::{day_start, work_date};
use utoipa::ToSchema;

pub use fold::{Break, Odd};

use super::access::{ChangeShift, Permit, SeeHours, TellAttendance};
use super::error::Named;
use super::happened::happened;
use super::once::Once;
use super::stops::actor;
use super::{Error, Office, Result};
use crate::store::attendance::{
    AttendanceKind, AttendanceRow, NewAttendance, NewShiftChange, attendance_add,
    attendance_between, shift_change_add, shift_change_last, shift_join, shift_leave,
};
use crate::store::audit::{Deed, audit_append_about};
use crate::store::crews::{PersonRow, crew_read, person_read, shift_read};
use crate::store::sites::site_read;
use crate::store::{Conn, Instant, Scope};

/// The longest time from coming to going that is looked for: beyond a night's work.
const LONGEST_STAY: TimeDelta = TimeDelta::hours(20);

/// Somebody comes, takes a break, or goes.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AttendanceTold {
    /// Who.
    pub person_id: i64,
    /// What they do.
    pub kind: AttendanceKind,
    /// Their crew.
    pub crew_id: Option<i64>,
    /// When; now, where it is not told.
    pub happened_at: Option<Instant>,
}

/// What was told.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[schema(as = AttendanceEvent)]
pub struct AttendanceView {
    /// Id.
    pub id: i64,
    /// Who.
    pub person_id: i64,
    /// What they did.
    pub kind: AttendanceKind,
    /// Their crew.
    pub crew_id: Option<i64>,
    /// When.
    pub happened_at: Instant,
    /// When the office learned of it.
    pub learned_at: Instant,
}

/// A site's date: who was there when. Not hours for pay.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct AttendanceDay {
    /// The site's own date.
    pub date: NaiveDate,
    /// Everybody of whom something was told, in order of name.
    pub people: Vec<AttendanceOf>,
}

/// One person's date.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct AttendanceOf {
    /// Who.
    pub person_id: i64,
    /// Their name.
    pub person: String,
    /// From when until when they were there, by the date on which they came.
    pub stays: Vec<StayView>,
    /// What was told and does not fit.
    pub odd: Vec<OddView>,
}

/// From when until when somebody was there.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = AttendanceStay)]
pub struct StayView {
    /// When they came.
    pub from: Instant,
    /// When they went; null where that was not told.
    pub to: Option<Instant>,
    /// Their breaks.
    pub breaks: Vec<Break>,
    /// Time there without breaks, s; null where they have not gone.
    pub there_s: Option<i64>,
    /// The date is over, and nobody told that they went.
    pub no_out: bool,
}

/// Something that was told and does not fit.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = AttendanceOdd)]
pub struct OddView {
    /// Id of the event.
    pub id: i64,
    /// What was told.
    pub kind: AttendanceKind,
    /// When it happened.
    pub happened_at: Instant,
    /// Why it does not fit.
    pub why: Odd,
}

/// Somebody joins a crew for the day, or leaves it.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ShiftChangeTold {
    /// Who.
    pub person_id: i64,
    /// Whether they join; else they leave.
    pub joins: bool,
    /// When; now, where it is not told.
    pub happened_at: Option<Instant>,
}

/// A change of who is on a shift.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[schema(as = ShiftChange)]
pub struct ShiftChangeView {
    /// Id.
    pub id: i64,
    /// The shift.
    pub shift_id: i64,
    /// Who.
    pub person_id: i64,
    /// Whether they join; else they leave.
    pub joins: bool,
    /// When.
    pub happened_at: Instant,
    /// When the office learned of it.
    pub learned_at: Instant,
    /// Whether it changed who is on the shift: not, where something that happened later was known already.
    pub holds: bool,
}

/// Somebody comes, takes a break, or goes.
pub fn attendance_tell(
    office: &Office,
    permit: &Permit<TellAttendance>,
    client_key: String,
    told: &AttendanceTold,
) -> Result<AttendanceView> {
    let once = Once::new(client_key, "attendance".into(), told)?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            person(tx.conn(), permit, told.person_id)?;
            if let Some(crew) = told.crew_id {
                crew_read(tx.conn(), permit, crew).known_by("/crew_id")?;
            }
            let new = NewAttendance {
                person_id: told.person_id,
                kind: told.kind,
                crew_id: told.crew_id,
                happened_at: happened(tx.now(), told.happened_at, "/happened_at")?,
                user_id: actor(permit)?,
                client_key: &once.client_key,
            };
            let id = attendance_add(tx, permit, &new)?;
            let deed = Deed {
                verb: "told",
                subject: "attendance",
                id,
                data: serde_json::json!({
                    "person": new.person_id, "kind": new.kind, "happened_at": new.happened_at,
                }),
            };
            audit_append_about(tx, permit, &deed, &[("person", new.person_id)])?;
            Ok(AttendanceView {
                id,
                person_id: new.person_id,
                kind: new.kind,
                crew_id: new.crew_id,
                happened_at: new.happened_at,
                learned_at: tx.now(),
            })
        })
    })
}

/// Who was there when on a site's date. A stay belongs to the date on which it began.
pub fn attendance_day(
    office: &Office,
    permit: &Permit<SeeHours>,
    date: NaiveDate,
) -> Result<AttendanceDay> {
    let now = office.now();
    office.db.read(|conn| {
        let zone = site_read(conn, permit)?.zone()?;
        let begins = day_start(zone, date);
        let ends = date.succ_opt().map_or(begins, |next| day_start(zone, next));
        let rows = attendance_between(
            conn,
            permit,
            (begins - LONGEST_STAY).into(),
            (ends + LONGEST_STAY).into(),
        )?;
        let is_of_date = |at: Instant| work_date(zone, at.utc()) == date;
        let people = rows.chunk_by(|one, next| one.person_id == next.person_id);
        let people = people
            .map(|events| of_person(events, &is_of_date, now.utc() >= ends))
            .filter(|person| !person.stays.is_empty() || !person.odd.is_empty())
            .collect();
        Ok(AttendanceDay { date, people })
    })
}

fn of_person(
    events: &[AttendanceRow],
    is_of_date: &impl Fn(Instant) -> bool,
    is_over: bool,
) -> AttendanceOf {
    let told: Vec<_> = events
        .iter()
        .map(|event| (event.kind, event.happened_at))
        .collect();
    let mut odd = Vec::new();
    let stays = fold::stays(&told, &mut |place, why| {
        let event = &events[place];
        odd.push(OddView {
            id: event.id,
            kind: event.kind,
            happened_at: event.happened_at,
            why,
        });
    });
    odd.retain(|one| is_of_date(one.happened_at));
    let stays = stays.into_iter().filter(|stay| is_of_date(stay.from));
    let stays = stays.map(|stay| {
        let length = |from: Instant, to: Option<Instant>| {
            to.map_or(0, |to| (to.utc() - from.utc()).num_seconds())
        };
        let breaks: i64 = stay
            .breaks
            .iter()
            .map(|rest| length(rest.from, rest.to))
            .sum();
        StayView {
            from: stay.from,
            to: stay.to,
            there_s: stay.to.map(|to| length(stay.from, Some(to)) - breaks),
            no_out: stay.to.is_none() && is_over,
            breaks: stay.breaks,
        }
    });
    AttendanceOf {
        person_id: events[0].person_id,
        person: events[0].person.clone(),
        stays: stays.collect(),
        odd,
    }
}

/// Somebody joins a crew's shift, or leaves it. Nobody is on two shifts of a date: who joins one leaves the others. Told out
/// of order, what happened last holds.
pub fn shift_change(
    office: &Office,
    permit: &Permit<ChangeShift>,
    shift_id: i64,
    client_key: String,
    told: &ShiftChangeTold,
) -> Result<ShiftChangeView> {
    let once = Once::new(client_key, format!("shifts/{shift_id}/people"), told)?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let shift = shift_read(tx.conn(), permit, shift_id).named("shift")?;
            let person = person(tx.conn(), permit, told.person_id)?;
            if person.left_on.is_some_and(|left| left < shift.work_date) {
                return Err(Error::refused(
                    "/person_id",
                    "this person left before the shift's date",
                ));
            }
            let new = NewShiftChange {
                shift_id,
                person_id: told.person_id,
                joins: told.joins,
                happened_at: happened(tx.now(), told.happened_at, "/happened_at")?,
                user_id: actor(permit)?,
                client_key: &once.client_key,
            };
            let id = shift_change_add(tx, permit, &new)?;
            let last = shift_change_last(tx.conn(), permit, told.person_id, shift.work_date)?;
            let holds = last == Some(id);
            if holds && told.joins {
                let place = (shift_id, shift.work_date);
                shift_join(tx, permit, place, told.person_id)?;
            } else if holds {
                shift_leave(tx, permit, shift_id, told.person_id)?;
            }
            let deed = Deed {
                verb: if told.joins { "joined" } else { "left" },
                subject: "shift",
                id: shift_id,
                data: serde_json::json!({
                    "person": told.person_id, "happened_at": new.happened_at, "holds": holds,
                }),
            };
            audit_append_about(tx, permit, &deed, &[("person", told.person_id)])?;
            Ok(ShiftChangeView {
                id,
                shift_id,
                person_id: told.person_id,
                joins: told.joins,
                happened_at: new.happened_at,
                learned_at: tx.now(),
                holds,
            })
        })
    })
}

fn person(conn: &mut Conn, scope: &Scope, id: i64) -> Result<PersonRow> {
    person_read(conn, scope, id).known_by("/person_id")
}
