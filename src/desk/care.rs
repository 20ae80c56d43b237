//! The care standard: what a site does to its courts, how pressing each task is, and when each was last done.

pub mod standard;
mod told;

use std::collections::HashMap;

use serde::{Deserialize, Serialize};
use trade::care::{Rule, Urgency};
use utoipa::ToSchema;

pub use told::{ToldLast, ToldReport, care_told};

use super::access::{EditCare, Permit, SeeCare};
use super::error::Named;
use super::once::Once;
use super::{Error, FieldFault, Office, Result};
use crate::store::audit::{Deed, audit_append};
use crate::store::care::{
    self, CareTaskRow, TaskChange, care_task_edit, care_task_page, care_task_put, care_tasks_retire,
};
use crate::store::tools::tool_class_list;
use crate::store::{self, Page, Paged};
use standard::{MOST_TASKS, StandardTask, circle, rule_text, shipped};

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
    /// Where this is known from.
    pub source: String,
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
            source: row.source,
            version: row.version,
        }
    }
}

/// The site's care tasks, in a language.
pub fn care_task_list(
    office: &Office,
    permit: &Permit<SeeCare>,
    language: &str,
    page: Page,
) -> Result<Paged<CareTaskView>> {
    let rows = office.db.read(|conn| care_task_page(conn, permit, page))?;
    Ok(rows.map(|row| CareTaskView::of(row, language)))
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
    #[schema(value_type = Option<String>, example = "today")]
    pub urgency: Option<Urgency>,
    /// When it falls due.
    #[schema(schema_with = standard::maybe_a_rule)]
    pub rule: Option<Rule>,
    /// One person's work at it, 1 to 259200 s.
    pub base_s: Option<i64>,
    /// How long the court is shut after it, 0 to 2678400 s: for a chemical, what its label says.
    pub rest_s: Option<i64>,
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
        let change = TaskChange {
            cadence,
            base_s: row.base_s,
            urgency: edit.urgency.unwrap_or(row.urgency.0),
            detail: row.detail.0,
        };
        let row = care_task_edit(tx, permit, id, version, &change)?;
        audit_append(
            tx,
            permit,
            &Deed {
                verb: "edited",
                subject: "care_task",
                id,
                data: serde_json::json!({ "version": row.version }),
            },
        )?;
        Ok(CareTaskView::of(row, language))
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

/// The care standard that comes with the program.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct ShippedStandard {
    /// Its tasks.
    pub tasks: Vec<StandardTask>,
}

/// The care standard that comes with the program, for whoever may see a site's.
pub fn care_standard_shipped(_: &Permit<SeeCare>) -> Result<ShippedStandard> {
    let tasks =
        shipped().map_err(|why| Error::Failed(store::Error::Unreadable(why.to_string())))?;
    Ok(ShippedStandard { tasks })
}

/// A care standard to be taken.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CareStandard {
    /// Its tasks, in the site's order, 1 to 200. Each is read by itself: one that is refused does not keep the others
    /// out.
    #[schema(value_type = Vec<StandardTask>)]
    pub tasks: Vec<serde_json::Value>,
}

/// What became of a care standard.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
pub struct StandardReport {
    /// Codes of the tasks that were taken.
    pub taken: Vec<String>,
    /// Codes of the tasks that the site has given up: none while a task is refused.
    pub retired: Vec<String>,
    /// What was refused, and why.
    pub refused: Vec<RefusedTask>,
}

/// A task that was refused.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
pub struct RefusedTask {
    /// Its place in the list, from 0.
    pub task: usize,
    /// Its code, where it could be read.
    pub code: Option<String>,
    /// What is wrong, with the pointer into the body.
    pub faults: Vec<Fault>,
}

/// One thing that is wrong, and the mend.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[schema(as = CareFault)]
pub struct Fault {
    /// The pointer into the body.
    pub field: String,
    /// What is wrong and how to mend it.
    pub detail: String,
}

/// Takes a care standard whole: what it names is added or changed, what it does not name is given up. What cannot
/// stand is refused with the reason, and the rest taken.
pub fn care_standard_take(
    office: &Office,
    permit: &Permit<EditCare>,
    standard: &CareStandard,
    once: &Once,
) -> Result<StandardReport> {
    if !(1..=MOST_TASKS).contains(&standard.tasks.len()) {
        return Err(Error::refused(
            "/tasks",
            format!("a care standard has 1 to {MOST_TASKS} tasks"),
        ));
    }
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let classes = tool_class_list(tx.conn(), permit, Page::ALL)?.items;
            let classes: Vec<String> = classes.into_iter().map(|class| class.code).collect();
            let (sound, refused) = sift(&standard.tasks, &classes);
            let mut taken = Vec::new();
            for (place, task) in &sound {
                let position = i64::try_from(*place).unwrap_or(0) + 1;
                let row = task.row(permit.site_id(), position).map_err(unreadable)?;
                care_task_put(tx, permit, &row)?;
                taken.push(task.code.clone());
            }
            let retired = if refused.is_empty() {
                care_tasks_retire(tx, permit, &taken)?
            } else {
                Vec::new()
            };
            audit_append(
                tx,
                permit,
                &Deed {
                    verb: "taken",
                    subject: "care_standard",
                    id: permit.site_id(),
                    data: serde_json::json!({
                        "taken": taken.len(),
                        "retired": retired.len(),
                        "refused": refused.len(),
                    }),
                },
            )?;
            Ok(StandardReport {
                taken,
                retired,
                refused,
            })
        })
    })
}

/// The tasks that can stand, each with its place in the list; and those that cannot.
fn sift(
    tasks: &[serde_json::Value],
    classes: &[String],
) -> (Vec<(usize, StandardTask)>, Vec<RefusedTask>) {
    let mut faults: Vec<Vec<FieldFault>> = vec![Vec::new(); tasks.len()];
    let mut read: Vec<Option<StandardTask>> = Vec::new();
    let mut seen: HashMap<String, usize> = HashMap::new();
    for (place, value) in tasks.iter().enumerate() {
        match serde_path_to_error::deserialize::<_, StandardTask>(value) {
            Ok(task) => {
                faults[place].extend(task.faults(classes));
                if let Some(first) = seen.insert(task.code.clone(), place) {
                    let detail = format!("the task {first} of the list has this code already");
                    faults[place].push(FieldFault::new("/code", detail));
                    seen.insert(task.code.clone(), first);
                }
                read.push(Some(task));
            }
            Err(why) => {
                let path = why.path().to_string().replace('.', "/");
                let field = if path == "/" {
                    String::new()
                } else {
                    format!("/{path}")
                };
                faults[place].push(FieldFault::new(field, why.inner().to_string()));
                read.push(None);
            }
        }
    }
    let all: Vec<StandardTask> = read.iter().flatten().cloned().collect();
    let on_circle = circle(&all);
    for (task, faults) in read.iter().zip(&mut faults) {
        let Some(task) = task else { continue };
        if on_circle.contains(&task.code) {
            let names: Vec<&str> = on_circle.iter().map(String::as_str).collect();
            let detail = format!("each of these waits for another: {}", names.join(", "));
            faults.push(FieldFault::new("/comes_after", detail));
        }
        for (nth, before) in task.comes_after.iter().enumerate() {
            if !all.iter().any(|other| other.code == *before) {
                let detail = format!("the standard has no task `{before}`");
                faults.push(FieldFault::new(format!("/comes_after/{nth}"), detail));
            }
        }
    }
    let (mut sound, mut refused) = (Vec::new(), Vec::new());
    for ((place, task), faults) in read.into_iter().enumerate().zip(faults) {
        match task {
            Some(task) if faults.is_empty() => sound.push((place, task)),
            task => refused.push(RefusedTask {
                task: place,
                code: task.map(|task| task.code),
                faults: faults
                    .into_iter()
                    .map(|fault| Fault {
                        field: format!("/tasks/{place}{}", fault.field),
                        detail: fault.detail,
                    })
                    .collect(),
            }),
        }
    }
    (sound, refused)
}

#[expect(
    clippy::needless_pass_by_value,
    reason = "map_err gives the error away"
)]
fn unreadable(why: serde_json::Error) -> Error {
    Error::Failed(store::Error::Unreadable(why.to_string()))
}
