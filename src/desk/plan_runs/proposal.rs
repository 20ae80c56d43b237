//! The day that the office proposes by itself, where nobody has planned it: planned, never issued.

use chrono::{DateTime, Days, NaiveDate, NaiveTime, Utc};
use chrono_tz::Tz;
use trade::calendar::{local_to_instant, work_date};

use super::search::{self, Limit};
use super::take;
use crate::desk::access::{Permit, PlanDay};
use crate::desk::day_build::build;
use crate::desk::settings::Settings;
use crate::desk::settings::known::{PROPOSE_AT, PROPOSE_BY_ITSELF};
use crate::desk::{Error, Office, Result};
use crate::store::audit::{Deed, audit_append};
use crate::store::crews::{shift_person_list, shifts_between};
use crate::store::day_plans::plan_in_force;
use crate::store::day_plans::runs::{self, NewRun, run_add, run_ready};
use crate::store::{self, Conn, Instant, Scope, Tx};

/// Chooses among the searches, as on the pages.
const SEED: u64 = 1;

/// A date that is to be proposed, and since when.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Due {
    /// The site's own date.
    pub date: NaiveDate,
    /// The moment at which it fell due.
    pub at: DateTime<Utc>,
}

/// The date that a site wants to be proposed now, whether or not that was done; none where it wants
/// none. The next day from the hour that the site sets on; before that the day itself, for a service
/// that stood still in the evening. One query.
pub fn proposal_due(
    conn: &mut Conn,
    scope: &Scope,
    zone: Tz,
    now: Instant,
) -> store::Result<Option<Due>> {
    let settings = Settings::read(conn, scope)?;
    if !settings.flag(PROPOSE_BY_ITSELF) {
        return Ok(None);
    }
    Ok(due(zone, settings.time(PROPOSE_AT), now.utc()))
}

fn due(zone: Tz, time: NaiveTime, now: DateTime<Utc>) -> Option<Due> {
    let today = work_date(zone, now);
    [Some(today), today.checked_sub_days(Days::new(1))]
        .into_iter()
        .flatten()
        .find_map(|eve| {
            let at = local_to_instant(zone, eve, time);
            let date = eve.checked_add_days(Days::new(1))?;
            (at <= now).then_some(Due { date, at })
        })
}

/// Whether a date waits for somebody to plan it: nobody has, and somebody is on shift.
pub fn is_open(conn: &mut Conn, scope: &Scope, date: NaiveDate) -> store::Result<bool> {
    if plan_in_force(conn, scope, date)?.is_some() {
        return Ok(false);
    }
    let shifts = shifts_between(conn, scope, date, date)?;
    let ids: Vec<i64> = shifts.iter().map(|shift| shift.id).collect();
    Ok(!ids.is_empty() && !shift_person_list(conn, scope, &ids)?.is_empty())
}

/// Plans a date that nobody has planned, as the service itself, and takes the plan as `planned`; says
/// whether it did. `also` stands in the same transaction, whether it did or not.
///
/// [`Error::State`] where the day cannot be planned as it stands, or changed meanwhile: another try
/// may find it otherwise.
pub fn day_propose(
    office: &Office,
    permit: &Permit<PlanDay>,
    date: NaiveDate,
    limit: Limit,
    also: impl Fn(&mut Tx<'_>) -> store::Result<()>,
) -> Result<bool> {
    let now = office.now();
    let built = office.db.read(|conn| -> Result<_> {
        if is_open(conn, permit, date)? {
            Ok(Some(build(conn, permit, date, now)?))
        } else {
            Ok(None)
        }
    })?;
    let Some(built) = built else {
        office.db.write(permit, also)?;
        return Ok(false);
    };
    let found = search::search(built.problem, SEED, &limit, &mut |_| false)
        .map_err(|why| Error::state(why.to_string()))?;
    office.db.write(permit, |tx| {
        also(tx)?;
        // Somebody may have planned it while this searched: theirs stands.
        if plan_in_force(tx.conn(), permit, date)?.is_some() {
            return Ok(false);
        }
        let run = run_add(
            tx,
            permit,
            &NewRun {
                work_date: date,
                seed: i64::try_from(SEED).unwrap_or(i64::MAX),
                limit_s: limit.whole_seconds(),
                inputs_digest: &built.digest,
                problem: &built.problem_text,
                requested_by: None,
            },
        )?;
        audit_append(
            tx,
            permit,
            &Deed {
                verb: "proposed",
                subject: "plan_run",
                id: run.id,
                data: serde_json::json!({ "date": date, "inputs": run.inputs_digest }),
            },
        )?;
        let now = tx.now();
        run_ready(tx.conn(), permit, run.id, &found.as_stored(None), now)?;
        let run = runs::run_read(tx.conn(), permit, run.id)?;
        take(tx, permit, &run)?;
        Ok(true)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(now: &str, time: &str) -> String {
        let zone = chrono_tz::America::New_York;
        let due = due(zone, time.parse().unwrap(), now.parse().unwrap()).unwrap();
        format!("{} since {}", due.date, due.at.format("%FT%RZ"))
    }

    #[test]
    fn the_next_day_is_due_from_the_hour_that_the_site_sets_and_until_then_the_day_itself() {
        let five = |now| told(now, "17:00:00");
        assert_eq!(
            five("2031-06-10T20:59:59Z"),
            "2031-06-10 since 2031-06-09T21:00Z"
        );
        assert_eq!(
            five("2031-06-10T21:00:00Z"),
            "2031-06-11 since 2031-06-10T21:00Z"
        );
        // A service that was down in the evening finds the day still due in the morning.
        assert_eq!(
            five("2031-06-11T10:00:00Z"),
            "2031-06-11 since 2031-06-10T21:00Z"
        );
        // The site's own evening, not the day of UTC.
        assert_eq!(
            five("2031-06-11T01:00:00Z"),
            "2031-06-11 since 2031-06-10T21:00Z"
        );
    }

    /// New York's clocks go forward on 9 March and back on 2 November 2031. RFC 5545 section 3.3.5: a
    /// time that does not occur is read with the offset before the gap, one that occurs twice means
    /// the first.
    #[test]
    fn the_hour_is_the_wall_clock_s_also_when_the_clocks_change() {
        let spring = |now| told(now, "17:00:00");
        assert_eq!(
            spring("2031-03-08T22:00:00Z"),
            "2031-03-09 since 2031-03-08T22:00Z"
        );
        assert_eq!(
            spring("2031-03-09T21:00:00Z"),
            "2031-03-10 since 2031-03-09T21:00Z"
        );
        let in_the_gap = |now| told(now, "02:30:00");
        assert_eq!(
            in_the_gap("2031-03-09T07:30:00Z"),
            "2031-03-10 since 2031-03-09T07:30Z"
        );
        let twice = |now| told(now, "01:30:00");
        assert_eq!(
            twice("2031-11-02T05:30:00Z"),
            "2031-11-03 since 2031-11-02T05:30Z"
        );
        assert_eq!(
            twice("2031-11-02T06:30:00Z"),
            "2031-11-03 since 2031-11-02T05:30Z"
        );
    }
}
