//! The care standard: what is done to a court or a bank, how often, and when it was last done.

mod told;

use std::collections::BTreeMap;

use chrono::NaiveDate;
use diesel::prelude::*;
use serde::{Deserialize, Serialize};
use trade::care::{Cadence, Rule, Season, Urgency};
use trade::grooming::Strength;

use super::columns::{Json, Word, json, words};
use super::courts::{Lines, Watering};
use super::db::Conn;
use super::orders::{Direction, OrderState};
use super::schema::{care_tasks, courts, order_steps, work_orders};
use super::{Error, Instant, Page, Paged, Result, Scope, Tx};

pub use told::{NewTold, ToldRow, care_told_add, care_told_newest};

diesel::allow_columns_to_appear_in_same_group_by_clause!(
    order_steps::care_task_id,
    work_orders::court_id,
    work_orders::bank_id,
);

words! {
    /// Where a care task is done.
    DoneAt {
        /// In the turnaround of a court, as one of its steps.
        Turnaround = "turnaround",
        /// On a court, by itself.
        Court = "court",
        /// On a whole bank.
        Bank = "bank",
    }
}

/// One care task as the site has it.
#[derive(Clone, Debug, Queryable, Selectable)]
#[diesel(table_name = care_tasks)]
pub struct CareTaskRow {
    /// Id.
    pub id: i64,
    /// The trade's word, or one of the site's own.
    pub code: String,
    /// What the site calls it.
    pub name: String,
    /// Place in lists.
    pub position: i64,
    /// Where it is done.
    pub done_at: DoneAt,
    /// When it falls due: a word of [`Cadence`], or a [`Rule`] in JSON. See [`CareTaskRow::rule`].
    pub cadence: String,
    /// One person's work at it, s: on one court, or on a whole bank.
    pub base_s: i64,
    /// The fewest people who may do it.
    pub min_hands: i64,
    /// The skill it takes, if any.
    pub skill: Option<String>,
    /// What its tool does, where it takes one.
    pub tool_action: Option<String>,
    /// What ground it needs.
    pub ground: String,
    /// The usual caution's key, where it can hurt someone.
    pub caution: Option<String>,
    /// Where this is known from.
    pub source: String,
    /// How pressing it is once it is due.
    pub urgency: Word<Urgency>,
    /// Somebody may be hurt where it is left out.
    pub safety: bool,
    /// What only some tasks have.
    pub detail: Json<TaskDetail>,
    /// The site has given it up.
    pub retired: bool,
    /// Version, for `If-Match`.
    pub version: i64,
    /// The site's own date on which it was taken up; none where it was there when the site was set up.
    pub taken_up_on: Option<NaiveDate>,
}

impl CareTaskRow {
    /// When it falls due; none where the column holds no rule.
    pub fn rule(&self) -> Option<Rule> {
        match self.cadence.parse::<Cadence>() {
            Ok(cadence) => Some(cadence.into()),
            Err(_) => serde_json::from_str(&self.cadence).ok(),
        }
    }

    /// What it is called in a language; the site's own name where it has none of its own there.
    pub fn name_in(&self, language: &str) -> &str {
        let text = self.detail.0.texts.get(language);
        text.map_or(self.name.as_str(), |text| text.name.as_str())
    }
}

/// What only some tasks have, kept as JSON.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct TaskDetail {
    /// The part of the year in which it is done; the whole year where none is given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub season: Option<Season>,
    /// Courts of which kinds of watering it is for; empty: of all.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub watering: Vec<Watering>,
    /// Courts of which kinds of lines it is for; empty: of all.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub lines: Vec<Lines>,
    /// How strongly its tool works, where that matters.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub strength: Option<Strength>,
    /// Waits inside the work, s: they are as long for many hands as for one.
    #[serde(skip_serializing_if = "is_zero")]
    pub wait_s: i64,
    /// How long the court is shut after it, s.
    #[serde(skip_serializing_if = "is_zero")]
    pub rest_s: i64,
    /// The most wind in which it is done, mm/s.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub max_wind_mmps: Option<i64>,
    /// Hard work: in heat it moves to the cool hours.
    #[serde(skip_serializing_if = "is_no")]
    pub heavy: bool,
    /// A product with a label: what was put on is recorded.
    #[serde(skip_serializing_if = "is_no")]
    pub chemical: bool,
    /// It comes before grooming where both are done in one visit.
    #[serde(skip_serializing_if = "is_no")]
    pub before_grooming: bool,
    /// Codes of the tasks that come before it where they are due the same day.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub comes_after: Vec<String>,
    /// Codes of the tasks that it does as well: where both are due at a place, it alone is asked for.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub stands_for: Vec<String>,
    /// Codes of materials with how much a court takes, in the material's unit.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub materials: Vec<TaskMaterial>,
    /// By language: name, steps and cautions.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub texts: BTreeMap<String, TaskText>,
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde gives a reference")]
const fn is_zero(number: &i64) -> bool {
    *number == 0
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde gives a reference")]
const fn is_no(flag: &bool) -> bool {
    !*flag
}

/// A material that a task takes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TaskMaterial {
    /// The material's code.
    pub code: String,
    /// How much a court takes, in the material's unit.
    pub quantity: i64,
}

/// What a task is called and how it is done, in one language.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TaskText {
    /// Its name.
    pub name: String,
    /// Its steps, in order.
    #[serde(default)]
    pub steps: Vec<String>,
    /// What the order warns of.
    #[serde(default)]
    pub cautions: Vec<String>,
}

/// When a task was last done at a place.
#[derive(Clone, Debug, Queryable)]
pub struct LastDone<T> {
    /// The care task.
    pub care_task_id: i64,
    /// The court, where it was done on one.
    pub court_id: Option<i64>,
    /// The bank, where it was done on one.
    pub bank_id: Option<i64>,
    /// When.
    pub on: Option<T>,
}

/// The site's care standard, in its own order, without what it has given up.
pub fn care_task_list(conn: &mut Conn, scope: &Scope) -> Result<Vec<CareTaskRow>> {
    Ok(care_tasks::table
        .filter(
            care_tasks::site_id
                .eq(scope.site_id())
                .and(care_tasks::retired.eq(false)),
        )
        .order((care_tasks::position, care_tasks::id))
        .select(CareTaskRow::as_select())
        .load(conn)?)
}

/// The states of an order that is still to be done.
const OPEN: [OrderState; 3] = [
    OrderState::Planned,
    OrderState::Issued,
    OrderState::UnderWay,
];

/// When each of these tasks was really last done at each place, by the end of its order: an instant. Orders of `date`
/// and later do not count.
pub fn care_last_done(
    conn: &mut Conn,
    scope: &Scope,
    tasks: &[i64],
    date: NaiveDate,
) -> Result<Vec<LastDone<Instant>>> {
    Ok(order_steps::table
        .inner_join(work_orders::table)
        .filter(
            order_steps::site_id
                .eq(scope.site_id())
                .and(order_steps::care_task_id.eq_any(tasks))
                .and(order_steps::done.eq(true))
                .and(work_orders::work_date.lt(date)),
        )
        .group_by((
            order_steps::care_task_id,
            work_orders::court_id,
            work_orders::bank_id,
        ))
        .select((
            order_steps::care_task_id,
            work_orders::court_id,
            work_orders::bank_id,
            diesel::dsl::max(work_orders::ended_at),
        ))
        .load(conn)?)
}

/// Where these tasks stand in an order still to be done, of `today` or later and before `date`: it is not planned
/// twice, and counts as done on its day.
pub fn care_to_be_done(
    conn: &mut Conn,
    scope: &Scope,
    tasks: &[i64],
    date: NaiveDate,
    today: NaiveDate,
) -> Result<Vec<LastDone<NaiveDate>>> {
    Ok(order_steps::table
        .inner_join(work_orders::table)
        .filter(
            order_steps::site_id
                .eq(scope.site_id())
                .and(order_steps::care_task_id.eq_any(tasks))
                .and(order_steps::done.is_null())
                .and(work_orders::state.eq_any(OPEN))
                .and(work_orders::work_date.ge(today))
                .and(work_orders::work_date.lt(date)),
        )
        .group_by((
            order_steps::care_task_id,
            work_orders::court_id,
            work_orders::bank_id,
        ))
        .select((
            order_steps::care_task_id,
            work_orders::court_id,
            work_orders::bank_id,
            diesel::dsl::max(work_orders::work_date),
        ))
        .load(conn)?)
}

/// Each court's last day before `date` on which it was groomed, with the direction of that day. A
/// grooming still to be done, of `today` or later, counts: the day after it takes the other
/// direction.
pub fn groomed_last(
    conn: &mut Conn,
    scope: &Scope,
    date: NaiveDate,
    today: NaiveDate,
) -> Result<Vec<(i64, NaiveDate, Direction)>> {
    let newest = || {
        work_orders::table
            .filter(
                work_orders::site_id
                    .eq(scope.site_id())
                    .and(work_orders::court_id.eq(courts::id.nullable()))
                    .and(work_orders::direction.is_not_null())
                    .and(work_orders::work_date.lt(date)),
            )
            .filter(
                work_orders::state
                    .eq(OrderState::Finished)
                    .or(work_orders::state
                        .eq_any(OPEN)
                        .and(work_orders::work_date.ge(today))),
            )
            .order((work_orders::work_date.desc(), work_orders::id.desc()))
            .limit(1)
    };
    let rows: Vec<(i64, Option<NaiveDate>, Option<Direction>)> = courts::table
        .filter(courts::site_id.eq(scope.site_id()))
        .order(courts::id)
        .select((
            courts::id,
            newest().select(work_orders::work_date).single_value(),
            newest().select(work_orders::direction).single_value(),
        ))
        .load(conn)?;
    Ok(rows
        .into_iter()
        .filter_map(|(court, date, direction)| Some((court, date?, direction?)))
        .collect())
}

/// All tasks that the site has or has given up, in its own order.
pub fn care_task_all(conn: &mut Conn, scope: &Scope) -> Result<Vec<CareTaskRow>> {
    Ok(care_tasks::table
        .filter(care_tasks::site_id.eq(scope.site_id()))
        .order((care_tasks::position, care_tasks::id))
        .select(CareTaskRow::as_select())
        .load(conn)?)
}

/// The site's care tasks, in order of id: those that it has, or those that it has given up.
pub fn care_task_page(
    conn: &mut Conn,
    scope: &Scope,
    retired: bool,
    page: Page,
) -> Result<Paged<CareTaskRow>> {
    let rows = care_tasks::table
        .filter(
            care_tasks::site_id
                .eq(scope.site_id())
                .and(care_tasks::retired.eq(retired))
                .and(care_tasks::id.gt(page.after)),
        )
        .order(care_tasks::id)
        .limit(page.fetch())
        .select(CareTaskRow::as_select())
        .load(conn)?;
    Ok(page.of(rows, |task: &CareTaskRow| task.id))
}

/// One care task of the site.
pub fn care_task_read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<CareTaskRow> {
    Ok(care_tasks::table
        .filter(
            care_tasks::site_id
                .eq(scope.site_id())
                .and(care_tasks::id.eq(id)),
        )
        .select(CareTaskRow::as_select())
        .first(conn)?)
}

/// What is changed of a care task.
#[derive(Clone, Debug)]
pub struct TaskChange {
    /// When it falls due, as the column keeps it.
    pub cadence: String,
    /// One person's work at it, s.
    pub base_s: i64,
    /// How pressing it is.
    pub urgency: Urgency,
    /// What only some tasks have.
    pub detail: TaskDetail,
    /// The site has given it up.
    pub retired: bool,
    /// Since when it counts where it was never done; see [`CareTaskRow::taken_up_on`].
    pub taken_up_on: Option<NaiveDate>,
}

/// Changes a care task that still has `version`.
pub fn care_task_edit(
    tx: &mut Tx<'_>,
    scope: &Scope,
    id: i64,
    version: i64,
    change: &TaskChange,
) -> Result<CareTaskRow> {
    let this = care_tasks::site_id
        .eq(scope.site_id())
        .and(care_tasks::id.eq(id))
        .and(care_tasks::version.eq(version));
    let rows = diesel::update(care_tasks::table.filter(this))
        .set((
            care_tasks::cadence.eq(&change.cadence),
            care_tasks::base_s.eq(change.base_s),
            care_tasks::urgency.eq(change.urgency.as_str()),
            care_tasks::detail.eq(json(&change.detail)?),
            care_tasks::retired.eq(change.retired),
            care_tasks::taken_up_on.eq(change.taken_up_on),
            care_tasks::version.eq(care_tasks::version + 1),
        ))
        .execute(tx.conn())?;
    if rows == 0 {
        return Err(Error::Stale);
    }
    care_task_read(tx.conn(), scope, id)
}

/// A care task to be added.
#[derive(Clone, Debug, Insertable, AsChangeset)]
#[diesel(table_name = care_tasks)]
#[diesel(treat_none_as_null = true)]
pub struct NewTask {
    /// The site.
    pub site_id: i64,
    /// The trade's word, or one of the site's own.
    pub code: String,
    /// What the site calls it.
    pub name: String,
    /// Place in lists.
    pub position: i64,
    /// Where it is done.
    pub done_at: String,
    /// When it falls due: a word of [`Cadence`], or a [`Rule`] in JSON.
    pub cadence: String,
    /// One person's work at it, s.
    pub base_s: i64,
    /// The fewest people who may do it.
    pub min_hands: i64,
    /// The skill it takes.
    pub skill: Option<String>,
    /// What its tool does, or the code of its class.
    pub tool_action: Option<String>,
    /// What ground it needs.
    pub ground: String,
    /// The usual caution's key.
    pub caution: Option<String>,
    /// Of no use any more: what leaving it out costs follows from its urgency.
    pub skip_cents: i64,
    /// Where this is known from.
    pub source: String,
    /// How pressing it is.
    pub urgency: String,
    /// Somebody may be hurt where it is left out.
    pub safety: bool,
    /// What only some tasks have, as JSON.
    pub detail: String,
}

/// Adds a care task, or changes the one that has its code. One that the site did not have is taken up on `today`.
pub fn care_task_put(
    tx: &mut Tx<'_>,
    scope: &Scope,
    task: &NewTask,
    today: NaiveDate,
) -> Result<()> {
    let this = care_tasks::site_id
        .eq(scope.site_id())
        .and(care_tasks::code.eq(&task.code));
    diesel::update(care_tasks::table.filter(this.and(care_tasks::retired.eq(true))))
        .set(care_tasks::taken_up_on.eq(today))
        .execute(tx.conn())?;
    let rows = diesel::update(care_tasks::table.filter(this))
        .set((
            task,
            care_tasks::retired.eq(false),
            care_tasks::version.eq(care_tasks::version + 1),
        ))
        .execute(tx.conn())?;
    if rows == 0 {
        diesel::insert_into(care_tasks::table)
            .values((task, care_tasks::taken_up_on.eq(today)))
            .execute(tx.conn())?;
    }
    Ok(())
}

/// Gives up every task but these; gives the codes of those that were not given up before.
pub fn care_tasks_retire(tx: &mut Tx<'_>, scope: &Scope, but: &[String]) -> Result<Vec<String>> {
    let others = care_tasks::site_id
        .eq(scope.site_id())
        .and(care_tasks::retired.eq(false))
        .and(care_tasks::code.ne_all(but));
    let codes: Vec<String> = care_tasks::table
        .filter(others)
        .order(care_tasks::position)
        .select(care_tasks::code)
        .load(tx.conn())?;
    let these = care_tasks::site_id
        .eq(scope.site_id())
        .and(care_tasks::code.eq_any(&codes));
    diesel::update(care_tasks::table.filter(these))
        .set((
            care_tasks::retired.eq(true),
            care_tasks::version.eq(care_tasks::version + 1),
        ))
        .execute(tx.conn())?;
    Ok(codes)
}
