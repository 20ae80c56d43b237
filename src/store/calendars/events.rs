//! What was taken of a calendar, and the sessions and closures it became.

use chrono::NaiveDate;
use diesel::prelude::*;

use crate::store::day_plans::PlanState;
use crate::store::db::{Conn, Tx};
use crate::store::schema::{calendar_events, closures, day_plans, play_sessions};
use crate::store::{Instant, Result, Scope};

/// What an event becomes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Target {
    /// The court.
    pub court_id: i64,
    /// What it is called, or why the court is shut.
    pub name: String,
    /// From when.
    pub starts_at: Instant,
    /// Until when.
    pub ends_at: Instant,
    /// Whether the turnaround after it may be short; says nothing of a closure.
    pub short_turnaround: bool,
}

/// An event that was taken.
#[derive(Clone, Debug, PartialEq, Eq, Queryable)]
pub struct Taken {
    /// Id of the note of it.
    pub id: i64,
    /// The event.
    pub uid: String,
    /// Its instance; empty where it does not recur.
    pub recurrence: String,
    /// The revision that was taken.
    pub sequence: i64,
    /// SHA-256 over what was taken, in hex.
    pub digest: String,
    /// The session, or the closure, it became.
    pub became: i64,
    /// The court.
    pub court_id: i64,
    /// What it is called.
    pub name: String,
    /// From when.
    pub starts_at: Instant,
    /// Until when.
    pub ends_at: Instant,
}

/// The sessions taken of a calendar that end after `after`.
pub fn events_of(
    conn: &mut Conn,
    scope: &Scope,
    calendar_id: i64,
    after: Instant,
) -> Result<Vec<Taken>> {
    let of_session = play_sessions::site_id
        .eq(calendar_events::site_id)
        .and(calendar_events::session_id.eq(play_sessions::id.nullable()));
    Ok(calendar_events::table
        .inner_join(play_sessions::table.on(of_session))
        .filter(
            calendar_events::site_id
                .eq(scope.site_id())
                .and(calendar_events::calendar_id.eq(calendar_id))
                .and(play_sessions::ends_at.gt(after)),
        )
        .order(calendar_events::id)
        .select((
            calendar_events::id,
            calendar_events::uid,
            calendar_events::recurrence,
            calendar_events::sequence,
            calendar_events::digest,
            play_sessions::id,
            play_sessions::court_id,
            play_sessions::name,
            play_sessions::starts_at,
            play_sessions::ends_at,
        ))
        .load(conn)?)
}

/// The closures taken of a calendar that end after `after`.
pub fn closures_of(
    conn: &mut Conn,
    scope: &Scope,
    calendar_id: i64,
    after: Instant,
) -> Result<Vec<Taken>> {
    let of_closure = closures::site_id
        .eq(calendar_events::site_id)
        .and(calendar_events::closure_id.eq(closures::id.nullable()));
    Ok(calendar_events::table
        .inner_join(closures::table.on(of_closure))
        .filter(
            calendar_events::site_id
                .eq(scope.site_id())
                .and(calendar_events::calendar_id.eq(calendar_id))
                .and(closures::ends_at.gt(after)),
        )
        .order(calendar_events::id)
        .select((
            calendar_events::id,
            calendar_events::uid,
            calendar_events::recurrence,
            calendar_events::sequence,
            calendar_events::digest,
            closures::id,
            closures::court_id,
            closures::reason,
            closures::starts_at,
            closures::ends_at,
        ))
        .load(conn)?)
}

/// What a court is planned for.
#[derive(Clone, Debug, Queryable)]
pub struct Planned {
    /// The session.
    pub session_id: i64,
    /// The court.
    pub court_id: i64,
    /// From when.
    pub starts_at: Instant,
    /// Until when.
    pub ends_at: Instant,
}

/// Every session of the site that ends after `after`, and the dates of the site that have a plan in force.
pub fn sessions_from(
    conn: &mut Conn,
    scope: &Scope,
    after: Instant,
) -> Result<(Vec<Planned>, Vec<NaiveDate>)> {
    let sessions = play_sessions::table
        .filter(
            play_sessions::site_id
                .eq(scope.site_id())
                .and(play_sessions::ends_at.gt(after)),
        )
        .order(play_sessions::id)
        .select((
            play_sessions::id,
            play_sessions::court_id,
            play_sessions::starts_at,
            play_sessions::ends_at,
        ))
        .load(conn)?;
    let dates = day_plans::table
        .filter(
            day_plans::site_id
                .eq(scope.site_id())
                .and(day_plans::state.ne(PlanState::Replaced))
                .and(day_plans::work_date.ge(after.utc().date_naive() - chrono::Days::new(2))),
        )
        .select(day_plans::work_date)
        .load(conn)?;
    Ok((sessions, dates))
}

/// Makes the session or the closure of an event and notes the event; gives the id of what was made.
pub fn event_add(
    tx: &mut Tx<'_>,
    scope: &Scope,
    calendar_id: i64,
    is_closure: bool,
    event: (&str, &str, i64, &str),
    target: &Target,
) -> Result<i64> {
    let (uid, recurrence, sequence, digest) = event;
    let made: i64 = if is_closure {
        diesel::insert_into(closures::table)
            .values((
                closures::site_id.eq(scope.site_id()),
                closures::court_id.eq(target.court_id),
                closures::starts_at.eq(target.starts_at),
                closures::ends_at.eq(target.ends_at),
                closures::reason.eq(&target.name),
            ))
            .returning(closures::id)
            .get_result(tx.conn())?
    } else {
        diesel::insert_into(play_sessions::table)
            .values((
                play_sessions::site_id.eq(scope.site_id()),
                play_sessions::court_id.eq(target.court_id),
                play_sessions::name.eq(&target.name),
                play_sessions::starts_at.eq(target.starts_at),
                play_sessions::ends_at.eq(target.ends_at),
                play_sessions::short_turnaround.eq(target.short_turnaround),
            ))
            .returning(play_sessions::id)
            .get_result(tx.conn())?
    };
    diesel::insert_into(calendar_events::table)
        .values((
            calendar_events::site_id.eq(scope.site_id()),
            calendar_events::calendar_id.eq(calendar_id),
            calendar_events::uid.eq(uid),
            calendar_events::recurrence.eq(recurrence),
            calendar_events::sequence.eq(sequence),
            calendar_events::digest.eq(digest),
            calendar_events::session_id.eq((!is_closure).then_some(made)),
            calendar_events::closure_id.eq(is_closure.then_some(made)),
        ))
        .execute(tx.conn())?;
    Ok(made)
}

/// Changes what an event became.
pub fn event_move(
    tx: &mut Tx<'_>,
    scope: &Scope,
    taken: &Taken,
    is_closure: bool,
    revision: (i64, &str),
    target: &Target,
) -> Result<()> {
    if is_closure {
        diesel::update(
            closures::table.filter(
                closures::site_id
                    .eq(scope.site_id())
                    .and(closures::id.eq(taken.became)),
            ),
        )
        .set((
            closures::court_id.eq(target.court_id),
            closures::starts_at.eq(target.starts_at),
            closures::ends_at.eq(target.ends_at),
            closures::reason.eq(&target.name),
        ))
        .execute(tx.conn())?;
    } else {
        diesel::update(
            play_sessions::table.filter(
                play_sessions::site_id
                    .eq(scope.site_id())
                    .and(play_sessions::id.eq(taken.became)),
            ),
        )
        .set((
            play_sessions::court_id.eq(target.court_id),
            play_sessions::name.eq(&target.name),
            play_sessions::starts_at.eq(target.starts_at),
            play_sessions::ends_at.eq(target.ends_at),
            play_sessions::short_turnaround.eq(target.short_turnaround),
        ))
        .execute(tx.conn())?;
    }
    diesel::update(
        calendar_events::table.filter(
            calendar_events::site_id
                .eq(scope.site_id())
                .and(calendar_events::id.eq(taken.id)),
        ),
    )
    .set((
        calendar_events::sequence.eq(revision.0),
        calendar_events::digest.eq(revision.1),
    ))
    .execute(tx.conn())?;
    Ok(())
}

/// Takes back what an event became; the note of it goes along.
pub fn event_remove(tx: &mut Tx<'_>, scope: &Scope, taken: &Taken, is_closure: bool) -> Result<()> {
    let site = scope.site_id();
    if is_closure {
        diesel::delete(
            closures::table.filter(
                closures::site_id
                    .eq(site)
                    .and(closures::id.eq(taken.became)),
            ),
        )
        .execute(tx.conn())?;
    } else {
        diesel::delete(
            play_sessions::table.filter(
                play_sessions::site_id
                    .eq(site)
                    .and(play_sessions::id.eq(taken.became)),
            ),
        )
        .execute(tx.conn())?;
    }
    Ok(())
}
