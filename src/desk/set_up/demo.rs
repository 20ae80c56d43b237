//! The demo: the invented resort with its last weeks, and how a database is known to hold it and
//! nothing else.

use std::collections::BTreeMap;

use chrono::{NaiveDate, TimeDelta};
use serde::{Deserialize, Serialize};
use trade::calendar::{day_span, work_date};

pub use super::accounts::renew_passwords;
use super::outlook::lay_outlook;
use super::{SetUp, lay_demo_history, lay_demo_site, unreadable};
use crate::desk::access::{EditCalendars, Permit, PlanDay, SeeDay, scope};
use crate::desk::calendars::import::calendar_import;
use crate::desk::calendars::{CalendarEdit, calendar_add};
use crate::desk::days::{DayView, day_read};
use crate::desk::plan_runs::{Limit, plan_day};
use crate::desk::{Error, Office, Result};
use crate::store::calendars::Makes;
use crate::store::courts::court_list;
use crate::store::day_plans::plan_in_force;
use crate::store::day_plans::runs::run_texts;
use crate::store::history::user_in_role;
use crate::store::play_changes::{PlayFilter, session_cancel, session_list};
use crate::store::settings::{setting_put, setting_read};
use crate::store::sites::{SiteRow, site_founded_at, site_ids, site_read};
use crate::store::{Actor, Page, Role, Scope};

/// The bookings of one court.
const BOOKINGS: &str = include_str!("../../../demo-seed/bookings.ics");

/// The setting by which a demo is known.
const MARK: &str = "demo";

/// How a demo was laid.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
struct Mark {
    /// The site's own date that was its today.
    today: NaiveDate,
    weeks: u32,
    seed: u64,
}

/// What a migrated database holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Holds {
    /// No site.
    Nothing,
    /// The demo, and nothing else; laid with the today of the office's clock, or of another day.
    Demo {
        /// Its site.
        site_id: i64,
        /// Whether its today is today.
        of_today: bool,
    },
    /// Something that is not to be touched.
    Other,
}

/// Says what the database holds.
pub fn what_it_holds(office: &Office) -> Result<Holds> {
    let now = office.now();
    office.db.read(|conn| {
        let sites = site_ids(conn)?;
        let [site_id] = sites[..] else {
            return Ok(if sites.is_empty() {
                Holds::Nothing
            } else {
                Holds::Other
            });
        };
        let scope = Scope::of_the_service(site_id);
        let Some(mark) = setting_read::<Mark>(conn, &scope, MARK)? else {
            return Ok(Holds::Other);
        };
        let zone = site_read(conn, &scope)?.zone()?;
        let of_today = work_date(zone, now.utc()) == mark.today;
        Ok(Holds::Demo { site_id, of_today })
    })
}

/// Lays the demo into a database that holds nothing.
pub fn lay_demo(office: &Office, weeks: u32, seed: u64) -> Result<SetUp> {
    let set_up = lay_demo_site(office)?;
    lay_demo_history(office, set_up.site_id, weeks, seed)?;
    let scope = Scope::of_the_service(set_up.site_id);
    office.db.write(&scope, |tx| {
        let now = tx.now();
        let zone = site_read(tx.conn(), &scope)?.zone()?;
        // The site is as old as its history, so that its last week is reported.
        let age = TimeDelta::weeks(i64::from(weeks));
        site_founded_at(tx, &scope, (now.utc() - age).into())?;
        let mark = Mark {
            today: work_date(zone, now.utc()),
            weeks,
            seed,
        };
        let value = serde_json::to_value(mark).map_err(|e| unreadable(&e))?;
        Ok::<_, Error>(setting_put(tx, &scope, MARK, &value)?)
    })?;
    lay_outlook(office, set_up.site_id, seed)?;
    lay_bookings(office, set_up.site_id)?;
    Ok(set_up)
}

/// From tomorrow on, play on the last court comes from a calendar.
fn lay_bookings(office: &Office, site_id: i64) -> Result<()> {
    let of_the_service = Scope::of_the_service(site_id);
    let now = office.now();
    let (manager, court_id) = office.db.write(&of_the_service, |tx| {
        let conn = tx.conn();
        let zone = site_read(conn, &of_the_service)?.zone()?;
        let courts = court_list(conn, &of_the_service, Page::ALL)?.items;
        let court_id = courts.last().map(|court| court.id);
        let filter = PlayFilter {
            from: Some(day_span(zone, work_date(zone, now.utc())).to.into()),
            to: None,
            court_id,
        };
        for session in session_list(conn, &of_the_service, &filter, Page::ALL)?.items {
            session_cancel(tx, &of_the_service, session.id)?;
        }
        let manager = user_in_role(tx.conn(), &of_the_service, Role::Manager)?;
        Ok::<_, Error>((manager, court_id))
    })?;
    let permit = Permit::<EditCalendars>::of(scope(office, Actor::of(manager), site_id)?)?;
    let key = uuid::Uuid::new_v4().to_string();
    let calendar = calendar_add(
        office,
        &permit,
        &sessions_of("Club bookings", court_id),
        key,
    )?;
    calendar_import(office, &permit, calendar.id, BOOKINGS)?;
    Ok(())
}

/// A coach's calendar comes in once the day is planned: its lesson of today waits for somebody's yes.
fn ask_for_a_late_lesson(office: &Office, scope: &Scope, today: NaiveDate) -> Result<()> {
    let permit = Permit::<EditCalendars>::of(scope.clone())?;
    let court_id = office.db.read(|conn| {
        let courts = court_list(conn, scope, Page::ALL)?.items;
        Ok::<_, Error>(courts.last().map(|court| court.id))
    })?;
    let date = today.format("%Y%m%d");
    let lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//Coach//Lessons//EN",
        "BEGIN:VEVENT",
        "UID:late-lesson@lessons.example.org",
        &format!("DTSTAMP:{date}T000000Z"),
        "SUMMARY:Late lesson",
        &format!("DTSTART;TZID=America/New_York:{date}T194500"),
        &format!("DTEND;TZID=America/New_York:{date}T204500"),
        "END:VEVENT",
        "END:VCALENDAR",
        "",
    ];
    let key = uuid::Uuid::new_v4().to_string();
    let calendar = calendar_add(office, &permit, &sessions_of("Lessons", court_id), key)?;
    calendar_import(office, &permit, calendar.id, &lines.join("\r\n"))?;
    Ok(())
}

fn sessions_of(name: &str, court_id: Option<i64>) -> CalendarEdit {
    CalendarEdit {
        name: name.to_owned(),
        court_id,
        courts: BTreeMap::new(),
        makes: Makes::Sessions,
        short_turnaround: true,
        address: None,
        allow_private: false,
    }
}

/// The demo's day, planned.
pub struct DemoDay {
    /// The site.
    pub site: SiteRow,
    /// The day.
    pub day: DayView,
    /// The day problem it was planned from, as JSON.
    pub problem_text: String,
    /// The planner's plan, as JSON.
    pub plan_text: String,
}

/// The site's today with its plan: the one in force, else one that is made now, of the whole day
/// whatever the hour.
pub fn plan_today(office: &Office, site_id: i64, seed: u64, limit: &Limit) -> Result<DemoDay> {
    let of_the_service = Scope::of_the_service(site_id);
    let now = office.now();
    let (manager, site, today, kept) = office.db.read(|conn| {
        let site = site_read(conn, &of_the_service)?;
        let today = work_date(site.zone()?, now.utc());
        let plan = plan_in_force(conn, &of_the_service, today)?;
        let kept = plan
            .map(|plan| run_texts(conn, &of_the_service, plan.plan_run_id))
            .transpose()?;
        let manager = user_in_role(conn, &of_the_service, Role::Manager)?;
        Ok::<_, Error>((manager, site, today, kept))
    })?;
    let scope = scope(office, Actor::of(manager), site_id)?;
    let (problem_text, plan_text) = if let Some((problem, Some(plan))) = kept {
        (problem, plan)
    } else {
        let permit = Permit::<PlanDay>::of(scope.clone())?;
        let planned = plan_day(office, &permit, today, seed, limit)?;
        ask_for_a_late_lesson(office, &scope, today)?;
        (planned.problem_text, planned.plan_text)
    };
    let day = day_read(office, &Permit::<SeeDay>::of(scope)?, today)?;
    Ok(DemoDay {
        site,
        day,
        problem_text,
        plan_text,
    })
}
