//! The day: its rounds, and handing them out.

pub mod since;

use std::collections::HashMap;

use chrono::NaiveDate;
use planner::plan::Cost;
use serde::{Deserialize, Serialize};
use trade::calendar::work_date;
use utoipa::ToSchema;

use since::{PlayChange, changed_since};

use super::access::{IssueDay, Permit, SeeDay};
use super::day_build::DayClock;
use super::inspections::{DrainingView, RainForetold, rain_now};
use super::once::Once;
use super::orders::{OrderView, no_plan, order_views, with_what_was_said};
use super::plan_runs::{nearest_cent, orders_move};
use super::stops::{Standing, standing};
use super::{Error, Office, Result};
use crate::store::audit::{Deed, audit_append};
use crate::store::crews::{ShiftPersonRow, shift_person_list};
use crate::store::day_plans::runs::run_plan_text;
use crate::store::day_plans::{
    Beginning, PlanRow, PlanState, plan_in_force, plan_issue, rounds_of, unfitted_of, waterings_of,
};
use crate::store::defects::{DefectRow, open_defects};
use crate::store::orders::{OrderFilter, OrderKind, OrderState, order_list};
use crate::store::sites::site_read;
use crate::store::tool_checks::parts_to_change;
use crate::store::tools::{WearPartKind, brushes_at_limit};
use crate::store::{self, Conn, Instant, Page, Scope, Tx};

/// A site's day as it is planned.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct DayView {
    /// The site's own date.
    pub date: NaiveDate,
    /// The plan in force; null where the day is not planned yet.
    pub plan: Option<PlanView>,
    /// The rounds, by crew.
    pub rounds: Vec<RoundView>,
    /// The waterings, in order of time.
    pub waterings: Vec<WateringView>,
    /// What could not be fitted, and why.
    pub unfitted: Vec<UnfittedView>,
    /// What keeps courts shut and people in now.
    #[serde(flatten)]
    pub standing: Standing,
    /// Play that changed after the plan in force was taken, which it does not know of.
    pub changed_since: Vec<PlayChange>,
    /// The courts that drain after rain now.
    pub draining: Vec<DrainingView>,
    /// The showers that are foretold for what is left of the date. They shut no court.
    pub rain_foretold: Vec<RainForetold>,
    /// Tools whose brush is at its limit: those that groom stay in the shed.
    pub tools_aside: Vec<ToolAside>,
    /// Parts of tools and courts that are to be changed now, by what the eye said of them last.
    pub parts_to_change: Vec<PartToChangeView>,
    /// What was seen on courts and waits to be mended.
    pub defects: Vec<DefectRow>,
}

/// A part that is to be changed now.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = PartToChange)]
pub struct PartToChangeView {
    /// The part.
    pub wear_part_id: i64,
    /// What it is.
    pub kind: WearPartKind,
    /// The number on its tool, where it is on one.
    pub tool: Option<String>,
    /// The name of its court, where it is on one.
    pub court: Option<String>,
    /// When that was seen.
    pub seen_at: Instant,
}

/// A tool whose brush is at its limit.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct ToolAside {
    /// The number on it.
    pub number: String,
    /// Name of its class, as the site calls it.
    pub class_name: String,
    /// The day its brush was last measured.
    pub measured_on: NaiveDate,
    /// How long it was then, µm.
    pub length_um: i64,
    /// The length at which it is worn out, µm.
    pub limit_um: Option<i64>,
}

/// The plan in force.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
pub struct PlanView {
    /// Id.
    pub id: i64,
    /// `planned` or `issued`.
    pub state: String,
    /// What it costs, cents, with what leaving work out and making do is taken to cost.
    pub cost_cents: i64,
    /// Of that the pay for work and walks, overtime included, cents; null where the plan's own sum cannot be had.
    #[serde(default)]
    pub pay_cents: Option<i64>,
    /// No plan of this day can cost less, cents.
    pub lower_bound_cents: i64,
    /// When its orders were handed out.
    pub issued_at: Option<Instant>,
    /// Version.
    pub version: i64,
}

/// A crew's visits of the day, in order.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct RoundView {
    /// Id.
    pub id: i64,
    /// The crew.
    pub crew_id: i64,
    /// Its name.
    pub crew: String,
    /// Who is in it that day.
    pub people: Vec<String>,
    /// When it leaves the shed.
    pub leaves_at: Instant,
    /// When it is back.
    pub returns_at: Instant,
    /// Codes of the tool classes it takes along.
    pub kit: Vec<String>,
    /// Who of it begins on shorter work in the heat: the crew goes together, and all of it rests.
    pub begins: Vec<BeginView>,
    /// The rests that this takes did not fit into the shift whole.
    pub begins_cut: bool,
    /// Its orders.
    pub orders: Vec<OrderView>,
}

/// Somebody who is new, or back after time away, on a hot day.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct BeginView {
    /// The person.
    pub person_id: i64,
    /// Their name.
    pub name: String,
    /// New to the work; else back after time away.
    pub is_new: bool,
    /// Which of their days on shift it is since, from 1.
    pub day: i64,
    /// How much of the hot hours they work, percent: advice of the US National Institute for Occupational Safety and
    /// Health, not law.
    pub share_pct: i64,
}

/// A planned run of water on a court.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct WateringView {
    /// The court.
    pub court_id: i64,
    /// Its name.
    pub court: String,
    /// `soak` after a turnaround, or `night_cycle`.
    pub kind: String,
    /// From when.
    pub starts_at: Instant,
    /// Until when.
    pub ends_at: Instant,
    /// How much, ml.
    pub volume_ml: i64,
}

/// Work that could not be fitted into the day.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct UnfittedView {
    /// Name of the court or bank.
    pub place: String,
    /// What was to be done.
    pub title: String,
    /// Why it does not fit: a reason of the day plan.
    pub reason: String,
    /// From when it could have been done.
    pub opens_at: Instant,
    /// Until when.
    pub closes_at: Instant,
    /// Until when it is withheld, where that is known.
    pub until_at: Option<Instant>,
}

impl From<PlanRow> for PlanView {
    fn from(plan: PlanRow) -> Self {
        Self {
            id: plan.id,
            state: plan.state.as_str().to_owned(),
            cost_cents: plan.cost_cents,
            pay_cents: None,
            lower_bound_cents: plan.lower_bound_cents,
            issued_at: plan.issued_at,
            version: plan.version,
        }
    }
}

/// A site's date as it is planned, in a fixed number of queries.
pub fn day_read(office: &Office, permit: &Permit<SeeDay>, date: NaiveDate) -> Result<DayView> {
    let now = office.now();
    Ok(office.db.read(|conn| day_view(conn, permit, date, now))?)
}

fn day_view(
    conn: &mut Conn,
    scope: &Scope,
    date: NaiveDate,
    now: Instant,
) -> store::Result<DayView> {
    let standing = standing(conn, scope)?;
    let clock = DayClock::new(site_read(conn, scope)?.zone()?, date);
    let ends = clock.instant(clock.length_s());
    let (draining, mut rain_foretold) = rain_now(conn, scope, now, ends)?;
    rain_foretold.retain(|shower| work_date(clock.zone(), shower.starts_at.utc()) == date);
    let tools_aside = tools_aside(conn, scope)?;
    let parts_to_change = to_change(conn, scope)?;
    let defects = open_defects(conn, scope)?;
    let Some(plan) = plan_in_force(conn, scope, date)? else {
        return Ok(DayView {
            changed_since: Vec::new(),
            draining,
            rain_foretold,
            tools_aside,
            parts_to_change,
            defects,
            date,
            plan: None,
            rounds: Vec::new(),
            waterings: Vec::new(),
            unfitted: Vec::new(),
            standing,
        });
    };
    let waterings = waterings_of(conn, scope, plan.id)?;
    let unfitted = unfitted_of(conn, scope, plan.id)?;
    let rounds = round_views(conn, scope, plan.id)?;
    Ok(DayView {
        date,
        standing,
        changed_since: changed_since(conn, scope, &clock, &plan, &rounds)?,
        draining,
        rain_foretold,
        rounds,
        tools_aside,
        parts_to_change,
        defects,
        plan: Some(PlanView {
            pay_cents: pay_of(conn, scope, plan.plan_run_id)?,
            ..plan.into()
        }),
        waterings: waterings
            .into_iter()
            .map(|run| WateringView {
                court_id: run.court_id,
                court: run.court,
                kind: run.kind.as_str().to_owned(),
                starts_at: run.starts_at,
                ends_at: run.ends_at,
                volume_ml: run.volume_ml,
            })
            .collect(),
        unfitted: unfitted
            .into_iter()
            .map(|visit| UnfittedView {
                place: visit.court.or(visit.bank).unwrap_or_default(),
                title: visit.title,
                reason: visit.reason,
                opens_at: visit.opens_at,
                closes_at: visit.closes_at,
                until_at: visit.until_at,
            })
            .collect(),
    })
}

fn tools_aside(conn: &mut Conn, scope: &Scope) -> store::Result<Vec<ToolAside>> {
    let worn = brushes_at_limit(conn, scope)?.into_iter();
    Ok(worn
        .map(|brush| ToolAside {
            number: brush.number,
            class_name: brush.class_name,
            measured_on: brush.measured_on,
            length_um: brush.length_um,
            limit_um: brush.limit_um,
        })
        .collect())
}

fn to_change(conn: &mut Conn, scope: &Scope) -> store::Result<Vec<PartToChangeView>> {
    let parts = parts_to_change(conn, scope)?.into_iter();
    Ok(parts
        .map(|part| PartToChangeView {
            wear_part_id: part.wear_part_id,
            kind: part.kind,
            tool: part.tool,
            court: part.court,
            seen_at: part.happened_at,
        })
        .collect())
}

/// What the work and the walks of a run's plan are paid, cents.
fn pay_of(conn: &mut Conn, scope: &Scope, run: i64) -> store::Result<Option<i64>> {
    #[derive(Deserialize)]
    struct Sum {
        cost: Cost,
    }
    let text = run_plan_text(conn, scope, run)?;
    let sum = text.and_then(|text| serde_json::from_str::<Sum>(&text).ok());
    Ok(sum.map(|Sum { cost }| {
        let parts = [cost.travel, cost.service, cost.overtime];
        parts.into_iter().map(nearest_cent).sum()
    }))
}

fn round_views(conn: &mut Conn, scope: &Scope, plan: i64) -> store::Result<Vec<RoundView>> {
    let rounds = rounds_of(conn, scope, plan)?;
    let shifts: Vec<i64> = rounds.iter().map(|round| round.shift_id).collect();
    let mut people: HashMap<i64, Vec<ShiftPersonRow>> = HashMap::new();
    for person in shift_person_list(conn, scope, &shifts)? {
        people.entry(person.shift_id).or_default().push(person);
    }
    let filter = OrderFilter {
        day_plan_id: Some(plan),
        ..OrderFilter::default()
    };
    let mut rows = order_list(conn, scope, &filter, Page::ALL)?.items;
    rows.sort_by_key(|order| (order.round_id, order.position));
    let mut orders: HashMap<i64, Vec<OrderView>> = HashMap::new();
    // What mends a defect is with no crew before it is handed out.
    rows.retain(|order| order.kind != OrderKind::Mend || order.state != OrderState::Planned);
    let views = order_views(conn, scope, rows)?;
    for view in with_what_was_said(conn, scope, views)? {
        orders.entry(view.order.round_id).or_default().push(view);
    }
    Ok(rounds
        .into_iter()
        .map(|round| {
            let people = people.get(&round.shift_id).map_or(&[][..], Vec::as_slice);
            let beginning = round.beginning.as_ref().map(|json| &json.0);
            RoundView {
                begins: begins(beginning, people),
                begins_cut: beginning.is_some_and(|beginning| beginning.cut),
                crew_id: round.crew_id,
                crew: round.crew,
                people: people.iter().map(|person| person.name.clone()).collect(),
                leaves_at: round.leaves_at,
                returns_at: round.returns_at,
                kit: round.kit.0,
                orders: orders.remove(&round.id).unwrap_or_default(),
                id: round.id,
            }
        })
        .collect())
}

/// Who begins on shorter work, of the people who are on the shift now.
fn begins(beginning: Option<&Beginning>, people: &[ShiftPersonRow]) -> Vec<BeginView> {
    let all = beginning
        .into_iter()
        .flat_map(|beginning| &beginning.people);
    all.filter_map(|one| {
        let person = people
            .iter()
            .find(|person| person.person_id == one.person_id)?;
        Some(BeginView {
            person_id: one.person_id,
            name: person.name.clone(),
            is_new: one.is_new,
            day: one.day,
            share_pct: one.share_pct,
        })
    })
    .collect()
}

/// Hands the planned orders of a date out to the crews. [`Error::State`] where nothing is planned,
/// or the date is issued already.
pub fn day_issue(
    office: &Office,
    permit: &Permit<IssueDay>,
    date: NaiveDate,
    once: &Once,
) -> Result<PlanView> {
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| issue(tx, permit, date))
    })
}

fn issue(tx: &mut Tx<'_>, scope: &Scope, date: NaiveDate) -> Result<PlanView> {
    let plan = plan_in_force(tx.conn(), scope, date)?;
    let plan = plan.ok_or_else(|| no_plan(date))?;
    if plan.state == PlanState::Issued {
        return Err(Error::state(format!("{date} is issued already")));
    }
    plan_issue(tx, scope, plan.id)?;
    let orders = orders_move(tx, scope, plan.id, OrderState::Issued)?;
    audit_append(
        tx,
        scope,
        &Deed {
            verb: "issued",
            subject: "day_plan",
            id: plan.id,
            data: serde_json::json!({ "date": date, "orders": orders }),
        },
    )?;
    let issued = plan_in_force(tx.conn(), scope, date)?;
    issued
        .map(PlanView::from)
        .ok_or(Error::Failed(store::Error::NotFound))
}
