//! Defects: something seen on a court that needs work of its own. Each gets an order that mends it, which the manager hands
//! to a crew or withdraws.

use chrono::TimeDelta;
use serde::{Deserialize, Serialize};
use serde_json::json;
use trade::calendar::work_date;
use trade::care::{DefectKind, mended_by};
use trade::court::lies_on;
use trade::units::Millimetres;
use utoipa::ToSchema;

use super::access::{IssueDay, Permit, SeeSite, TellDefect};
use super::error::{FieldFault, Named, is_missing};
use super::happened::time_fault;
use super::once::Once;
use super::orders::no_plan;
use super::stops::actor;
use super::word_schema::word;
use super::{Error, Office, Result};
use crate::store::audit::{Deed, audit_append_about};
use crate::store::care::care_task_list;
use crate::store::courts::{CourtRow, court_read};
use crate::store::crews::person_read;
use crate::store::day_plans::{plan_in_force, rounds_of};
use crate::store::defects::{self, DefectFilter, DefectRow, NewDefect, defect_mend_by};
use crate::store::orders::{
    MEND, NewOrder, OrderKind, OrderState, StepRow, last_position, order_add, order_read,
    order_step_add,
};
use crate::store::sites::site_read;
use crate::store::{Conn, Instant, Page, Paged, Scope, Tx};

/// What is told later than this is a slip of the pen.
const LATEST: TimeDelta = TimeDelta::days(60);
const LONGEST_NOTE: usize = 2_000;

/// Something was seen on a court.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DefectTold {
    /// What is wrong.
    #[schema(schema_with = kinds)]
    pub kind: DefectKind,
    /// When it was seen; now, where it is not told.
    pub happened_at: Option<Instant>,
    /// Where, across the court from its centre, mm; with `y_mm`, or neither.
    pub x_mm: Option<i64>,
    /// Where, along the court from its centre, mm.
    pub y_mm: Option<i64>,
    /// Anything else, at most 2,000 characters.
    pub note: Option<String>,
    /// The order during which it was seen.
    pub order_id: Option<i64>,
    /// Who saw it.
    pub person_id: Option<i64>,
}

fn kinds() -> utoipa::openapi::Object {
    word(
        "what is wrong with the court",
        DefectKind::ALL.iter().map(|kind| kind.as_str()),
    )
}

/// The site's defects that pass the filter.
pub fn defect_list(
    office: &Office,
    permit: &Permit<SeeSite>,
    filter: DefectFilter,
    page: Page,
) -> Result<Paged<DefectRow>> {
    Ok(office
        .db
        .read(|conn| defects::defect_list(conn, permit, filter, page))?)
}

/// One defect.
pub fn defect_read(office: &Office, permit: &Permit<SeeSite>, id: i64) -> Result<DefectRow> {
    office
        .db
        .read(|conn| defects::defect_read(conn, permit, id).named("defect"))
}

/// Keeps what was seen on a court, and gives the manager an order that mends it, where the day has a plan. Sent again under
/// the same key, it gives the first answer.
pub fn defect_add(
    office: &Office,
    permit: &Permit<TellDefect>,
    court_id: i64,
    client_key: String,
    told: &DefectTold,
) -> Result<DefectRow> {
    let once = Once::new(client_key, format!("defects of court {court_id}"), told)?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let court = court_read(tx.conn(), permit, court_id).named("court")?;
            let note = told.note.as_deref().map(str::trim);
            let note = note.filter(|note| !note.is_empty());
            let seen_at = told.happened_at.unwrap_or_else(|| tx.now());
            check(tx, permit, &court, told, note, seen_at)?;
            let new = NewDefect {
                court_id,
                order_id: told.order_id,
                kind: told.kind,
                place: told.x_mm.zip(told.y_mm),
                note,
                seen_at,
                person_id: told.person_id,
                user_id: actor(permit)?,
                client_key: &once.client_key,
            };
            let id = keep(tx, permit, &new)?;
            Ok(defects::defect_read(tx.conn(), permit, id)?)
        })
    })
}

/// Keeps a defect, with the order that mends it where the day has a plan; gives its id.
pub(super) fn keep(tx: &mut Tx<'_>, scope: &Scope, new: &NewDefect<'_>) -> Result<i64> {
    let id = defects::defect_add(tx, scope, new)?;
    let defect = defects::defect_read(tx.conn(), scope, id)?;
    let order = plan_mending(tx, scope, &defect)?;
    let deed = Deed {
        verb: "seen",
        subject: "defect",
        id,
        data: json!({ "kind": new.kind, "seen_at": new.seen_at, "mend_order": order }),
    };
    let person = new.person_id.map(|person| ("person", person));
    let seen_in = new.order_id.map(|order| ("work_order", order));
    let about: Vec<_> = [("court", new.court_id)]
        .into_iter()
        .chain(person)
        .chain(seen_in)
        .collect();
    audit_append_about(tx, scope, &deed, &about)?;
    Ok(id)
}

/// Makes an order that mends a defect which has none, on today's plan.
pub fn defect_mend(
    office: &Office,
    permit: &Permit<IssueDay>,
    id: i64,
    client_key: String,
) -> Result<DefectRow> {
    let once = Once::new(client_key, format!("mend defect {id}"), &())?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let defect = defects::defect_read(tx.conn(), permit, id).named("defect")?;
            if let Some(at) = defect.mended_at {
                let detail = format!("this defect was mended at {at}");
                return Err(Error::state_of("defect_mended", detail));
            }
            let open = [
                OrderState::Planned,
                OrderState::Issued,
                OrderState::UnderWay,
            ];
            if defect.mend_state.is_some_and(|state| open.contains(&state)) {
                let detail =
                    "this defect has an order that mends it: hand that out, or withdraw it";
                return Err(Error::state_of("defect_has_order", detail));
            }
            let Some(order) = plan_mending(tx, permit, &defect)? else {
                let now = tx.now();
                return Err(no_plan(today(tx.conn(), permit, now)?));
            };
            let deed = Deed {
                verb: "added",
                subject: "work_order",
                id: order,
                data: json!({ "mends": id }),
            };
            audit_append_about(
                tx,
                permit,
                &deed,
                &[("court", defect.court_id), ("defect", id)],
            )?;
            Ok(defects::defect_read(tx.conn(), permit, id)?)
        })
    })
}

/// Everything that is wrong with what was told.
fn check(
    tx: &mut Tx<'_>,
    scope: &Scope,
    court: &CourtRow,
    told: &DefectTold,
    note: Option<&str>,
    seen_at: Instant,
) -> Result<()> {
    let latest = (LATEST, "give a time of the last 60 days");
    let odd = time_fault(tx.now(), seen_at, "/happened_at", latest);
    let mut faults: Vec<FieldFault> = odd.into_iter().collect();
    match (told.x_mm, told.y_mm) {
        (Some(x), Some(y)) => {
            let surface = (Millimetres(court.length_mm), Millimetres(court.width_mm));
            if !lies_on(surface, (Millimetres(x), Millimetres(y))) {
                let (width, length) = (court.width_mm / 2, court.length_mm / 2);
                let mend = format!(
                    "this is not on the court: across its centre it reaches {width} mm, along it {length} mm"
                );
                let values = [("x_mm", json!(width)), ("y_mm", json!(length))];
                faults.push(FieldFault::new("/x_mm", mend).coded(("off_the_court", values)));
            }
        }
        (None, None) => {}
        (Some(_), None) => faults.push(half_a_place("/y_mm")),
        (None, Some(_)) => faults.push(half_a_place("/x_mm")),
    }
    if note.is_some_and(|note| note.chars().count() > LONGEST_NOTE) {
        let mend = format!("say it in at most {LONGEST_NOTE} characters");
        let code = ("too_long", [("most", json!(LONGEST_NOTE))]);
        faults.push(FieldFault::new("/note", mend).coded(code));
    }
    if let Some(order) = told.order_id
        && is_missing(order_read(tx.conn(), scope, order))?
    {
        let fault = FieldFault::new("/order_id", "this site has no work order with this id");
        faults.push(fault.coded("order_unknown"));
    }
    if let Some(person) = told.person_id
        && is_missing(person_read(tx.conn(), scope, person))?
    {
        let fault = FieldFault::new("/person_id", "nobody of this site has this id");
        faults.push(fault.coded("person_unknown"));
    }
    if faults.is_empty() {
        Ok(())
    } else {
        Err(Error::Refused(faults))
    }
}

fn half_a_place(missing: &str) -> FieldFault {
    let mend = "give both x_mm and y_mm, or neither";
    FieldFault::new(missing, mend).coded("half_a_place")
}

fn today(conn: &mut Conn, scope: &Scope, now: Instant) -> Result<chrono::NaiveDate> {
    Ok(work_date(site_read(conn, scope)?.zone()?, now.utc()))
}

/// Gives the manager an order that mends a defect, not handed out, on today's plan; none where the day has no plan with a
/// round. Until it is handed out it stands in the round of the crew that saw the defect, or in the first.
fn plan_mending(tx: &mut Tx<'_>, scope: &Scope, defect: &DefectRow) -> Result<Option<i64>> {
    let now = tx.now();
    let date = today(tx.conn(), scope, now)?;
    let Some(plan) = plan_in_force(tx.conn(), scope, date)? else {
        return Ok(None);
    };
    let rounds = rounds_of(tx.conn(), scope, plan.id)?;
    let seen_in = match defect.order_id {
        Some(order) => Some(order_read(tx.conn(), scope, order)?.crew_id),
        None => None,
    };
    let of_crew = rounds.iter().find(|round| Some(round.crew_id) == seen_in);
    let Some(round) = of_crew.or(rounds.first()) else {
        return Ok(None);
    };
    let task = mended_by(defect.kind.0).map(trade::care::CareTask::as_str);
    let tasks = care_task_list(tx.conn(), scope)?;
    let task = tasks.iter().find(|known| Some(known.code.as_str()) == task);
    let takes_s = task.map_or(0, |task| task.base_s);
    let new = NewOrder {
        day_plan_id: plan.id,
        round_id: round.id,
        crew_id: round.crew_id,
        work_date: date,
        court_id: Some(defect.court_id),
        bank_id: None,
        position: last_position(tx.conn(), scope, round.id)? + 1,
        visit_key: format!("{MEND}{}", defect.id),
        kind: OrderKind::Mend,
        direction: None,
        groom_class: None,
        planned_start: now,
        planned_end: (now.utc() + TimeDelta::seconds(takes_s.clamp(0, 86_400))).into(),
        due_at: round.returns_at.max(now),
        follows_id: None,
    };
    let order_id = order_add(tx, scope, &new)?;
    if let Some(task) = task {
        let step = StepRow {
            order_id,
            position: 1,
            care_task_id: task.id,
            planned_s: task.base_s,
            done: None,
            standard_s: Some(task.base_s),
            alone_s: Some(task.base_s),
        };
        order_step_add(tx, scope, &step)?;
    }
    defect_mend_by(tx, scope, defect.id, order_id)?;
    Ok(Some(order_id))
}
