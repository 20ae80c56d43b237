//! Play that changed after a day was planned: its rounds do not know of it yet.

use std::collections::HashMap;

use serde::Serialize;
use utoipa::ToSchema;

use super::RoundView;
use crate::desk::day_build::{DayClock, session_of_key};
use crate::store::columns::words;
use crate::store::courts::court_list;
use crate::store::day_plans::PlanRow;
use crate::store::play::{ClosureRow, SessionRow};
use crate::store::play_changes::play_changed_after;
use crate::store::{self, Conn, Instant, Page, Scope};

/// Play that is over by so little earlier or later than planned asks for no other plan, s: such slips are what a round
/// has its slack for.
const SLIP_S: i64 = 600;

words! {
    /// What became of play.
    PlayBecame {
        /// A session was added, or changed.
        Set = "set",
        /// A session was called off.
        CalledOff = "called_off",
        /// It was over earlier or later than was known.
        Over = "over",
        /// A court was shut.
        Shut = "shut",
        /// A court is not shut after all.
        OpenAfterAll = "open_after_all",
    }
}

/// Play or a closure that changed after the plan in force was taken.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct PlayChange {
    /// What became of it.
    pub became: PlayBecame,
    /// The court's name.
    pub court: String,
    /// What the session is called, or why the court is shut.
    pub name: String,
    /// From when.
    pub starts_at: Instant,
    /// Until when; of play that is over, when it was.
    pub ends_at: Instant,
}

/// What changed of a date's play since its plan was taken, in order of time.
pub fn changed_since(
    conn: &mut Conn,
    scope: &Scope,
    clock: &DayClock,
    plan: &PlanRow,
    rounds: &[RoundView],
) -> store::Result<Vec<PlayChange>> {
    let day = (clock.instant(0), clock.instant(clock.length_s()));
    let orders = rounds.iter().flat_map(|round| &round.orders);
    let planned: Vec<i64> = orders
        .filter_map(|view| session_of_key(&view.order.visit_key))
        .collect();
    let (sessions, closures) = play_changed_after(conn, scope, day, &planned, plan.created_at)?;
    if sessions.is_empty() && closures.is_empty() {
        return Ok(Vec::new());
    }
    let courts = court_list(conn, scope, Page::ALL)?.items.into_iter();
    let names: HashMap<i64, String> = courts.map(|court| (court.id, court.name)).collect();
    let name = |court: i64| names.get(&court).cloned().unwrap_or_default();
    let sessions = sessions.iter().filter_map(|session| {
        let became = of_session(session)?;
        Some(PlayChange {
            became,
            court: name(session.court_id),
            name: session.name.clone(),
            starts_at: session.starts_at,
            ends_at: session.end(),
        })
    });
    let closures = closures.iter().map(|closure| PlayChange {
        became: of_closure(closure),
        court: name(closure.court_id),
        name: closure.reason.clone(),
        starts_at: closure.starts_at,
        ends_at: closure.ends_at,
    });
    let mut all: Vec<PlayChange> = sessions.chain(closures).collect();
    all.sort_by_key(|change| change.starts_at);
    Ok(all)
}

fn of_session(session: &SessionRow) -> Option<PlayBecame> {
    if session.cancelled_at.is_some() {
        return Some(PlayBecame::CalledOff);
    }
    let Some(over) = session.over_at else {
        return Some(PlayBecame::Set);
    };
    let slip = (over.utc() - session.ends_at.utc()).num_seconds().abs();
    (slip > SLIP_S).then_some(PlayBecame::Over)
}

const fn of_closure(closure: &ClosureRow) -> PlayBecame {
    if closure.cancelled_at.is_some() {
        PlayBecame::OpenAfterAll
    } else {
        PlayBecame::Shut
    }
}
