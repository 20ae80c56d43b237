//! The weekly report: due on Monday morning by the site's own clock, once a week and site, whatever
//! happens to the server in between.

use chrono::{DateTime, NaiveTime, Utc};
use chrono_tz::Tz;
use serde::{Deserialize, Serialize};
use trade::calendar::{IsoWeek, local_to_instant, work_date};

use super::Failure;
use crate::desk::access::{Permit, SendReport};
use crate::desk::{Office, reports};
use crate::store::jobs::{JobKind, JobRow, NewJob, job_add, job_done, job_known};
use crate::store::reports::{ReportedSite, reported_sites};
use crate::store::{self, Instant};

/// What a job of this kind works on.
#[derive(Serialize, Deserialize)]
struct Payload {
    iso_week: IsoWeek,
}

/// Adds the job of every site whose last week is due to be reported and was not yet. A server that
/// stood still on Monday does it when it is back, for the last whole week.
pub(super) fn add_due(office: &Office) -> store::Result<()> {
    let now = office.now();
    let due: Vec<(i64, IsoWeek, DateTime<Utc>)> = office.db.read(|conn| -> store::Result<_> {
        let mut due = Vec::new();
        for site in reported_sites(conn)? {
            if let Some((week, at)) = due_week(&site, now)
                && !job_known(conn, &key(site.id, week))?
            {
                due.push((site.id, week, at));
            }
        }
        Ok(due)
    })?;
    for (site_id, iso_week, at) in due {
        office.db.write_shared(|conn| {
            let job = NewJob {
                site_id: Some(site_id),
                kind: JobKind::WeekReport,
                unique_key: &key(site_id, iso_week),
                payload: &Payload { iso_week },
                run_at: at.into(),
            };
            job_add(conn, &job, now)
        })?;
    }
    Ok(())
}

fn key(site_id: i64, week: IsoWeek) -> String {
    format!("week-report:{site_id}:{week}")
}

/// Six in the morning.
const HOUR: NaiveTime = match NaiveTime::from_hms_opt(6, 0, 0) {
    Some(time) => time,
    None => NaiveTime::MIN,
};

/// The last whole week of a site and when its report is due, where that moment has come and the
/// site was kept here before the week was over.
fn due_week(site: &ReportedSite, now: Instant) -> Option<(IsoWeek, DateTime<Utc>)> {
    let Ok(zone) = site.zone.parse::<Tz>() else {
        tracing::error!(site = site.id, zone = %site.zone, "the site's zone is unknown");
        return None;
    };
    let monday = IsoWeek::of(work_date(zone, now.utc()));
    let at = local_to_instant(zone, monday.days()[0], HOUR);
    // Before six on Monday the week before was already reported or missed; it is not caught up.
    let week = monday.previous();
    (now.utc() >= at && site.created_at.utc() < week.span(zone).to).then_some((week, at))
}

/// Makes the report and puts its mails into the outbox.
pub(super) fn report(office: &Office, job: &JobRow) -> Result<(), Failure> {
    let payload: Payload = job.payload()?;
    let Some(site_id) = job.site_id else {
        return Err(store::Error::Unreadable(format!("job {} names no site", job.id)).into());
    };
    let permit = Permit::<SendReport>::of_the_service(site_id);
    reports::week_report_send_by_itself(office, &permit, payload.iso_week, |tx| {
        let now = tx.now();
        job_done(tx.conn(), job, now)
    })?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> Instant {
        text.parse::<DateTime<Utc>>().unwrap().into()
    }

    fn due(zone: &str, created: &str, now: &str) -> Option<String> {
        let site = ReportedSite {
            id: 1,
            zone: zone.into(),
            created_at: at(created),
        };
        due_week(&site, at(now)).map(|(week, at)| format!("{week} {}", at.format("%FT%RZ")))
    }

    #[test]
    fn a_week_is_reported_on_monday_at_six_of_the_site_s_own_clock() {
        let founded = "2031-01-01T00:00:00Z";
        let new_york = |now| due("America/New_York", founded, now);
        assert_eq!(new_york("2031-06-16T09:59:59Z"), None);
        let monday = Some("2031-W24 2031-06-16T10:00Z".to_owned());
        assert_eq!(new_york("2031-06-16T10:00:00Z"), monday);
        // A server that was down until Saturday still reports the week.
        assert_eq!(new_york("2031-06-21T20:00:00Z"), monday);
        // The clocks went back on 2 November 2031: the Monday after it is an hour later in UTC.
        assert_eq!(
            new_york("2031-11-03T12:00:00Z"),
            Some("2031-W44 2031-11-03T11:00Z".to_owned())
        );
        assert_eq!(
            due("Asia/Tokyo", founded, "2031-06-15T21:00:00Z"),
            Some("2031-W24 2031-06-15T21:00Z".to_owned())
        );
    }

    #[test]
    fn a_week_before_the_site_was_founded_is_not_reported() {
        let now = "2031-06-18T10:00:00Z";
        assert_eq!(due("Etc/UTC", "2031-06-17T10:00:00Z", now), None);
        assert!(due("Etc/UTC", "2031-06-13T10:00:00Z", now).is_some());
    }
}
