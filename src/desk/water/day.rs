//! The water of a date: its runs, and what each court gets of a night, why, and what it stays short of.

use std::collections::HashMap;

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use trade::watering::Why;
use utoipa::ToSchema;

use crate::desk::access::{Permit, SeeWater};
use crate::desk::day_build::{VALVE, ValveWork};
use crate::desk::{Office, Result};
use crate::store::day_plans::{WateringKind, plan_in_force};
use crate::store::orders::{OrderState, valve_orders};
use crate::store::water::{
    NeedRow, Opened, RunRow, ToldBy, needs_of, runs_of_plan, valve_list_all,
};
use crate::store::{self, Conn, Instant, Scope};
use crate::words::{say, say_with};

/// The water of a date.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = DayWater)]
pub struct DayWaterView {
    /// The site's own date; its night goes on into the next.
    pub date: NaiveDate,
    /// The runs of the plan in force, in order of time.
    pub runs: Vec<WaterRunView>,
    /// What each court gets of its night.
    pub courts: Vec<CourtNightView>,
}

/// One run of a valve.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[schema(as = WaterRun)]
pub struct WaterRunView {
    /// Id, by which it is told whether it ran.
    pub id: i64,
    /// The valve; null where a court's own sprinklers are meant.
    pub valve_id: Option<i64>,
    /// The valve's name, or the court's.
    pub valve: String,
    /// How it is opened: `controller` or `by_hand`.
    pub opened: String,
    /// `soak` or `night_cycle`.
    pub kind: WateringKind,
    /// Its number in the night.
    pub cycle: Option<i64>,
    /// Names of the courts it wets.
    pub courts: Vec<String>,
    /// From when.
    pub starts_at: Instant,
    /// Until when.
    pub ends_at: Instant,
    /// How much is planned, ml.
    pub planned_ml: i64,
    /// How much it really was, ml; null until somebody says so.
    pub real_ml: Option<i64>,
    /// `planned`, `run` or `did_not_run`.
    pub state: String,
    /// Who said so: `meter`, `controller` or `opening_walk`.
    pub told_by: Option<ToldBy>,
    /// The run it stands in for, where that did not come.
    pub again_of_id: Option<i64>,
    /// Who opens it by hand, and when.
    #[serde(default)]
    pub opens: Option<ValveVisitView>,
    /// Who closes it again, and when.
    #[serde(default)]
    pub closes: Option<ValveVisitView>,
}

/// A visit of somebody who opens or closes a valve.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[schema(as = ValveVisit)]
pub struct ValveVisitView {
    /// Its order.
    pub order_id: i64,
    /// Name of the crew.
    pub crew: String,
    /// When it is planned, or was begun.
    pub at: Instant,
    /// How far the order is.
    pub state: OrderState,
}

/// What a court gets of a night.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = CourtNight)]
pub struct CourtNightView {
    /// The court.
    pub court_id: i64,
    /// Its name.
    pub court: String,
    /// Its ordinary run, s.
    pub base_s: i64,
    /// Its run that night, s.
    pub run_s: i64,
    /// Thousandths of the ordinary run, before the whole minute and what its valve's other courts want.
    pub permille: i64,
    /// Why, in the order in which it counts.
    pub why: Vec<WhyView>,
    /// What all its cycles come to, ml.
    pub wanted_ml: i64,
    /// What it stays short of, ml.
    pub short_ml: i64,
    /// Why: `flow_over_line`, `night_too_short`, `line_taken`, `over_allowance`,
    /// `no_room_beside_others` or `nobody_there`.
    pub short_why: Option<String>,
}

/// One reason.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = WaterWhy)]
pub struct WhyView {
    /// `weather_unknown`, `weather`, `rain`, `mornings` or `limited`.
    pub why: String,
    /// The same in plain words.
    pub text: String,
}

/// The water of a date, as it is planned and told.
pub fn day_water(
    office: &Office,
    permit: &Permit<SeeWater>,
    date: NaiveDate,
) -> Result<DayWaterView> {
    Ok(office.db.read(|conn| read(conn, permit, date))?)
}

fn read(conn: &mut Conn, scope: &Scope, date: NaiveDate) -> store::Result<DayWaterView> {
    let Some(plan) = plan_in_force(conn, scope, date)? else {
        return Ok(DayWaterView {
            date,
            runs: Vec::new(),
            courts: Vec::new(),
        });
    };
    let rows = runs_of_plan(conn, scope, plan.id)?;
    let needs = needs_of(conn, scope, plan.id)?;
    Ok(DayWaterView {
        date,
        runs: run_views(conn, scope, rows)?,
        courts: needs.into_iter().map(night_view).collect(),
    })
}

/// Runs with the names of their valves, the courts of one run together.
pub(super) fn run_views(
    conn: &mut Conn,
    scope: &Scope,
    rows: Vec<RunRow>,
) -> store::Result<Vec<WaterRunView>> {
    let valves = valve_list_all(conn, scope)?;
    let names: HashMap<i64, (&str, Opened)> = valves
        .iter()
        .map(|valve| (valve.id, (valve.name.as_str(), valve.opened)))
        .collect();
    let is_by_hand = |row: &RunRow| {
        let valve = row.valve_id.and_then(|id| names.get(&id));
        valve.is_some_and(|valve| valve.1 == Opened::ByHand)
    };
    let dates = || rows.iter().filter(|row| is_by_hand(row));
    let dates = dates().map(|row| row.work_date);
    let visits = match (dates.clone().min(), dates.max()) {
        (Some(first), Some(last)) => valve_orders(conn, scope, VALVE, first, last)?,
        _ => Vec::new(),
    };
    let visits: Vec<ValveWork> = visits.into_iter().filter_map(ValveWork::of).collect();
    let mut views: Vec<WaterRunView> = Vec::new();
    for row in rows {
        let beside = views.iter_mut().find(|view| {
            row.valve_id.is_some()
                && (view.valve_id, view.starts_at, view.kind)
                    == (row.valve_id, row.starts_at, row.kind)
        });
        if let Some(view) = beside {
            view.courts.push(row.court);
            view.planned_ml += row.volume_ml;
            view.real_ml = view
                .real_ml
                .zip(row.real_ml)
                .map(|(one, other)| one + other);
            continue;
        }
        let valve = row.valve_id.and_then(|id| names.get(&id));
        // A run that stands in for one that did not come has no visits of its own.
        let visit = |opens: bool| {
            let of_run = visits.iter().filter(|_| row.again_of_id.is_none());
            let mut of_run = of_run.filter(|work| work.order.day_plan_id == row.day_plan_id);
            let work = of_run.find(|work| {
                (Some(work.valve_id), work.kind, work.opens) == (row.valve_id, row.kind, opens)
            });
            work.map(ValveVisitView::of)
        };
        views.push(WaterRunView {
            opens: visit(true),
            closes: visit(false),
            id: row.id,
            valve_id: row.valve_id,
            valve: valve.map_or_else(|| row.court.clone(), |valve| valve.0.to_owned()),
            opened: valve
                .map_or(Opened::Controller, |valve| valve.1)
                .to_string(),
            kind: row.kind,
            cycle: row.cycle,
            courts: vec![row.court],
            starts_at: row.starts_at,
            ends_at: row.ends_at,
            planned_ml: row.volume_ml,
            real_ml: row.real_ml,
            state: row.state,
            told_by: row.told_by,
            again_of_id: row.again_of_id,
        });
    }
    Ok(views)
}

impl ValveVisitView {
    fn of(work: &ValveWork) -> Self {
        let order = &work.order;
        Self {
            order_id: order.id,
            crew: order.crew.clone(),
            at: order.started_at.unwrap_or(order.planned_start),
            state: order.state,
        }
    }
}

fn night_view(need: NeedRow) -> CourtNightView {
    // What the program wrote itself; what cannot be read of it is not shown.
    let why: Vec<Why> = serde_json::from_value(need.why.0).unwrap_or_default();
    CourtNightView {
        court_id: need.court_id,
        court: need.court,
        base_s: need.base_s,
        run_s: need.run_s,
        permille: need.permille,
        why: why.iter().map(why_view).collect(),
        wanted_ml: need.wanted_ml,
        short_ml: need.short_ml,
        short_why: need.short_why,
    }
}

fn why_view(why: &Why) -> WhyView {
    let percent = |permille: i64| (permille / 10).to_string();
    let signed = |permille: i64| format!("{:+}", permille / 10);
    let tenths = |um: i64| format!("{}.{}", um / 1_000, um % 1_000 / 100);
    let (word, text) = match *why {
        Why::WeatherUnknown => ("weather_unknown", say("water-why-weather-unknown")),
        Why::Weather {
            drawn_um,
            usual_um,
            permille,
            ..
        } => (
            "weather",
            say_with(
                "water-why-weather",
                &[
                    ("drawn", tenths(drawn_um).into()),
                    ("usual", tenths(usual_um).into()),
                    ("percent", percent(permille).into()),
                ],
            ),
        ),
        Why::Rain {
            fell_um, permille, ..
        } => (
            "rain",
            say_with(
                "water-why-rain",
                &[
                    ("fell", tenths(fell_um).into()),
                    ("percent", signed(permille).into()),
                ],
            ),
        ),
        Why::Mornings { dry, wet, permille } => (
            "mornings",
            say_with(
                "water-why-mornings",
                &[
                    ("dry", dry.to_string().into()),
                    ("wet", wet.to_string().into()),
                    ("percent", signed(permille).into()),
                ],
            ),
        ),
        Why::Limited {
            wanted_permille,
            permille,
        } => (
            "limited",
            say_with(
                "water-why-limited",
                &[
                    ("wanted", percent(wanted_permille).into()),
                    ("percent", percent(permille).into()),
                ],
            ),
        ),
    };
    WhyView {
        why: word.to_owned(),
        text,
    }
}
