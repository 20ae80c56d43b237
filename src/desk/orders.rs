//! Work orders: their life from being handed out to being given back, and taking that back.

mod check;
mod follow;
mod happens;
mod late;
pub mod life;
mod placing;
mod said;
mod take_back;
pub mod told;
mod work;

use std::collections::{BTreeSet, HashMap, HashSet};

use serde::{Deserialize, Serialize};
use trade::care::{CareTask, Caution, facts};
use trade::grooming::Pulled;
use utoipa::ToSchema;

pub use late::{Late, order_finish_late};
pub use placing::{no_plan, order_hand_over, order_issue, order_withdraw};
pub use said::{note_list, note_mark_seen, notes_waiting, order_note, order_recheck};
pub use take_back::order_take_back;
pub use work::{order_finish, order_leave_undone, order_start};

use super::access::{Permit, SeeOrders};
use super::day_build::{VALVE, valve_of_key};
use super::error::Named;
use super::label::{self, LabelView};
use super::{Office, Result};
use crate::store::defects::{self, DefectRow};
use crate::store::orders::{
    self, NoteRow, OrderEventRow, OrderFilter, OrderKind, OrderRow, RecheckRow, StepOfOrder,
};
use crate::store::stores::{MaterialRow, MaterialUnit, material_list};
use crate::store::treatments::{self, TreatmentRow};
use crate::store::water::valve_list_all;
use crate::store::{self, Conn, Page, Paged, Scope};

/// A work order with what a crew needs to do it.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
pub struct OrderView {
    /// The order itself.
    #[serde(flatten)]
    pub order: OrderRow,
    /// Name of its court or bank.
    pub place: String,
    /// Name of its crew.
    pub crew: String,
    /// Name of the valve it opens or closes.
    #[serde(default)]
    pub valve: Option<String>,
    /// Its steps, in order.
    pub steps: Vec<StepView>,
    /// Its tools, by number.
    pub tools: Vec<ToolView>,
    /// What it takes from the stores by the standard.
    pub materials: Vec<MaterialView>,
    /// The chemicals that were put on, once it is given back.
    #[serde(default)]
    pub treatments: Vec<TreatmentView>,
    /// The defect it mends.
    #[serde(default)]
    pub defect: Option<DefectRow>,
    /// How good it was found when it was last looked over; not told in lists.
    #[serde(default)]
    pub recheck: Option<RecheckRow>,
    /// What was noted on it, oldest first; not told in lists.
    #[serde(default)]
    pub notes: Vec<NoteRow>,
}

/// A chemical that was put on.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
pub struct TreatmentView {
    /// What was told of it.
    #[serde(flatten)]
    pub row: TreatmentRow,
    /// There was more wind than was allowed then.
    pub over_wind_limit: bool,
}

impl From<TreatmentRow> for TreatmentView {
    fn from(row: TreatmentRow) -> Self {
        Self {
            over_wind_limit: row.wind_limit_mmps.is_some_and(|most| row.wind_mmps > most),
            row,
        }
    }
}

/// A material that an order takes by the standard.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct MaterialView {
    /// The material.
    pub id: i64,
    /// Its code.
    pub code: String,
    /// What the site calls it.
    pub name: String,
    /// How much, in its unit.
    pub quantity: i64,
    /// What it is counted in.
    pub unit: MaterialUnit,
}

/// A step of an order.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
pub struct StepView {
    /// Place in the order, from 1.
    pub position: i64,
    /// The care task's code.
    pub code: String,
    /// Its name, as the site calls it.
    pub name: String,
    /// How long it takes the crew as planned, s.
    pub planned_s: i64,
    /// How long it takes the crew by the standard, before what crews really took on this court, s.
    pub standard_s: Option<i64>,
    /// The keys of the usual cautions, by comma, where the work can hurt someone or spoil the court:
    /// what the trade knows of the task, and what the site's standard says.
    pub caution: Option<String>,
    /// The labels of the chemicals it takes: what is worn, where the safety sheet is, in which weather.
    #[serde(default)]
    pub labels: Vec<LabelView>,
    /// The most wind in which it is done, by the standard and the labels, mm/s.
    #[serde(default)]
    pub max_wind_mmps: Option<i64>,
    /// Whether it was done; null until the order is given back.
    pub done: Option<bool>,
}

/// A tool of an order.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
pub struct ToolView {
    /// The tool.
    pub id: i64,
    /// Its number.
    pub number: String,
    /// Code of its class.
    pub class: String,
    /// Name of its class, as the site calls it.
    pub class_name: String,
}

/// Orders with what a crew needs to do them, in the order given. Four queries however many orders there are, one
/// more where a step takes a chemical, one where valves are opened by hand, and one where a defect is mended.
pub fn order_views(
    conn: &mut Conn,
    scope: &Scope,
    rows: Vec<OrderRow>,
) -> store::Result<Vec<OrderView>> {
    let ids: Vec<i64> = rows.iter().map(|order| order.id).collect();
    let mut names: HashMap<i64, (String, String)> = HashMap::new();
    for of in orders::order_names(conn, scope, &ids)? {
        let place = of.court.or(of.bank).unwrap_or_default();
        names.insert(of.order_id, (place, of.crew));
    }
    let mut tools: HashMap<i64, Vec<ToolView>> = HashMap::new();
    let mut towed: HashSet<i64> = HashSet::new();
    for tool in orders::order_tools(conn, scope, &ids)? {
        if tool.pulled.0 == Pulled::Towed {
            towed.insert(tool.order_id);
        }
        tools.entry(tool.order_id).or_default().push(ToolView {
            id: tool.tool_id,
            number: tool.number,
            class: tool.class,
            class_name: tool.class_name,
        });
    }
    let stores = material_list(conn, scope, Page::ALL)?.items;
    let mut materials: HashMap<i64, Vec<MaterialView>> = HashMap::new();
    let mut steps: HashMap<i64, Vec<StepView>> = HashMap::new();
    let mut with_chemicals = false;
    for step in orders::order_steps_named(conn, scope, &ids)? {
        let taken = materials_of(&step, &stores);
        materials.entry(step.order_id).or_default().extend(taken);
        let detail = &step.detail.0;
        with_chemicals |= detail.chemical;
        let labels = label::labels(detail, &stores).map(|(kept, label)| LabelView {
            code: kept.code.clone(),
            name: kept.name.clone(),
            label: label.clone(),
        });
        steps.entry(step.order_id).or_default().push(StepView {
            labels: labels.collect(),
            max_wind_mmps: label::limits(detail, &stores).max_wind_mmps,
            caution: cautions(&step, towed.contains(&step.order_id)),
            position: step.position,
            code: step.code,
            name: step.name,
            planned_s: step.planned_s,
            standard_s: step.standard_s,
            done: step.done,
        });
    }
    let mut put_on: HashMap<i64, Vec<TreatmentView>> = HashMap::new();
    if with_chemicals {
        for row in treatments::treatments_of(conn, scope, &ids)? {
            put_on.entry(row.order_id).or_default().push(row.into());
        }
    }
    let valves = valves_of(conn, scope, &rows)?;
    let mut defects = defects_of(conn, scope, &rows)?;
    Ok(rows
        .into_iter()
        .map(|order| {
            let (place, crew) = names.remove(&order.id).unwrap_or_default();
            OrderView {
                place,
                crew,
                valve: valve_of_key(&order.visit_key)
                    .and_then(|(valve, ..)| valves.get(&valve).cloned()),
                steps: steps.remove(&order.id).unwrap_or_default(),
                tools: tools.remove(&order.id).unwrap_or_default(),
                materials: materials.remove(&order.id).unwrap_or_default(),
                treatments: put_on.remove(&order.id).unwrap_or_default(),
                defect: defects.remove(&order.id),
                recheck: None,
                notes: Vec::new(),
                order,
            }
        })
        .collect())
}

/// The defects that orders mend.
fn defects_of(
    conn: &mut Conn,
    scope: &Scope,
    rows: &[OrderRow],
) -> store::Result<HashMap<i64, DefectRow>> {
    let mending = rows.iter().filter(|order| order.kind == OrderKind::Mend);
    let ids: Vec<i64> = mending.map(|order| order.id).collect();
    if ids.is_empty() {
        return Ok(HashMap::new());
    }
    let found = defects::defects_of(conn, scope, &ids)?.into_iter();
    Ok(found
        .filter_map(|defect| Some((defect.mend_order_id?, defect)))
        .collect())
}

/// Adds what was said of orders beside their life: the last recheck and the notes. Two queries.
pub fn with_what_was_said(
    conn: &mut Conn,
    scope: &Scope,
    mut views: Vec<OrderView>,
) -> store::Result<Vec<OrderView>> {
    let ids: Vec<i64> = views.iter().map(|view| view.order.id).collect();
    let mut rechecks: HashMap<i64, RecheckRow> = HashMap::new();
    for recheck in orders::rechecks_of(conn, scope, &ids)? {
        rechecks.insert(recheck.order_id, recheck);
    }
    let mut notes: HashMap<i64, Vec<NoteRow>> = HashMap::new();
    for note in orders::notes_of(conn, scope, &ids)? {
        notes.entry(note.order_id).or_default().push(note);
    }
    for view in &mut views {
        view.recheck = rechecks.remove(&view.order.id);
        view.notes = notes.remove(&view.order.id).unwrap_or_default();
    }
    Ok(views)
}

/// The names of the valves that orders open and close.
fn valves_of(
    conn: &mut Conn,
    scope: &Scope,
    rows: &[OrderRow],
) -> store::Result<HashMap<i64, String>> {
    if !rows.iter().any(|order| order.visit_key.starts_with(VALVE)) {
        return Ok(HashMap::new());
    }
    let valves = valve_list_all(conn, scope)?.into_iter();
    Ok(valves.map(|valve| (valve.id, valve.name)).collect())
}

/// What a step takes by the standard, as far as the site's stores keep it.
fn materials_of(step: &StepOfOrder, stores: &[MaterialRow]) -> Vec<MaterialView> {
    let wanted = step.detail.0.materials.iter();
    wanted
        .filter_map(|wanted| {
            let kept = stores.iter().find(|kept| kept.code == wanted.code)?;
            Some(MaterialView {
                id: kept.id,
                code: kept.code.clone(),
                name: kept.name.clone(),
                quantity: wanted.quantity,
                unit: kept.unit,
            })
        })
        .collect()
}

/// The cautions of a step: of the trade's own tasks and of the site's standard. Where nothing is
/// towed, nothing is said of towing.
fn cautions(step: &StepOfOrder, towed: bool) -> Option<String> {
    let known = step.code.parse::<CareTask>().ok();
    let known = known.iter().flat_map(|task| facts(*task).cautions);
    let own = step.caution.as_deref().unwrap_or_default();
    let mut all: BTreeSet<&str> = known.map(|caution| caution.as_str()).collect();
    all.extend(own.split([' ', ',']).filter(|word| !word.is_empty()));
    if step.code == CareTask::Groom.as_str() && !towed {
        all.remove(Caution::Towing.as_str());
    }
    let all: Vec<_> = all.into_iter().collect();
    (!all.is_empty()).then(|| all.join(","))
}

/// The site's orders that pass the filter.
pub fn order_list(
    office: &Office,
    permit: &Permit<SeeOrders>,
    filter: &OrderFilter,
    page: Page,
) -> Result<Paged<OrderView>> {
    Ok(office.db.read(|conn| -> store::Result<_> {
        let Paged { items, next } = orders::order_list(conn, permit, filter, page)?;
        let items = order_views(conn, permit, items)?;
        Ok(Paged { items, next })
    })?)
}

/// The chemicals that were put on the site's courts.
pub fn treatment_list(
    office: &Office,
    permit: &Permit<SeeOrders>,
    page: Page,
) -> Result<Paged<TreatmentView>> {
    let rows = office
        .db
        .read(|conn| treatments::treatment_list(conn, permit, page))?;
    Ok(rows.map(TreatmentView::from))
}

/// One order.
pub fn order_read(office: &Office, permit: &Permit<SeeOrders>, id: i64) -> Result<OrderView> {
    office
        .db
        .read(|conn| order_view(conn, permit, id).named("work order"))
}

/// What happened to an order.
pub fn order_event_list(
    office: &Office,
    permit: &Permit<SeeOrders>,
    id: i64,
    page: Page,
) -> Result<Paged<OrderEventRow>> {
    office.db.read(|conn| {
        orders::order_read(conn, permit, id).named("work order")?;
        Ok(orders::order_event_list(conn, permit, id, page)?)
    })
}

/// An order, what happened to it, what was said of it by whoever looked it over, and the orders that do what was left of it.
pub struct OrderWhole {
    /// The order.
    pub view: OrderView,
    /// What happened, as the office learned of it.
    pub events: Vec<OrderEventRow>,
    /// Every recheck, oldest first.
    pub rechecks: Vec<RecheckRow>,
    /// The orders that do what was left, oldest first.
    pub followed_by: Vec<i64>,
}

/// All of one order.
pub fn order_whole(office: &Office, permit: &Permit<SeeOrders>, id: i64) -> Result<OrderWhole> {
    office.db.read(|conn| {
        let following = orders::orders_following(conn, permit, id)?;
        Ok(OrderWhole {
            view: order_view(conn, permit, id).named("work order")?,
            events: orders::order_event_list(conn, permit, id, Page::ALL)?.items,
            rechecks: orders::rechecks_of(conn, permit, &[id])?,
            followed_by: following.into_iter().map(|order| order.id).collect(),
        })
    })
}

fn order_view(conn: &mut Conn, scope: &Scope, id: i64) -> store::Result<OrderView> {
    let row = orders::order_read(conn, scope, id)?;
    let views = order_views(conn, scope, vec![row])?;
    with_what_was_said(conn, scope, views)?
        .pop()
        .ok_or(store::Error::NotFound)
}
