//! The rows of past days' plans, rounds and orders.

use std::collections::HashMap;

use chrono::{DateTime, NaiveDate, NaiveTime, Utc};
use trade::calendar::local_to_instant;

use super::day::{PastDay, Visit, Went};
use super::season::{Season, impossible};
use crate::desk::Result;
use crate::store::Instant;
use crate::store::columns::json as as_json;
use crate::store::history::{PastOrder, PastPlan, PastRound, PastRun};
use crate::store::orders::{Fit, OrderRow, OrderState};

/// What a unit of unfitted work is taken to cost in a past day's plan, cents.
const UNFITTED_CENTS: i64 = 30_000;
/// What a plan of the past reckons for the way to a visit, s.
const WAY_S: i64 = 60;

/// The planning run a day's plan is told to come from.
pub fn run(season: &Season, day: &PastDay<'_>, seed: u64) -> PastRun {
    let (cost_cents, lower_bound_cents) = plan_cents(season, day);
    let at = morning(season, day.date);
    PastRun {
        work_date: day.date,
        state: "taken",
        seed: i64::try_from(seed).unwrap_or(i64::MAX),
        limit_s: 5,
        inputs_digest: String::new(),
        problem: "{}".into(),
        cost_cents,
        lower_bound_cents,
        stop_asked: false,
        message: "told with the site's past: its day problem was not kept".into(),
        requested_by: season.manager,
        created_at: at,
        started_at: at,
        ended_at: at,
    }
}

/// The plan a day was worked by.
pub fn plan(
    season: &Season,
    day: &PastDay<'_>,
    runs: &HashMap<NaiveDate, i64>,
) -> Result<PastPlan> {
    let (cost_cents, lower_bound_cents) = plan_cents(season, day);
    let at = morning(season, day.date);
    let run = runs.get(&day.date).copied();
    Ok(PastPlan {
        work_date: day.date,
        state: "issued",
        plan_run_id: run.ok_or_else(|| impossible("a day without a run"))?,
        cost_cents,
        lower_bound_cents,
        created_at: at,
        issued_at: at,
        version: 2,
    })
}

/// What the day's plan cost, and what it could not have cost less than: the work itself, without
/// the ways between.
fn plan_cents(season: &Season, day: &PastDay<'_>) -> (i64, i64) {
    let (mut cost, mut least) = (0, 0);
    for visit in &day.visits {
        let people = day.crews[visit.crew].crew.people.iter();
        let rate: i64 = people
            .filter_map(|p| season.rates.cents_per_h(*p, day.date))
            .sum();
        let work = visit.next.end - visit.next.start;
        cost += rate * (work + WAY_S);
        least += rate * work;
    }
    let unfitted = i64::try_from(day.unfitted.len()).unwrap_or(0) * UNFITTED_CENTS;
    (cost / 3_600 + unfitted, least / 3_600 + unfitted)
}

/// The rounds of a day.
pub fn rounds(day: &PastDay<'_>, plans: &HashMap<NaiveDate, i64>) -> Result<Vec<PastRound>> {
    let plan = *plans
        .get(&day.date)
        .ok_or_else(|| impossible("a day without a plan"))?;
    let made = day
        .crews
        .iter()
        .filter_map(|crew| Some((crew, crew.leaves?)));
    made.map(|(crew, leaves)| {
        Ok(PastRound {
            day_plan_id: plan,
            crew_id: crew.crew.crew_id,
            shift_id: crew.crew.shift.id,
            leaves_at: second(leaves),
            returns_at: second(crew.back()),
            kit: as_json(&crew.kit)?,
        })
    })
    .collect()
}

/// The order of a visit as it stands at the end.
pub fn order(day: &PastDay<'_>, visit: &Visit<'_>, plan: i64, round: i64, id: i64) -> OrderRow {
    let (ask, way) = (&visit.ask, &visit.ask.ways[visit.next.way]);
    let mut order = OrderRow {
        id,
        day_plan_id: plan,
        round_id: round,
        crew_id: day.crews[visit.crew].crew.crew_id,
        work_date: day.date,
        court_id: ask.place.court(),
        bank_id: ask.place.bank(),
        position: visit.position,
        visit_key: ask.key.clone(),
        kind: way.kind,
        state: OrderState::LeftUndone,
        direction: way.heading(),
        groom_class: way.groom_class.clone(),
        planned_start: second(visit.next.start),
        planned_end: second(visit.next.end),
        due_at: second(ask.closes),
        started_at: None,
        ended_at: Some(second(visit.outcome.at())),
        fit: None,
        fit_until: None,
        fit_reason: None,
        undone_reason: None,
        undone_note: None,
        expected_end_at: None,
        fit_hold_reason: None,
        follows_id: None,
        // Planned, handed out, given back.
        version: 3,
    };
    match visit.outcome {
        Went::Undone { reason, .. } => order.undone_reason = Some(reason),
        Went::Done { started, .. } => {
            order.state = OrderState::Finished;
            order.started_at = Some(second(started));
            order.fit = Some(if visit.soak.is_some() {
                Fit::NotYet
            } else {
                Fit::Yes
            });
            order.fit_until = visit.soak.map(|(_, until)| second(until));
            order.version += 1;
        }
    }
    order
}

/// The same as it is added.
pub fn past_order(order: OrderRow) -> PastOrder {
    PastOrder {
        day_plan_id: order.day_plan_id,
        round_id: order.round_id,
        crew_id: order.crew_id,
        work_date: order.work_date,
        court_id: order.court_id,
        bank_id: order.bank_id,
        position: order.position,
        visit_key: order.visit_key,
        kind: order.kind,
        state: order.state,
        direction: order.direction,
        groom_class: order.groom_class,
        planned_start: order.planned_start,
        planned_end: order.planned_end,
        due_at: order.due_at,
        started_at: order.started_at,
        ended_at: order.ended_at,
        fit: order.fit,
        fit_until: order.fit_until,
        undone_reason: order.undone_reason,
        undone_note: order.undone_note,
        version: order.version,
    }
}

/// Five in the morning, when the day was planned and handed out.
pub fn morning(season: &Season, date: NaiveDate) -> Instant {
    let five = NaiveTime::from_hms_opt(5, 0, 0).unwrap_or_default();
    local_to_instant(season.zone, date, five).into()
}

/// The instant so many seconds after the first of 1970.
pub fn second(since_1970: i64) -> Instant {
    DateTime::<Utc>::from_timestamp(since_1970, 0)
        .unwrap_or_default()
        .into()
}
