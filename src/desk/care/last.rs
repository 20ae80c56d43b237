//! When each task was last done on the courts of a bank, as far as anybody knows, and when it falls due next.

use std::collections::HashMap;

use chrono::{Days, NaiveDate};
use serde::Serialize;
use trade::calendar::work_date;
use trade::care::{Record, Rule, next_on};
use utoipa::ToSchema;

use super::standard;
use crate::desk::access::{Permit, SeeCare};
use crate::desk::day_build::{Spread, Unknown, applies};
use crate::desk::nets::{Calendar, at_latest, done_by_checks};
use crate::desk::place::Place;
use crate::desk::settings::Settings;
use crate::desk::{Error, Office, Result};
use crate::store::care::{CareTaskRow, DoneAt, care_last_done, care_task_list, care_told_newest};
use crate::store::courts::{CourtRow, bank_list, court_list};
use crate::store::day_plans::inputs::founded_at;
use crate::store::sites::site_read;
use crate::store::{Conn, Instant, Page, Scope};

/// When the tasks of a bank were last done.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct LastDoneOfBank {
    /// The bank.
    pub bank_id: i64,
    /// Its name.
    pub bank: String,
    /// The tasks that are for it or for one of its courts and count from when they were last done, in the site's order.
    pub tasks: Vec<TaskLastDone>,
}

/// When a task was last done.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct TaskLastDone {
    /// The task.
    pub care_task_id: i64,
    /// What it is called.
    pub name: String,
    /// When it falls due.
    #[schema(schema_with = standard::a_rule)]
    pub rule: Rule,
    /// The bank itself, or each of its courts that the task is for.
    pub places: Vec<PlaceLastDone>,
}

/// When a task was last done at one place.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct PlaceLastDone {
    /// The court; null for a task that is done on the whole bank.
    pub court_id: Option<i64>,
    /// Its name.
    pub court: Option<String>,
    /// The newest day on which it was done, by an order or as it was told; null where nobody knows.
    pub done_on: Option<NaiveDate>,
    /// Whether somebody said that nobody knows.
    pub said_unknown: bool,
    /// The day on which it falls due next, where its rule is one of days.
    pub due_on: Option<NaiveDate>,
}

/// When the tasks of a bank were last done.
pub fn care_told_read(
    office: &Office,
    permit: &Permit<SeeCare>,
    language: &str,
    bank_id: i64,
) -> Result<LastDoneOfBank> {
    let now = office.now();
    office.db.read(|conn| {
        let known = Known::read(conn, permit, now)?;
        known.of_bank(Some(language), bank_id)
    })
}

/// The same for every bank of the site in its own order, the tasks named as orders name them.
pub fn care_told_all(office: &Office, permit: &Permit<SeeCare>) -> Result<Vec<LastDoneOfBank>> {
    let now = office.now();
    office.db.read(|conn| {
        let known = Known::read(conn, permit, now)?;
        let banks = known.banks.iter();
        banks.map(|bank| known.of_bank(None, bank.id)).collect()
    })
}

/// Some tasks on a site's courts.
pub(in crate::desk) struct TasksOfCourts<const N: usize> {
    /// The courts, in the site's own order.
    pub courts: Vec<CourtRow>,
    /// How the site counts its days.
    pub calendar: Calendar,
    /// What it sets.
    pub settings: Settings,
    /// When each of the tasks was last done on each court that it is for.
    pub last: [HashMap<i64, PlaceLastDone>; N],
}

/// When the tasks of these codes were last done on each court that they are for, as of now.
pub(in crate::desk) fn tasks_of_courts<const N: usize>(
    conn: &mut Conn,
    scope: &Scope,
    now: Instant,
    codes: [&str; N],
) -> Result<TasksOfCourts<N>> {
    let known = Known::read(conn, scope, now)?;
    let last = codes.map(|code| {
        let task = known.tasks.iter().find(|task| task.code == code);
        let Some((row, rule)) = task.and_then(|row| Some((row, row.rule()?))) else {
            return HashMap::new();
        };
        let banks = known.banks.iter();
        banks
            .flat_map(|bank| known.places(row, &rule, bank.id))
            .filter_map(|place| Some((place.court_id?, place)))
            .collect()
    });
    Ok(TasksOfCourts {
        courts: known.courts,
        calendar: known.calendar,
        settings: known.settings,
        last,
    })
}

/// All that is known of when work was last done: at most eleven queries.
struct Known {
    tasks: Vec<CareTaskRow>,
    courts: Vec<CourtRow>,
    banks: Vec<crate::store::courts::BankRow>,
    calendar: Calendar,
    unknown: Unknown,
    settings: Settings,
    done: HashMap<(i64, Place), NaiveDate>,
}

impl Known {
    fn read(conn: &mut Conn, scope: &Scope, now: Instant) -> Result<Self> {
        let zone = site_read(conn, scope)?.zone()?;
        let day = |at: Instant| work_date(zone, at.utc());
        let tasks = care_task_list(conn, scope)?;
        let ids: Vec<i64> = tasks.iter().map(|task| task.id).collect();
        let mut courts = court_list(conn, scope, Page::ALL)?.items;
        courts.sort_by_key(|court| (court.position, court.id));
        let mut banks = bank_list(conn, scope, Page::ALL)?.items;
        banks.sort_by_key(|bank| (bank.position, bank.id));
        let told = care_told_newest(conn, scope)?;
        let tomorrow = day(now).checked_add_days(Days::new(1));
        let orders = care_last_done(conn, scope, &ids, tomorrow.unwrap_or(NaiveDate::MAX))?;
        let by_order = orders
            .iter()
            .map(|one| (one.care_task_id, one.court_id, one.bank_id, one.on.map(day)));
        let by_word = told
            .iter()
            .map(|one| (one.care_task_id, one.court_id, one.bank_id, one.done_on));
        let mut done: HashMap<(i64, Place), NaiveDate> = HashMap::new();
        for (task, court, bank, on) in by_order.chain(by_word) {
            let at = court.map(Place::Court).or(bank.map(Place::Bank));
            if let Some((at, on)) = at.zip(on) {
                let known = done.entry((task, at)).or_insert(on);
                *known = (*known).max(on);
            }
        }
        let calendar = Calendar {
            zone,
            founded_on: day(founded_at(conn, scope)?),
        };
        for (task, court, on) in done_by_checks(
            conn,
            scope,
            &tasks,
            calendar,
            tomorrow.unwrap_or(NaiveDate::MAX),
        )? {
            let known = done.entry((task, Place::Court(court))).or_insert(on);
            *known = (*known).max(on);
        }
        Ok(Self {
            calendar,
            settings: Settings::read(conn, scope)?,
            unknown: Unknown::of(&told, day),
            tasks,
            courts,
            banks,
            done,
        })
    }

    fn of_bank(&self, language: Option<&str>, bank_id: i64) -> Result<LastDoneOfBank> {
        let bank = self.banks.iter().find(|bank| bank.id == bank_id);
        let bank = bank.ok_or(Error::NotFound("bank"))?;
        let tasks = self.tasks.iter().filter_map(|row| {
            let rule = row.rule().filter(Rule::counts)?;
            let places = self.places(row, &rule, bank_id);
            (!places.is_empty()).then(|| TaskLastDone {
                care_task_id: row.id,
                name: language.map_or(&*row.name, |of| row.name_in(of)).to_owned(),
                rule,
                places,
            })
        });
        Ok(LastDoneOfBank {
            bank_id,
            bank: bank.name.clone(),
            tasks: tasks.collect(),
        })
    }

    fn places(&self, row: &CareTaskRow, rule: &Rule, bank_id: i64) -> Vec<PlaceLastDone> {
        let courts = || {
            let of_bank = self.courts.iter().filter(|court| court.bank_id == bank_id);
            of_bank.filter(|court| applies(row, court))
        };
        match row.done_at {
            DoneAt::Turnaround => Vec::new(),
            DoneAt::Bank if courts().next().is_none() => Vec::new(),
            DoneAt::Bank => vec![self.place(row, rule, Place::Bank(bank_id), None)],
            DoneAt::Court => courts()
                .map(|court| {
                    let name = Some(court.name.clone());
                    self.place(row, rule, Place::Court(court.id), name)
                })
                .collect(),
        }
    }

    fn place(
        &self,
        row: &CareTaskRow,
        rule: &Rule,
        at: Place,
        court: Option<String>,
    ) -> PlaceLastDone {
        let spread = Spread {
            tasks: &self.tasks,
            courts: &self.courts,
            banks: &self.banks,
            founded_on: self.calendar.founded_on,
            unknown: &self.unknown,
        };
        let done_on = self.done.get(&(row.id, at)).copied();
        let next = |rule: &Rule| {
            let record = Record {
                last_done: done_on,
                counts_from: Some(spread.counts_from(row, rule, at)),
                ..Record::default()
            };
            next_on(rule, row.detail.0.season, &record)
        };
        let latest = at_latest(&self.settings, &row.code).and_then(|rule| next(&rule));
        PlaceLastDone {
            court_id: at.court(),
            court,
            done_on,
            said_unknown: done_on.is_none() && self.unknown.is_said(row.id, at),
            due_on: next(rule).into_iter().chain(latest).min(),
        }
    }
}
