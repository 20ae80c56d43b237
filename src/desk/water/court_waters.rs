//! What is a court's own of its water: how long it drains, and the level it is kept at from below.

use std::collections::HashMap;

use chrono::{NaiveDate, TimeDelta};
use serde::{Deserialize, Serialize};
use trade::calendar::work_date;
use trade::care::{Due, Record, Rule, due_on};
use trade::units::Millimetres;
use trade::watering::{LevelRule, Step, level_due, level_step};
use utoipa::ToSchema;

use crate::desk::access::{EditWater, Permit, SeeWater, TellWater};
use crate::desk::day_build::rain_by_day;
use crate::desk::error::Named;
use crate::desk::once::Once;
use crate::desk::{Error, Office, Result};
use crate::store::audit::{Change, Deed, audit_append_about, audit_edit_about};
use crate::store::care::{CareTaskRow, care_task_list};
use crate::store::courts::{Watering, court_list, court_read};
use crate::store::sites::site_read;
use crate::store::water::{self, CourtWaterRow, LevelRow, NewLevel};
use crate::store::{self, Conn, Page, Paged, Scope};

/// The longest a court may drain, s.
const MOST_DRAIN: i64 = 172_800;
/// The look at the level that rain asks for, in the care standard.
const AFTER_RAIN: &str = "water_level_after_rain";
/// How far back rain is looked at: by then the weekly look has come.
const RAIN_BACK: TimeDelta = TimeDelta::days(14);
/// The highest level, mm.
const MOST_LEVEL: i64 = 2_000;

/// What is a court's own of its water.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
#[schema(as = CourtWater)]
pub struct CourtWaterView {
    /// The court.
    pub court_id: i64,
    /// How long it drains after water before it is played on, s; null where the site's usual holds.
    pub drain_s: Option<i64>,
    /// The level it is kept at from below, mm; null where none is set.
    pub level_target_mm: Option<i64>,
    /// Version, for `If-Match`: 0 where nothing was set yet.
    pub version: i64,
}

/// The same as it is told.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CourtWaterEdit {
    /// How long it drains, s; null for the site's usual.
    #[schema(minimum = 0, maximum = 172_800)]
    pub drain_s: Option<i64>,
    /// The level it is kept at from below, mm; only of a court that is watered from below.
    #[schema(minimum = 0, maximum = 2_000)]
    pub level_target_mm: Option<i64>,
}

fn view(conn: &mut Conn, scope: &Scope, court: i64) -> store::Result<CourtWaterView> {
    let all = water::court_water_list(conn, scope)?;
    let row = all.into_iter().find(|row| row.court_id == court);
    Ok(row.map_or(
        CourtWaterView {
            court_id: court,
            drain_s: None,
            level_target_mm: None,
            version: 0,
        },
        |row| CourtWaterView {
            court_id: court,
            drain_s: row.drain_s,
            level_target_mm: row.level_target_mm,
            version: row.version,
        },
    ))
}

/// What is a court's own.
pub fn court_water_read(
    office: &Office,
    permit: &Permit<SeeWater>,
    court: i64,
) -> Result<CourtWaterView> {
    office.db.read(|conn| {
        court_read(conn, permit, court).named("court")?;
        Ok(view(conn, permit, court)?)
    })
}

/// Sets what is a court's own, where `version` is still its.
pub fn court_water_edit(
    office: &Office,
    permit: &Permit<EditWater>,
    court: i64,
    version: i64,
    edit: &CourtWaterEdit,
) -> Result<CourtWaterView> {
    office.db.write(permit, |tx| {
        let row = court_read(tx.conn(), permit, court).named("court")?;
        if edit.drain_s.is_some_and(|s| !(0..=MOST_DRAIN).contains(&s)) {
            let mend = "give 0 to 172,800 seconds, or null for the site's usual";
            return Err(Error::refused("/drain_s", mend));
        }
        if let Some(level) = edit.level_target_mm {
            if row.watering != Watering::Subsurface {
                let mend = "only a court that is watered from below has a level: leave it out";
                return Err(Error::refused("/level_target_mm", mend));
            }
            in_the_box("/level_target_mm", level)?;
        }
        let before = view(tx.conn(), permit, court)?;
        let row = CourtWaterRow {
            court_id: court,
            drain_s: edit.drain_s,
            level_target_mm: edit.level_target_mm,
            version,
        };
        water::court_water_put(tx.conn(), permit, version, &row)?;
        let deed = Deed::plain("edited", "court_water", court);
        let after = view(tx.conn(), permit, court)?;
        let change = Change::between(&before, &after)?;
        audit_edit_about(tx, permit, deed, change, &[("court", court)])?;
        Ok(after)
    })
}

fn in_the_box(field: &'static str, level: i64) -> Result<()> {
    if (0..=MOST_LEVEL).contains(&level) {
        return Ok(());
    }
    Err(Error::refused(field, "give a level of 0 to 2,000 mm"))
}

/// A level as it is told.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LevelAsk {
    /// The court.
    pub court_id: i64,
    /// What was read, mm.
    #[schema(minimum = 0, maximum = 2_000)]
    pub level_mm: i64,
    /// By how much it was changed then, mm: raised above nothing, lowered below.
    #[serde(default)]
    #[schema(minimum = -200, maximum = 200)]
    pub changed_mm: i64,
    /// In your own words, at most 500 characters.
    pub note: Option<String>,
}

/// A level that was read, and what to do about it.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
pub struct LevelView {
    /// Id of the reading.
    pub id: i64,
    /// The court.
    pub court_id: i64,
    /// On which of the site's dates.
    pub read_on: NaiveDate,
    /// What was read, mm.
    pub level_mm: i64,
    /// By how much it was changed then, mm.
    pub changed_mm: i64,
    /// What to do.
    pub step: StepView,
}

/// What to do about a level: a small step, then a day's wait.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[schema(as = LevelStep)]
pub struct StepView {
    /// `keep`, `wait`, `raise`, `lower`, or `no_target`.
    pub step: String,
    /// By how much, mm.
    pub by_mm: Option<i64>,
    /// Until when to wait.
    pub until: Option<NaiveDate>,
}

impl StepView {
    fn of(step: Option<Step>) -> Self {
        let (word, by_mm, until) = match step {
            None => ("no_target", None, None),
            Some(Step::Keep) => ("keep", None, None),
            Some(Step::Wait { until }) => ("wait", None, Some(until)),
            Some(Step::Raise { by }) => ("raise", Some(by.0), None),
            Some(Step::Lower { by }) => ("lower", Some(by.0), None),
        };
        Self {
            step: word.to_owned(),
            by_mm,
            until,
        }
    }
}

/// The site's level readings, of one court or of all.
pub fn level_list(
    office: &Office,
    permit: &Permit<SeeWater>,
    court: Option<i64>,
    page: Page,
) -> Result<Paged<LevelRow>> {
    Ok(office
        .db
        .read(|conn| water::level_list(conn, permit, court, page))?)
}

/// Keeps a level that was read today, and says what to do about it.
pub fn level_add(
    office: &Office,
    permit: &Permit<TellWater>,
    ask: &LevelAsk,
    once: &Once,
) -> Result<LevelView> {
    in_the_box("/level_mm", ask.level_mm)?;
    if !(-200..=200).contains(&ask.changed_mm) {
        return Err(Error::refused(
            "/changed_mm",
            "give a change of -200 to 200 mm",
        ));
    }
    if ask
        .note
        .as_ref()
        .is_some_and(|note| note.chars().count() > 500)
    {
        return Err(Error::refused("/note", "give at most 500 characters"));
    }
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let courts = court_list(tx.conn(), permit, Page::ALL)?.items;
            let court = courts.iter().find(|court| court.id == ask.court_id);
            if court.is_none_or(|court| court.watering != Watering::Subsurface) {
                let mend = "give a court of the site that is watered from below";
                return Err(Error::refused("/court_id", mend));
            }
            let user_id = permit
                .user_id()
                .ok_or(Error::NotSignedIn("a reading needs a signed-in user"))?;
            let today = today(tx.conn(), permit, office)?;
            let before = newest(tx.conn(), permit)?.remove(&ask.court_id);
            let new = NewLevel {
                court_id: ask.court_id,
                read_on: today,
                level_mm: ask.level_mm,
                changed_mm: ask.changed_mm,
                note: ask.note.clone(),
            };
            let id = water::level_add(tx, permit, user_id, &new)?;
            let deed = Deed {
                verb: "read",
                subject: "level",
                id,
                data: serde_json::json!({ "court": ask.court_id, "level_mm": ask.level_mm }),
            };
            audit_append_about(tx, permit, &deed, &[("court", ask.court_id)])?;
            let target = view(tx.conn(), permit, ask.court_id)?.level_target_mm;
            let changed = if ask.changed_mm == 0 {
                before.and_then(|before| before.changed_on)
            } else {
                Some(today)
            };
            Ok(LevelView {
                id,
                court_id: ask.court_id,
                read_on: today,
                level_mm: ask.level_mm,
                changed_mm: ask.changed_mm,
                step: step(target, ask.level_mm, today, changed),
            })
        })
    })
}

fn step(target: Option<i64>, level: i64, on: NaiveDate, changed: Option<NaiveDate>) -> StepView {
    StepView::of(target.map(|target| {
        let rule = LevelRule::default();
        level_step(Millimetres(target), Millimetres(level), on, changed, &rule)
    }))
}

fn today(conn: &mut Conn, scope: &Scope, office: &Office) -> Result<NaiveDate> {
    let zone = site_read(conn, scope)?.zone()?;
    Ok(work_date(zone, office.clock.now()))
}

/// A court's newest reading, and when its level was last changed.
struct Newest {
    read_on: NaiveDate,
    level_mm: i64,
    changed_on: Option<NaiveDate>,
}

fn newest(conn: &mut Conn, scope: &Scope) -> store::Result<HashMap<i64, Newest>> {
    let mut newest: HashMap<i64, Newest> = HashMap::new();
    for row in water::level_list(conn, scope, None, Page::ALL)?.items {
        let changed_before = newest.get(&row.court_id).and_then(|one| one.changed_on);
        let changed_on = if row.changed_mm == 0 {
            changed_before
        } else {
            Some(row.read_on)
        };
        newest.insert(
            row.court_id,
            Newest {
                read_on: row.read_on,
                level_mm: row.level_mm,
                changed_on,
            },
        );
    }
    Ok(newest)
}

/// A court that is watered from below, on a page.
#[derive(Clone, Debug)]
pub struct LevelToday {
    /// Its name.
    pub court: String,
    /// The level it is kept at, mm.
    pub target_mm: Option<i64>,
    /// The newest reading: when, and mm.
    pub reading: Option<(NaiveDate, i64)>,
    /// What to do about it.
    pub step: Option<StepView>,
    /// Whether it is to be read today.
    pub due: bool,
}

/// The levels of the courts that are watered from below, as they stand on a date.
pub fn levels_today(
    office: &Office,
    permit: &Permit<SeeWater>,
    on: NaiveDate,
) -> Result<Vec<LevelToday>> {
    office.db.read(|conn| {
        let mut newest = newest(conn, permit)?;
        let targets: HashMap<i64, i64> = water::court_water_list(conn, permit)?
            .into_iter()
            .filter_map(|row| Some((row.court_id, row.level_target_mm?)))
            .collect();
        let mut courts = court_list(conn, permit, Page::ALL)?.items;
        courts.retain(|court| court.watering == Watering::Subsurface);
        if courts.is_empty() {
            return Ok(Vec::new());
        }
        courts.sort_by_key(|court| (court.position, court.id));
        let rain = Rained::read(conn, permit, on)?;
        let levels = courts.into_iter().map(|court| {
            let last = newest.remove(&court.id);
            let target_mm = targets.get(&court.id).copied();
            let last = last.as_ref();
            LevelToday {
                court: court.name,
                target_mm,
                reading: last.map(|last| (last.read_on, last.level_mm)),
                step: last.map(|last| step(target_mm, last.level_mm, on, last.changed_on)),
                due: level_due(
                    last.map(|last| last.read_on),
                    None,
                    last.and_then(|last| last.changed_on),
                    on,
                    &LevelRule::default(),
                ) || rain.asks_since(last.map(|last| last.read_on), on),
            }
        });
        Ok(levels.collect())
    })
}

/// The rain of the last weeks, beside the rule of the site's care standard that says after how much of it a level is
/// looked at.
struct Rained {
    rule: Option<Rule>,
    by_day: Vec<(NaiveDate, i64)>,
}

impl Rained {
    fn read(conn: &mut Conn, scope: &Scope, on: NaiveDate) -> store::Result<Self> {
        let tasks = care_task_list(conn, scope)?;
        let task = tasks.iter().find(|task| task.code == AFTER_RAIN);
        let zone = site_read(conn, scope)?.zone()?;
        Ok(Self {
            rule: task.and_then(CareTaskRow::rule),
            by_day: rain_by_day(conn, scope, zone, on - RAIN_BACK, on)?,
        })
    }

    /// Whether rain since a level was read asks for another look.
    fn asks_since(&self, last_done: Option<NaiveDate>, on: NaiveDate) -> bool {
        let record = Record {
            last_done,
            rain: &self.by_day,
            ..Record::default()
        };
        let rule = self.rule.as_ref();
        rule.is_some_and(|rule| due_on(rule, None, &record, on) != Due::NotDue)
    }
}
