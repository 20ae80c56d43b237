//! What is known of the care tasks: their rules, when each was last done where, and what has happened to the courts
//! since. From it follows what is due on a date.

use std::collections::{BTreeMap, HashMap};

use chrono::{NaiveDate, TimeDelta};
use chrono_tz::Tz;
use trade::calendar::{day_start, days_of, work_date};
use trade::care::{CareTask, Due, Record, Rule, due_on};
use trade::grooming::Condition;

use super::hand::{care_key, is_added};
use super::inputs::Inputs;
use super::spread::{Spread, Unknown};
use crate::desk::nets::{Calendar, at_latest, done_by_checks};
use crate::desk::place::Place;
use crate::desk::settings::Settings;
use crate::store::care::{CareTaskRow, DoneAt, care_last_done, care_to_be_done, care_told_newest};
use crate::store::courts::CourtRow;
use crate::store::play::{ConditionRow, sessions_between};
use crate::store::weather::{WeatherKind, weather_between};
use crate::store::{Conn, Result, Scope};

/// How far back play is counted for a task that was not done for longer.
const PLAY_BACK: TimeDelta = TimeDelta::days(92);
/// How far back the days of a recurrence are looked at: a yearly one that was missed still stands.
const RECURRENCE_BACK: TimeDelta = TimeDelta::days(400);

/// What is known of the care tasks.
#[derive(Clone, Debug, Default)]
pub struct CareBook {
    rules: HashMap<i64, Rule>,
    /// By when a task is due at the latest, whatever its own rule says.
    latest: HashMap<i64, Rule>,
    done: HashMap<(i64, Place), NaiveDate>,
    /// Where somebody said that nobody knows when it was last done.
    unknown: Unknown,
    /// Seconds of play by court and day, in order of days.
    played: HashMap<i64, Vec<(NaiveDate, i64)>>,
    /// Rain by day, in order of days, µm.
    rain: Vec<(NaiveDate, i64)>,
    /// How each court was last found, and when.
    found: HashMap<i64, (NaiveDate, Condition)>,
    /// By task, the tasks that it does as well.
    does_too: HashMap<i64, Vec<i64>>,
    /// By task, the days of its recurrence up to the last date looked at, in order.
    instances: HashMap<i64, Vec<NaiveDate>>,
}

/// A task that is due at a place.
#[derive(Clone, Copy, Debug)]
pub struct DueTask<'a> {
    /// The task.
    pub row: &'a CareTaskRow,
    /// Since when.
    pub due: Due,
}

/// Of which dates, and from when on, the book is read.
pub struct Dates {
    /// The site's zone.
    pub zone: Tz,
    /// The first date looked at.
    pub first: NaiveDate,
    /// The last.
    pub last: NaiveDate,
    /// The site's own date now.
    pub today: NaiveDate,
    /// The site's own date on which it was set up.
    pub founded_on: NaiveDate,
}

impl CareBook {
    /// Reads what is known before the first date: in a fixed number of queries.
    pub fn read(
        conn: &mut Conn,
        scope: &Scope,
        tasks: &[CareTaskRow],
        seen: &[ConditionRow],
        settings: &Settings,
        dates: &Dates,
    ) -> Result<Self> {
        let day = |at: crate::store::Instant| work_date(dates.zone, at.utc());
        let ids: Vec<i64> = tasks
            .iter()
            .filter(|task| {
                task.done_at != DoneAt::Turnaround
                    || task.detail.0.before_grooming
                    || task.code == CareTask::Loosen.as_str()
            })
            .map(|task| task.id)
            .collect();
        let mut book = Self {
            rules: tasks
                .iter()
                .filter_map(|task| Some((task.id, task.rule()?)))
                .collect(),
            found: seen
                .iter()
                .map(|row| (row.court_id, (day(row.observed_at), row.condition)))
                .collect(),
            does_too: does_too(tasks),
            latest: tasks
                .iter()
                .filter_map(|task| Some((task.id, at_latest(settings, &task.code)?)))
                .collect(),
            ..Self::default()
        };
        for last in care_last_done(conn, scope, &ids, dates.first)? {
            book.note(
                last.care_task_id,
                last.court_id,
                last.bank_id,
                last.on.map(day),
            );
        }
        for last in care_to_be_done(conn, scope, &ids, dates.first, dates.today)? {
            book.note(last.care_task_id, last.court_id, last.bank_id, last.on);
        }
        let told = care_told_newest(conn, scope)?;
        for one in &told {
            book.note(one.care_task_id, one.court_id, one.bank_id, one.done_on);
        }
        book.unknown = Unknown::of(&told, day);
        let calendar = Calendar {
            zone: dates.zone,
            founded_on: dates.founded_on,
        };
        // Of earlier days only, as with orders: a check of today does not change today's problem.
        for (task, court, on) in done_by_checks(conn, scope, tasks, calendar, dates.first)? {
            book.note(task, Some(court), None, Some(on));
        }
        let done: Vec<(i64, Place, NaiveDate)> = book
            .done
            .iter()
            .map(|((task, at), on)| (*task, *at, *on))
            .collect();
        for (task, at, on) in done {
            book.does_others(task, at, on);
        }
        book.played = book.play(conn, scope, dates)?;
        book.rain = book.rain(conn, scope, dates)?;
        book.instances = book.instances(dates);
        Ok(book)
    }

    /// The days of the tasks' recurrences: from the oldest on which one may still stand unserved. A rule that does not
    /// read is refused where it is written, and has no days here.
    fn instances(&self, dates: &Dates) -> HashMap<i64, Vec<NaiveDate>> {
        let back = dates.first - RECURRENCE_BACK;
        let days = |rule: &Rule| match rule {
            Rule::Recurs { rrule, from } => days_of(rrule, *from, back, dates.last).ok(),
            _ => None,
        };
        let all = self.rules.iter();
        all.filter_map(|(id, rule)| Some((*id, days(rule)?)))
            .collect()
    }

    /// The rain by day: none where no rule asks for it.
    fn rain(&self, conn: &mut Conn, scope: &Scope, dates: &Dates) -> Result<Vec<(NaiveDate, i64)>> {
        let asks = |rule: &Rule| matches!(rule, Rule::AfterRainMm(_) | Rule::DayAfterRainMm(_));
        if !self.rules.values().any(asks) {
            return Ok(Vec::new());
        }
        let from = dates.first - PLAY_BACK;
        rain_by_day(conn, scope, dates.zone, from, dates.first)
    }

    /// A task was done at a place on a date: the newest counts.
    fn note(&mut self, task: i64, court: Option<i64>, bank: Option<i64>, on: Option<NaiveDate>) {
        let at = court.map(Place::Court).or(bank.map(Place::Bank));
        let Some((at, on)) = at.zip(on) else {
            return;
        };
        let known = self.done.entry((task, at)).or_insert(on);
        *known = (*known).max(on);
    }

    /// Takes a task as done at a place on a date: for whoever looks further ahead.
    pub fn take_as_done(&mut self, care_task_id: i64, at: Place, date: NaiveDate) {
        self.done.insert((care_task_id, at), date);
        self.does_others(care_task_id, at, date);
    }

    /// What a task does as well is done with it.
    fn does_others(&mut self, care_task_id: i64, at: Place, on: NaiveDate) {
        for other in self.does_too.get(&care_task_id).into_iter().flatten() {
            let known = self.done.entry((*other, at)).or_insert(on);
            *known = (*known).max(on);
        }
    }

    /// The date on which a task was last done at a place, as far as it is known.
    pub fn last_done(&self, care_task_id: i64, at: Place) -> Option<NaiveDate> {
        self.done.get(&(care_task_id, at)).copied()
    }

    /// The play that the rules ask for: none where no rule counts hours.
    fn play(
        &self,
        conn: &mut Conn,
        scope: &Scope,
        dates: &Dates,
    ) -> Result<HashMap<i64, Vec<(NaiveDate, i64)>>> {
        let counted: Vec<i64> = self
            .rules
            .iter()
            .filter(|(_, rule)| matches!(rule, Rule::AfterPlayHours(_)))
            .map(|(id, _)| *id)
            .collect();
        if counted.is_empty() {
            return Ok(HashMap::new());
        }
        let done = self.done.iter().filter(|((id, _), _)| counted.contains(id));
        let oldest = done.map(|(_, on)| *on).min();
        let back = dates.first - PLAY_BACK;
        let from = oldest
            .unwrap_or(dates.founded_on)
            .min(dates.founded_on)
            .max(back);
        let to = day_start(dates.zone, dates.first);
        let mut played: HashMap<i64, Vec<(NaiveDate, i64)>> = HashMap::new();
        for session in sessions_between(conn, scope, day_start(dates.zone, from).into(), to.into())?
        {
            let (from, until) = (session.starts_at.utc(), session.ends_at.utc().min(to));
            let on = work_date(dates.zone, from);
            let seconds = (until - from).num_seconds().max(0);
            played
                .entry(session.court_id)
                .or_default()
                .push((on, seconds));
        }
        Ok(played)
    }

    /// What is known of a task at a place; `counts_from` is where it counts from when it was never done.
    fn record(&self, task: i64, at: Place, counts_from: NaiveDate) -> Record<'_> {
        let last_done = self.last_done(task, at);
        let since = last_done.unwrap_or(counts_from);
        let played = at.court().and_then(|court| self.played.get(&court));
        Record {
            last_done,
            counts_from: Some(counts_from),
            play_s: played
                .into_iter()
                .flatten()
                .filter(|(day, _)| *day > since)
                .map(|(_, seconds)| *seconds)
                .sum(),
            rain: &self.rain,
            found: at.court().and_then(|court| self.found.get(&court).copied()),
            instances: self.instances.get(&task).map_or(&[], Vec::as_slice),
        }
    }

    /// Whether a task is due at a place.
    fn due(&self, inputs: &Inputs, row: &CareTaskRow, at: Place) -> Due {
        let Some(rule) = self.rules.get(&row.id) else {
            return Due::NotDue;
        };
        let spread = Spread {
            tasks: &inputs.tasks,
            courts: &inputs.courts,
            banks: &inputs.banks,
            founded_on: inputs.founded_on,
            unknown: &self.unknown,
        };
        let by = |rule: &Rule| {
            let record = self.record(row.id, at, spread.counts_from(row, rule, at));
            due_on(rule, row.detail.0.season, &record, inputs.date)
        };
        let latest = self.latest.get(&row.id).map_or(Due::NotDue, by);
        by(rule).max(latest)
    }
}

/// The rain that was read off by day, both dates included, in order of days: µm.
pub fn rain_by_day(
    conn: &mut Conn,
    scope: &Scope,
    zone: Tz,
    first: NaiveDate,
    last: NaiveDate,
) -> Result<Vec<(NaiveDate, i64)>> {
    let (from, to) = (
        day_start(zone, first),
        day_start(zone, last + TimeDelta::days(1)),
    );
    let mut by_day: BTreeMap<NaiveDate, i64> = BTreeMap::new();
    for row in weather_between(conn, scope, from.into(), to.into())? {
        if row.kind == WeatherKind::Observed
            && let Some(rain_um) = row.rain_um
        {
            let day = work_date(zone, row.read_at.utc());
            *by_day.entry(day).or_default() += rain_um;
        }
    }
    Ok(by_day.into_iter().collect())
}

/// By task, the tasks that it does as well.
fn does_too(tasks: &[CareTaskRow]) -> HashMap<i64, Vec<i64>> {
    let others = |row: &CareTaskRow| {
        let codes = &row.detail.0.stands_for;
        let others = tasks.iter().filter(|other| codes.contains(&other.code));
        others.map(|other| other.id).collect()
    };
    let standing = tasks
        .iter()
        .filter(|row| !row.detail.0.stands_for.is_empty());
    standing.map(|row| (row.id, others(row))).collect()
}

/// The tasks due on a court by themselves, in the site's own order.
pub fn due_on_court<'a>(inputs: &'a Inputs, court: &CourtRow) -> Vec<DueTask<'a>> {
    let mut due = due_at(inputs, DoneAt::Court, Place::Court(court.id), |row| {
        applies(row, court)
    });
    let is_due: Vec<i64> = due.iter().map(|task| task.row.id).collect();
    let added = inputs.tasks.iter().filter(|row| {
        row.done_at == DoneAt::Court
            && !is_due.contains(&row.id)
            && is_added(inputs, &care_key(row.id, court.id))
    });
    due.extend(added.map(|row| DueTask { row, due: Due::Due }));
    due
}

/// The tasks due on a bank, in the site's own order.
pub fn due_on_bank(inputs: &Inputs, bank: i64) -> Vec<DueTask<'_>> {
    due_at(inputs, DoneAt::Bank, Place::Bank(bank), |row| {
        let mut courts = inputs.courts.iter().filter(|court| court.bank_id == bank);
        courts.any(|court| applies(row, court))
    })
}

/// Whether a task is for a court with its kind of watering and of lines.
pub fn applies(row: &CareTaskRow, court: &CourtRow) -> bool {
    let detail = &row.detail.0;
    (detail.watering.is_empty() || detail.watering.contains(&court.watering))
        && (detail.lines.is_empty() || detail.lines.contains(&court.lines))
}

fn due_at(
    inputs: &Inputs,
    done_at: DoneAt,
    at: Place,
    applies: impl Fn(&CareTaskRow) -> bool,
) -> Vec<DueTask<'_>> {
    let tasks = inputs.tasks.iter();
    let due: Vec<DueTask<'_>> = tasks
        .filter(|row| row.done_at == done_at && applies(row))
        .filter_map(|row| match inputs.care.due(inputs, row, at) {
            Due::NotDue => None,
            due => Some(DueTask { row, due }),
        })
        .collect();
    let mut asked = Vec::new();
    for (nth, task) in due.iter().enumerate() {
        let mut others = asked.iter().chain(due.iter().skip(nth + 1));
        let is_done_with = others.any(|other: &DueTask<'_>| {
            let codes = &other.row.detail.0.stands_for;
            codes.contains(&task.row.code)
        });
        if !is_done_with {
            asked.push(*task);
        }
    }
    asked
}
