//! What somebody can name who tells what happened in a day.

use std::collections::HashMap;

use chrono::NaiveDate;
use trade::calendar::{day_start, work_date};

use crate::desk::access::{Permit, PlanDay};
use crate::desk::{Office, Result};
use crate::store::care::{DoneAt, care_task_list};
use crate::store::courts::court_list;
use crate::store::crews::{crew_list, shift_person_list, shifts_between};
use crate::store::play::{SessionRow, sessions_between};
use crate::store::sites::site_read;
use crate::store::tools::{ToolState, tool_class_list, tool_list};
use crate::store::{Instant, Page};

/// What there is to choose from, each by id and name.
#[derive(Clone, Debug, Default)]
pub struct Choices {
    /// The crews on shift.
    pub crews: Vec<(i64, String)>,
    /// The people on shift.
    pub people: Vec<(i64, String)>,
    /// The courts.
    pub courts: Vec<(i64, String)>,
    /// The tools in service.
    pub tools: Vec<(i64, String)>,
    /// The sessions of the date that are not over, with the court's name.
    pub sessions: Vec<(SessionRow, String)>,
    /// The care tasks of a court.
    pub tasks: Vec<(i64, String)>,
}

/// Reads them, in a fixed number of queries.
pub fn choices(office: &Office, permit: &Permit<PlanDay>, date: NaiveDate) -> Result<Choices> {
    let now = Instant::from(office.now().utc());
    office.db.read(|conn| {
        let zone = site_read(conn, permit)?.zone()?;
        let mut courts = court_list(conn, permit, Page::ALL)?.items;
        courts.sort_by_key(|court| (court.position, court.id));
        let courts: Vec<(i64, String)> = courts.into_iter().map(|c| (c.id, c.name)).collect();
        let names: HashMap<i64, &String> = courts.iter().map(|(id, name)| (*id, name)).collect();
        let shifts = shifts_between(conn, permit, date, date)?;
        let on_shift = |crew: i64| shifts.iter().any(|shift| shift.crew_id == crew);
        let mut crews = crew_list(conn, permit, Page::ALL)?.items;
        crews.sort_by_key(|crew| (crew.position, crew.id));
        crews.retain(|crew| on_shift(crew.id));
        let ids: Vec<i64> = shifts.iter().map(|shift| shift.id).collect();
        let people = shift_person_list(conn, permit, &ids)?;
        let classes: HashMap<i64, String> = tool_class_list(conn, permit, Page::ALL)?
            .items
            .into_iter()
            .map(|class| (class.id, class.name))
            .collect();
        let mut tools = tool_list(conn, permit, Page::ALL)?.items;
        tools.retain(|tool| tool.state == ToolState::InService);
        tools.sort_by(|a, b| a.number.cmp(&b.number));
        let from = Instant::from(day_start(zone, date)).max(now);
        let to = date.succ_opt().unwrap_or(date);
        let mut sessions = sessions_between(conn, permit, from, day_start(zone, to).into())?;
        sessions.retain(|session| {
            let is_on = session.over_at.is_none() && session.cancelled_at.is_none();
            is_on && work_date(zone, session.starts_at.utc()) == date
        });
        let mut tasks = care_task_list(conn, permit)?;
        tasks.retain(|task| task.done_at == DoneAt::Court);
        Ok(Choices {
            crews: crews.into_iter().map(|crew| (crew.id, crew.name)).collect(),
            people: people.into_iter().map(|p| (p.person_id, p.name)).collect(),
            tools: tools
                .into_iter()
                .map(|tool| {
                    let class = classes.get(&tool.tool_class_id).cloned();
                    (
                        tool.id,
                        format!("{} {}", tool.number, class.unwrap_or_default()),
                    )
                })
                .collect(),
            sessions: sessions
                .into_iter()
                .map(|session| {
                    let court = names.get(&session.court_id);
                    let court = court.map(|name| (*name).clone()).unwrap_or_default();
                    (session, court)
                })
                .collect(),
            tasks: tasks.into_iter().map(|task| (task.id, task.name)).collect(),
            courts,
        })
    })
}
