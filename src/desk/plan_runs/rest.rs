//! The rest of a day planned anew, because something happened or somebody decides otherwise: tried first, what
//! changes and what it costs told, then taken. Work that is done or under way stays as it is.

pub mod asked;
mod basis;
pub mod choices;
mod facts;
mod soaks;
mod taking;
mod told;
mod trial;
mod water;
mod whole;

use chrono::{Datelike, NaiveDate, TimeDelta};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::asker;
use crate::desk::access::{Permit, PlanDay, SeeDay};
use crate::desk::once::Once;
use crate::desk::{Error, Office, Result};
use crate::store::day_changes::{ChangeRow, changes_between};
use crate::store::day_replans::{self, ReplanRow};
use crate::store::{self, Instant, Page, Paged};
use asked::{MoveTold, ReplanAsk, Replanned};
pub use told::TIME_OVER;
use trial::Trial;

/// How long a trial that was shown may be taken.
const SHOWN_FOR: TimeDelta = TimeDelta::minutes(15);

/// Tries the rest of a date anew and, where it is asked, takes it: the day has a new plan then. [`Error::State`] where
/// nothing is planned, the date is over, or the day has moved on since the trial was shown.
pub fn replan(
    office: &Office,
    permit: &Permit<PlanDay>,
    date: NaiveDate,
    ask: &ReplanAsk,
    once: &Once,
) -> Result<Replanned> {
    let user_id = asker(permit)?;
    let now = Instant::from(office.now().utc());
    let at = moment(ask, now);
    // Outside the transaction: it takes a search.
    let tried = at.and_then(|at| {
        facts::check(ask, date, at)?;
        Trial::of(office, permit, date, ask, at, user_id)
    });
    if !ask.take {
        return Ok(tried?.told(false));
    }
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let mut trial = tried?;
            let told = trial.told(true);
            if ask.shown.as_ref().is_some_and(|shown| *shown != told.shown) {
                return Err(Error::state(
                    "the day has moved on since this was shown: look at the change again".into(),
                ));
            }
            trial.take(tx, permit, ask, user_id)?;
            Ok(told)
        })
    })
}

/// For which moment it is planned: that of the trial that was shown, else now.
fn moment(ask: &ReplanAsk, now: Instant) -> Result<Instant> {
    let Some(shown) = ask.shown.as_ref().filter(|_| ask.take) else {
        return Ok(now);
    };
    if shown.at > now || shown.at.utc() < now.utc() - SHOWN_FOR {
        return Err(Error::state(
            "this was shown too long ago: look at the change again".into(),
        ));
    }
    Ok(shown.at)
}

/// What is decided by hand for a date, by visit.
pub fn changes_read(
    office: &Office,
    permit: &Permit<SeeDay>,
    date: NaiveDate,
) -> Result<Vec<ChangeRow>> {
    Ok(office
        .db
        .read(|conn| changes_between(conn, permit, date, date))?)
}

/// One time that the rest of a day was planned anew.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct ReplanView {
    /// Id.
    pub id: i64,
    /// The plan it made.
    pub day_plan_id: i64,
    /// What happened, in words; empty where nobody said.
    pub because: String,
    /// What the rest of the day cost before, cents.
    pub cost_before_cents: i64,
    /// What it costs after, cents.
    pub cost_cents: i64,
    /// What became of the visits.
    pub moves: Vec<MoveTold>,
    /// Who took it.
    pub by: String,
    /// When.
    pub at: Instant,
}

impl From<ReplanRow> for ReplanView {
    fn from(row: ReplanRow) -> Self {
        Self {
            id: row.id,
            day_plan_id: row.day_plan_id,
            because: row.because,
            cost_before_cents: row.cost_before_cents,
            cost_cents: row.cost_cents,
            moves: serde_json::from_value(row.moves.0).unwrap_or_default(),
            by: row.by,
            at: row.created_at,
        }
    }
}

/// What changed in a date's plan, oldest first; since an instant, where it is given.
pub fn replan_list(
    office: &Office,
    permit: &Permit<SeeDay>,
    date: NaiveDate,
    since: Option<Instant>,
    page: Page,
) -> Result<Paged<ReplanView>> {
    if since.is_some_and(|at| !(1970..=2200).contains(&at.utc().year())) {
        return Err(Error::refused("since", "give a time from 1970 to 2200"));
    }
    let rows = office.db.read(|conn| -> store::Result<_> {
        day_replans::replan_list(conn, permit, date, since, page)
    })?;
    Ok(rows.map(ReplanView::from))
}
