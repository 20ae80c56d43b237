//! A care standard taken: the one that comes with the program, or the site's own.

use std::collections::HashMap;

use serde::{Deserialize, Serialize};
use trade::calendar::work_date;
use utoipa::ToSchema;

use super::standard::{Language, MOST_TASKS, StandardTask, circle, shipped};
use super::unreadable;
use crate::desk::access::{EditCare, Permit, SeeCare};
use crate::desk::day_build::VALVE_WORK;
use crate::desk::once::Once;
use crate::desk::{Error, FieldFault, Office, Result};
use crate::store::audit::{Deed, audit_append};
use crate::store::care::{care_task_list, care_task_put, care_tasks_retire};
use crate::store::sites::site_read;
use crate::store::tools::tool_class_list;
use crate::store::{Page, Scope, Tx};

/// The care standard that comes with the program.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct ShippedStandard {
    /// Its tasks.
    pub tasks: Vec<StandardTask>,
}

/// The care standard that comes with the program, for whoever may see a site's.
pub fn care_standard_shipped(_: &Permit<SeeCare>) -> Result<ShippedStandard> {
    Ok(ShippedStandard {
        tasks: shipped().map_err(unreadable)?,
    })
}

/// A care standard to be taken.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CareStandard {
    /// Its tasks, in the site's order, 1 to 200. Each is read by itself: one that is refused does not keep the others
    /// out.
    #[schema(value_type = Vec<StandardTask>)]
    pub tasks: Vec<serde_json::Value>,
    /// In which language the names are that orders carry: `en`, where it is not told, or `es`.
    #[serde(default)]
    pub language: Language,
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
            let taken = put(tx, permit, &sound, standard.language)?;
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

/// The language in which a site begins its care standard.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct StandardBegun {
    /// In which language the names are that orders carry: `en` or `es`.
    pub language: Language,
}

/// Takes the standard that comes with the program at a site that does no work yet: what a new site begins with, in one
/// call. [`Error::State`] where the site has tasks: its own would be lost.
pub fn care_standard_begin(
    office: &Office,
    permit: &Permit<EditCare>,
    begun: &StandardBegun,
    once: &Once,
) -> Result<StandardReport> {
    let shipped = shipped().map_err(unreadable)?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let known = care_task_list(tx.conn(), permit)?;
            // What valves opened by hand brought along is not a standard of the site's own.
            if !known.iter().all(|row| VALVE_WORK.contains(&row.code.as_str())) {
                return Err(Error::state(
                    "the site has a care standard: change its tasks one by one, or send a whole standard".into(),
                ));
            }
            let tasks: Vec<_> = shipped.into_iter().enumerate().collect();
            let taken = put(tx, permit, &tasks, begun.language)?;
            audit_append(
                tx,
                permit,
                &Deed {
                    verb: "taken",
                    subject: "care_standard",
                    id: permit.site_id(),
                    data: serde_json::json!({ "taken": taken.len(), "shipped": true }),
                },
            )?;
            Ok(StandardReport {
                taken,
                retired: Vec::new(),
                refused: Vec::new(),
            })
        })
    })
}

/// Sees to it that the site's care standard has the shipped tasks with these codes; what the site has of its own stays.
pub fn care_tasks_need(tx: &mut Tx<'_>, scope: &Scope, codes: &[&str]) -> Result<()> {
    let known = care_task_list(tx.conn(), scope)?;
    let lacks = |task: &StandardTask| {
        let is_meant = codes.contains(&task.code.as_str());
        is_meant && known.iter().all(|row| row.code != task.code)
    };
    let last = known.iter().map(|row| row.position).max().unwrap_or(0);
    let last = usize::try_from(last).unwrap_or(0);
    let shipped = shipped().map_err(unreadable)?;
    let lacking: Vec<_> = (last..).zip(shipped.into_iter().filter(lacks)).collect();
    put(tx, scope, &lacking, Language::default())?;
    Ok(())
}

/// Adds or changes these tasks, each at its place; gives their codes.
fn put(
    tx: &mut Tx<'_>,
    scope: &Scope,
    tasks: &[(usize, StandardTask)],
    language: Language,
) -> Result<Vec<String>> {
    let zone = site_read(tx.conn(), scope)?.zone()?;
    let today = work_date(zone, tx.now().utc());
    let mut taken = Vec::new();
    for (place, task) in tasks {
        let position = i64::try_from(*place).unwrap_or(0) + 1;
        let row = task.row(scope.site_id(), position, language);
        care_task_put(tx, scope, &row.map_err(unreadable)?, today)?;
        taken.push(task.code.clone());
    }
    Ok(taken)
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
