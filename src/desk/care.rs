//! The care standard: what a site does to its courts, how pressing each task is, and when each was last done.

mod last;
pub mod standard;
mod take;
mod told;

use serde::{Deserialize, Serialize};
use trade::calendar::work_date;
use trade::care::{Rule, Season, Urgency};
use utoipa::ToSchema;

pub use last::{LastDoneOfBank, PlaceLastDone, TaskLastDone, care_told_all, care_told_read};
pub(super) use last::{TasksOfCourts, tasks_of_courts};
pub use standard::Language;
pub use take::{
    CareStandard, ShippedStandard, StandardBegun, StandardReport, care_standard_begin,
    care_standard_shipped, care_standard_take, care_tasks_need,
};
pub use told::{ToldLast, ToldOne, ToldReport, care_told};

use super::access::{EditCare, Permit, SeeCare};
use super::error::Named;
use super::word_schema::word_or_null;
use super::{Error, FieldFault, Office, Result};
use crate::store::audit::{Change, Deed, audit_edit};
use crate::store::care::{
    self, CareTaskRow, TaskChange, care_task_all, care_task_edit, care_task_page,
};
use crate::store::courts::{Lines, Watering};
use crate::store::sites::site_read;
use crate::store::{self, Page, Paged};
use standard::rule_text;

/// A care task, its texts in one language.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
pub struct CareTaskView {
    /// Id.
    pub id: i64,
    /// The trade's word, or one of the site's own.
    pub code: String,
    /// What it is called.
    pub name: String,
    /// Where it is done: `turnaround`, `court`, `bank`.
    pub done_at: String,
    /// When it falls due; null where the site's word for it is not known.
    #[schema(schema_with = standard::maybe_a_rule)]
    pub rule: Option<Rule>,
    /// How pressing it is once it is due: `before_play`, `today`, `this_week`, `can_wait`.
    pub urgency: String,
    /// Somebody may be hurt where it is left out: leaving it out is never worth the money.
    pub safety: bool,
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
    /// How long the court is shut after it, s.
    pub rest_s: i64,
    /// A product with a label: what was put on is recorded.
    pub chemical: bool,
    /// Its steps, in order.
    pub steps: Vec<String>,
    /// What the order warns of.
    pub cautions: Vec<String>,
    /// The part of the year in which it is done; null for the whole year.
    #[schema(value_type = Option<Object>, example = json!({ "from": "10-01", "until": "12-15" }))]
    pub season: Option<Season>,
    /// Courts of which kinds of watering it is for; empty: of all.
    pub watering: Vec<Watering>,
    /// Courts of which kinds of lines it is for; empty: of all.
    pub lines: Vec<Lines>,
    /// Where this is known from.
    pub source: String,
    /// Whether the site does it; false where it has given it up.
    pub in_use: bool,
    /// Version.
    pub version: i64,
}

impl CareTaskView {
    fn of(row: CareTaskRow, language: &str) -> Self {
        let rule = row.rule();
        let name = row.name_in(language).to_owned();
        let mut detail = row.detail.0;
        let text = detail.texts.remove(language);
        let text = text.or_else(|| detail.texts.remove("en"));
        let (steps, cautions) = text.map(|text| (text.steps, text.cautions)).unzip();
        Self {
            id: row.id,
            code: row.code,
            name,
            done_at: row.done_at.as_str().to_owned(),
            rule,
            urgency: row.urgency.0.as_str().to_owned(),
            safety: row.safety,
            base_s: row.base_s,
            min_hands: row.min_hands,
            skill: row.skill,
            tool_action: row.tool_action,
            ground: row.ground,
            rest_s: detail.rest_s,
            chemical: detail.chemical,
            steps: steps.unwrap_or_default(),
            cautions: cautions.unwrap_or_default(),
            season: detail.season,
            watering: detail.watering,
            lines: detail.lines,
            source: row.source,
            in_use: !row.retired,
            version: row.version,
        }
    }
}

/// The site's care tasks, in a language: those in use, or those that it has given up.
pub fn care_task_list(
    office: &Office,
    permit: &Permit<SeeCare>,
    language: &str,
    in_use: bool,
    page: Page,
) -> Result<Paged<CareTaskView>> {
    let rows = office
        .db
        .read(|conn| care_task_page(conn, permit, !in_use, page))?;
    Ok(rows.map(|row| CareTaskView::of(row, language)))
}

/// The whole care standard of the site in its own order, with what it has given up; named as orders name it.
pub fn care_standard_read(office: &Office, permit: &Permit<SeeCare>) -> Result<Vec<CareTaskView>> {
    let rows = office.db.read(|conn| care_task_all(conn, permit))?;
    let views = rows.into_iter().map(|row| {
        let name = row.name.clone();
        CareTaskView {
            name,
            ..CareTaskView::of(row, Language::En.tag())
        }
    });
    Ok(views.collect())
}

/// One care task, in a language.
pub fn care_task_read(
    office: &Office,
    permit: &Permit<SeeCare>,
    language: &str,
    id: i64,
) -> Result<CareTaskView> {
    let row = office
        .db
        .read(|conn| care::care_task_read(conn, permit, id).named("care task"))?;
    Ok(CareTaskView::of(row, language))
}

/// What may be changed of a care task; what is left out stays.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CareTaskEdit {
    /// How pressing it is once it is due: the program turns it into cents.
    #[schema(schema_with = urgency)]
    pub urgency: Option<Urgency>,
    /// When it falls due.
    #[schema(schema_with = standard::maybe_a_rule)]
    pub rule: Option<Rule>,
    /// One person's work at it, 1 to 259200 s.
    pub base_s: Option<i64>,
    /// How long the court is shut after it, 0 to 2678400 s: for a chemical, what its label says.
    pub rest_s: Option<i64>,
    /// Whether the site does it: false gives it up, true takes it up again.
    pub in_use: Option<bool>,
}

fn urgency() -> utoipa::openapi::Object {
    word_or_null(
        "how pressing it is once it is due: the program turns it into cents",
        Urgency::ALL.iter().map(|word| word.as_str()),
    )
}

/// Changes a care task that still has `version`.
pub fn care_task_change(
    office: &Office,
    permit: &Permit<EditCare>,
    language: &str,
    id: i64,
    version: i64,
    edit: &CareTaskEdit,
) -> Result<CareTaskView> {
    office.db.write(permit, |tx| {
        let mut row = care::care_task_read(tx.conn(), permit, id).named("care task")?;
        let before = CareTaskView::of(row.clone(), language);
        if let Some(base_s) = edit.base_s {
            row.base_s = base_s;
        }
        if let Some(rest_s) = edit.rest_s {
            row.detail.0.rest_s = rest_s;
        }
        let rule = edit.rule.as_ref().map(rule_text).transpose();
        let cadence = rule.map_err(unreadable)?.unwrap_or(row.cadence);
        let faults = edit_faults(edit, row.done_at);
        if !faults.is_empty() {
            return Err(Error::Refused(faults));
        }
        let retired = edit.in_use.map_or(row.retired, |in_use| !in_use);
        let taken_up_on = if row.retired && !retired {
            let zone = site_read(tx.conn(), permit)?.zone()?;
            Some(work_date(zone, tx.now().utc()))
        } else {
            row.taken_up_on
        };
        let change = TaskChange {
            retired,
            taken_up_on,
            cadence,
            base_s: row.base_s,
            urgency: edit.urgency.unwrap_or(row.urgency.0),
            detail: row.detail.0,
        };
        let row = care_task_edit(tx, permit, id, version, &change)?;
        let deed = Deed {
            verb: "edited",
            subject: "care_task",
            id,
            data: serde_json::json!({ "version": row.version }),
        };
        let after = CareTaskView::of(row, language);
        audit_edit(tx, permit, deed, Change::between(&before, &after)?, &[])?;
        Ok(after)
    })
}

fn edit_faults(edit: &CareTaskEdit, done_at: care::DoneAt) -> Vec<FieldFault> {
    let mut faults = Vec::new();
    if edit.base_s.is_some_and(|s| !(1..=259_200).contains(&s)) {
        faults.push(FieldFault::new(
            "/base_s",
            "1 to 259200 seconds of one person's work",
        ));
    }
    if edit.rest_s.is_some_and(|s| !(0..=2_678_400).contains(&s)) {
        faults.push(FieldFault::new("/rest_s", "0 to 2678400 seconds, a month"));
    }
    if edit.rest_s.is_some_and(|s| s > 0) && done_at != care::DoneAt::Court {
        faults.push(FieldFault::new(
            "/rest_s",
            "only work on a court by itself makes the court rest",
        ));
    }
    if let Some(Rule::WhenCondition(conditions)) = &edit.rule
        && conditions.is_empty()
    {
        faults.push(FieldFault::new(
            "/rule/when_condition",
            "name at least one condition",
        ));
    }
    faults
}

/// What is part of the program or was written by it and does not read: the service's own fault.
fn unreadable(why: impl std::fmt::Display) -> Error {
    Error::Failed(store::Error::Unreadable(why.to_string()))
}
