//! What was taken of a calendar, and the sessions and closures it became.

use chrono::NaiveDate;
use diesel::prelude::*;

use crate::store::day_plans::PlanState;
use crate::store::db::{Conn, Tx};
use crate::store::play_changes::{
    SessionSet, closure_cancel, closure_set, session_add, session_cancel, session_read,
    session_set, session_starting,
};
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
    /// The calendar took it back.
    pub gone: bool,
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
    /// When it was called off, by the calendar or by hand.
    pub cancelled_at: Option<Instant>,
}

impl Taken {
    /// Whether it is still to be played, or the court to be shut.
    pub fn stands(&self) -> bool {
        self.cancelled_at.is_none()
    }
}

/// The sessions taken of a calendar that end after `after`, those called off among them.
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
            calendar_events::gone,
            play_sessions::id,
            play_sessions::court_id,
            play_sessions::name,
            play_sessions::starts_at,
            play_sessions::ends_at,
            play_sessions::cancelled_at,
        ))
        .load(conn)?)
}

/// The closures taken of a calendar that end after `after`, those called off among them.
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
            calendar_events::gone,
            closures::id,
            closures::court_id,
            closures::reason,
            closures::starts_at,
            closures::ends_at,
            closures::cancelled_at,
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
    ends_at: Instant,
    over_at: Option<Instant>,
}

impl Planned {
    /// When it was over, else when it is to be.
    pub fn end(&self) -> Instant {
        self.over_at.unwrap_or(self.ends_at)
    }
}

/// Every session of the site that is not called off and was to end after `after`, and the dates of the site that have a
/// plan in force.
pub fn sessions_from(
    conn: &mut Conn,
    scope: &Scope,
    after: Instant,
) -> Result<(Vec<Planned>, Vec<NaiveDate>)> {
    let sessions = play_sessions::table
        .filter(
            play_sessions::site_id
                .eq(scope.site_id())
                .and(play_sessions::cancelled_at.is_null())
                .and(
                    play_sessions::ends_at
                        .gt(after)
                        .or(play_sessions::over_at.gt(after)),
                ),
        )
        .order(play_sessions::id)
        .select((
            play_sessions::id,
            play_sessions::court_id,
            play_sessions::starts_at,
            play_sessions::ends_at,
            play_sessions::over_at,
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

/// What an event says: the event, its instance, its revision, and the digest of what it says.
pub type Said<'a> = (&'a str, &'a str, i64, &'a str);

/// Makes the session or the closure of an event and notes the event; gives the id of what was made. An event that was
/// noted before, with a session that is long over, is noted anew.
pub fn event_add(
    tx: &mut Tx<'_>,
    scope: &Scope,
    calendar_id: i64,
    is_closure: bool,
    (uid, recurrence, sequence, digest): Said<'_>,
    target: &Target,
) -> Result<i64> {
    let made = if is_closure {
        let span = (target.starts_at, target.ends_at);
        closure_set(tx, scope, target.court_id, span, &target.name)?
    } else {
        session_put(tx, scope, None, target)?
    };
    let became = (
        calendar_events::sequence.eq(sequence),
        calendar_events::digest.eq(digest),
        calendar_events::session_id.eq((!is_closure).then_some(made)),
        calendar_events::closure_id.eq(is_closure.then_some(made)),
        calendar_events::gone.eq(false),
    );
    let known = diesel::update(
        calendar_events::table.filter(
            calendar_events::site_id
                .eq(scope.site_id())
                .and(calendar_events::calendar_id.eq(calendar_id))
                .and(calendar_events::uid.eq(uid))
                .and(calendar_events::recurrence.eq(recurrence)),
        ),
    )
    .set(became)
    .execute(tx.conn())?;
    if known == 0 {
        diesel::insert_into(calendar_events::table)
            .values((
                calendar_events::site_id.eq(scope.site_id()),
                calendar_events::calendar_id.eq(calendar_id),
                calendar_events::uid.eq(uid),
                calendar_events::recurrence.eq(recurrence),
                became,
            ))
            .execute(tx.conn())?;
    }
    Ok(made)
}

/// Changes what an event became, and puts it back where it was called off; gives the id of what it is now.
pub fn event_move(
    tx: &mut Tx<'_>,
    scope: &Scope,
    taken: &Taken,
    is_closure: bool,
    (sequence, digest): (i64, &str),
    target: &Target,
) -> Result<i64> {
    let now = tx.now();
    let became = if is_closure {
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
            closures::cancelled_at.eq(None::<Instant>),
            closures::changed_at.eq(now),
            closures::version.eq(closures::version + 1),
        ))
        .execute(tx.conn())?;
        taken.became
    } else {
        session_put(tx, scope, Some(taken.became), target)?
    };
    diesel::update(note(scope.site_id(), taken.id))
        .set((
            calendar_events::sequence.eq(sequence),
            calendar_events::digest.eq(digest),
            calendar_events::session_id.eq((!is_closure).then_some(became)),
            calendar_events::gone.eq(false),
        ))
        .execute(tx.conn())?;
    Ok(became)
}

/// Calls off what an event became, by the revision that says so; both stay on record.
pub fn event_remove(
    tx: &mut Tx<'_>,
    scope: &Scope,
    taken: &Taken,
    is_closure: bool,
    sequence: i64,
) -> Result<()> {
    if is_closure {
        closure_cancel(tx, scope, taken.became)?;
    } else {
        session_cancel(tx, scope, taken.became)?;
    }
    diesel::update(note(scope.site_id(), taken.id))
        .set((
            calendar_events::sequence.eq(sequence),
            calendar_events::gone.eq(true),
        ))
        .execute(tx.conn())?;
    Ok(())
}

#[diesel::dsl::auto_type(no_type_alias)]
fn note(site: i64, id: i64) -> _ {
    calendar_events::table.filter(
        calendar_events::site_id
            .eq(site)
            .and(calendar_events::id.eq(id)),
    )
}

/// Puts a session where it is wanted: a new one, or `own`; gives its id. Two never begin together on a court, so that
/// one that was called off at this very start is put back in its stead.
fn session_put(tx: &mut Tx<'_>, scope: &Scope, own: Option<i64>, target: &Target) -> Result<i64> {
    let before = own
        .map(|own| session_read(tx.conn(), scope, own))
        .transpose()?;
    let twin = session_starting(tx.conn(), scope, target.court_id, target.starts_at)?
        .filter(|twin| Some(twin.id) != own);
    // What was said by hand of it, or of what stood there before, stays as it is.
    let kept = before.as_ref().or(twin.as_ref());
    let set = SessionSet {
        court_id: target.court_id,
        name: target.name.clone(),
        starts_at: target.starts_at,
        ends_at: target.ends_at,
        short_turnaround: target.short_turnaround,
        players_brush: kept.is_some_and(|kept| kept.players_brush),
        open_ended: kept.is_some_and(|kept| kept.open_ended),
        short_ok: kept.is_some_and(|kept| kept.short_ok),
    };
    match (twin, before) {
        (Some(twin), before) => {
            if let Some(before) = before.filter(|before| before.cancelled_at.is_none()) {
                session_cancel(tx, scope, before.id)?;
            }
            diesel::update(
                calendar_events::table.filter(
                    calendar_events::site_id
                        .eq(scope.site_id())
                        .and(calendar_events::session_id.eq(twin.id)),
                ),
            )
            .set(calendar_events::session_id.eq(None::<i64>))
            .execute(tx.conn())?;
            session_set(tx, scope, twin.id, twin.version, &set)?;
            Ok(twin.id)
        }
        (None, Some(before)) => {
            session_set(tx, scope, before.id, before.version, &set)?;
            Ok(before.id)
        }
        (None, None) => session_add(tx, scope, &set),
    }
}
