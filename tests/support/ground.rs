//! Ground to work on, laid straight into the tables, so that a test knows every price of it.

mod lay;

use chrono::NaiveDate;
use diesel::prelude::*;
use roundhand::store::orders::{
    NewOrder, OrderKind, StepRow, order_add, order_step_add, order_tool_add,
};
use roundhand::store::schema::{
    care_tasks, day_plans, plan_runs, rounds, sites, tools, users, waterings, wear_parts,
    work_orders,
};
use roundhand::store::stock_moves::{NewMove, stock_move_add};
use roundhand::store::stores::StockMoveKind;
use roundhand::store::{Actor, Conn, Db, Instant, Result, Role, Scope};

use super::House;
use lay::{brush_add, drag_add, lay, pay};

/// A bank of three courts and what it takes to keep them, on a site in New York whose pay week
/// begins on Sunday and whose water is $1.30 a cubic metre.
pub struct Ground {
    /// The site's manager, as whom the tables are written.
    pub scope: Scope,
    /// The bank.
    pub bank: i64,
    /// Its courts.
    pub courts: [i64; 3],
    /// The crew.
    pub crew: i64,
    /// Earns $18.50 an hour.
    pub dear: i64,
    /// Earns $10.01 an hour.
    pub cheap: i64,
    /// A drag whose class costs $90 over 400 uses.
    pub drag: i64,
    /// The brush on it: 100 mm when new.
    pub brush: i64,
    /// Bags; none are in store.
    pub bags: i64,
    shift_of: i64,
}

/// Where an order is.
#[derive(Clone, Copy)]
pub enum Place {
    /// On a court.
    Court(i64),
    /// On all courts of a bank.
    Bank(i64),
}

/// The date the house stands at.
pub const TODAY: &str = "2031-06-10";

fn date(text: &str) -> NaiveDate {
    text.parse().expect("a date")
}

fn at(text: &str) -> Instant {
    text.parse::<chrono::DateTime<chrono::Utc>>()
        .expect("an instant")
        .into()
}

impl Ground {
    /// Lays the ground.
    pub fn db_lay(house: &House) -> Self {
        let site = house.set_up.site_id;
        let manager = house
            .set_up
            .accounts
            .iter()
            .find(|a| a.role == Role::Manager);
        let email = &manager.expect("a manager").email;
        let db: &Db = &house.office.db;
        db.write_shared(|conn| -> Result<_> {
            let user: i64 = users::table
                .filter(users::email.eq(email))
                .select(users::id)
                .first(conn)?;
            let scope = Scope::prove(conn, Actor::of(user), site)?;
            diesel::update(sites::table.find(site))
                .set((
                    sites::zone.eq("America/New_York"),
                    sites::pay_week_starts_on.eq(7),
                    sites::water_cents_per_m3.eq(130),
                ))
                .execute(conn)?;
            lay(conn, scope)
        })
        .expect("the ground is laid")
    }

    /// Hands an order to the crew: groom (step 1), then soak (step 2), with the drag, and with so
    /// much water to run.
    pub fn db_issue(&self, house: &House, place: Place, on: &str, soak_ml: i64) -> i64 {
        self.issue(house, (place, ["groom", "soak"]), on, soak_ml)
    }

    /// Hands an order to the crew: lower the net (step 1), then groom (step 2), today on the first court.
    pub fn db_issue_net(&self, house: &House) -> i64 {
        let of = (Place::Court(self.courts[0]), ["lower_net", "groom"]);
        self.issue(house, of, TODAY, 0)
    }

    fn issue(
        &self,
        house: &House,
        (place, codes): (Place, [&str; 2]),
        on: &str,
        soak_ml: i64,
    ) -> i64 {
        let (scope, date) = (&self.scope, date(on));
        let (site, now) = (scope.site_id(), house.office.now());
        let work = |tx: &mut roundhand::store::Tx<'_>| -> Result<i64> {
            let (plan, round) = self.plan(tx.conn(), date, now)?;
            let (court_id, bank_id) = match place {
                Place::Court(court) => (Some(court), None),
                Place::Bank(bank) => (None, Some(bank)),
            };
            let (start, end) = (
                at(&format!("{on}T11:00:00Z")),
                at(&format!("{on}T11:25:00Z")),
            );
            let order = NewOrder {
                day_plan_id: plan,
                round_id: round,
                crew_id: self.crew,
                work_date: date,
                court_id,
                bank_id,
                position: 1,
                visit_key: "a visit".into(),
                kind: OrderKind::FullTurnaround,
                direction: None,
                groom_class: None,
                planned_start: start,
                planned_end: end,
                due_at: end,
                follows_id: None,
            };
            let id = order_add(tx, scope, &order)?;
            for (position, code) in (1..).zip(codes) {
                let care_task_id = care_task(tx.conn(), site, code)?;
                let step = StepRow {
                    order_id: id,
                    position,
                    care_task_id,
                    planned_s: 600,
                    standard_s: Some(600),
                    alone_s: Some(600),
                    done: None,
                };
                order_step_add(tx, scope, &step)?;
            }
            order_tool_add(tx, scope, id, self.drag)?;
            if soak_ml > 0 {
                diesel::insert_into(waterings::table)
                    .values((
                        waterings::site_id.eq(site),
                        waterings::day_plan_id.eq(plan),
                        waterings::court_id.eq(court_id.unwrap_or(self.courts[0])),
                        waterings::order_id.eq(id),
                        waterings::kind.eq("soak"),
                        waterings::starts_at.eq(end),
                        waterings::ends_at.eq(end),
                        waterings::flow_mlps.eq(1_600),
                        waterings::volume_ml.eq(soak_ml),
                        waterings::state.eq("planned"),
                    ))
                    .execute(tx.conn())?;
            }
            diesel::update(work_orders::table.find(id))
                .set(work_orders::state.eq("issued"))
                .execute(tx.conn())?;
            Ok(id)
        };
        house.office.db.write(scope, work).expect("an issued order")
    }

    /// An order of today on the first court, without water.
    pub fn db_issue_plain(&self, house: &House) -> i64 {
        self.db_issue(house, Place::Court(self.courts[0]), TODAY, 0)
    }

    /// Takes bags into the stores for so many cents in all.
    pub fn db_receive(&self, house: &House, bags: i64, cents: i64) {
        let scope = &self.scope;
        house
            .office
            .db
            .write(scope, |tx| {
                let receipt = NewMove {
                    material_id: self.bags,
                    order_id: None,
                    kind: StockMoveKind::Receipt,
                    quantity: bags,
                    value_cents: cents,
                    beyond_stock: false,
                    work_date: date(TODAY),
                    booked_at: tx.now(),
                    source_kind: "delivery",
                    source_id: 1,
                    reverses_id: None,
                };
                stock_move_add(tx, scope, &receipt)
            })
            .expect("the bags are in store");
    }

    /// Fits a part to a court that is judged by eye.
    pub fn db_fit(&self, house: &House, court: i64, kind: &str) -> i64 {
        let fit = |conn: &mut Conn| -> Result<i64> {
            Ok(diesel::insert_into(wear_parts::table)
                .values((
                    wear_parts::site_id.eq(self.scope.site_id()),
                    wear_parts::court_id.eq(court),
                    wear_parts::kind.eq(kind),
                    wear_parts::fitted_on.eq(date("2031-01-01")),
                ))
                .returning(wear_parts::id)
                .get_result(conn)?)
        };
        house.office.db.write_shared(fit).expect("a part")
    }

    /// A part of a court that was fitted so many days ago, and gave out after so many or is on still.
    pub fn db_life(&self, house: &House, kind: &str, days: u64, gave_out: bool) {
        let last = date(TODAY);
        let fitted = last - chrono::Days::new(days - 1);
        let lay = |conn: &mut Conn| -> Result<usize> {
            Ok(diesel::insert_into(wear_parts::table)
                .values((
                    wear_parts::site_id.eq(self.scope.site_id()),
                    wear_parts::court_id.eq(self.courts[0]),
                    wear_parts::kind.eq(kind),
                    wear_parts::fitted_on.eq(fitted),
                    wear_parts::retired_on.eq(gave_out.then_some(last)),
                    wear_parts::retired_why.eq(gave_out.then_some("broke")),
                ))
                .execute(conn)?)
        };
        house.office.db.write_shared(lay).expect("a part");
    }

    /// A second drag of the class with a brush like the first's: the drag and the brush.
    pub fn db_second_drag(&self, house: &House) -> (i64, i64) {
        let site = self.scope.site_id();
        let lay = |conn: &mut Conn| -> Result<(i64, i64)> {
            let class: i64 = tools::table
                .find(self.drag)
                .select(tools::tool_class_id)
                .first(conn)?;
            let drag = drag_add(conn, site, class, "T-902")?;
            let brush = brush_add(conn, site, drag)?;
            Ok((drag, brush))
        };
        house.office.db.write_shared(lay).expect("a drag")
    }

    /// Lets an hour of a person cost so many cents from a date on.
    pub fn db_pay(&self, house: &House, person: i64, from: &str, cents_per_h: i64) {
        house
            .office
            .db
            .write_shared(|conn| pay(conn, self.scope.site_id(), person, from, cents_per_h))
            .expect("a pay rate");
    }

    /// The plan and round of a date, made where there is none of this crew.
    fn plan(&self, conn: &mut Conn, date: NaiveDate, now: Instant) -> Result<(i64, i64)> {
        let site = self.scope.site_id();
        let known = rounds::table
            .inner_join(day_plans::table)
            .filter(
                rounds::crew_id
                    .eq(self.crew)
                    .and(day_plans::work_date.eq(date)),
            )
            .select((day_plans::id, rounds::id))
            .first(conn)
            .optional()?;
        if let Some(known) = known {
            return Ok(known);
        }
        let run: i64 = diesel::insert_into(plan_runs::table)
            .values((
                plan_runs::site_id.eq(site),
                plan_runs::work_date.eq(date),
                plan_runs::state.eq("taken"),
                plan_runs::seed.eq(1),
                plan_runs::limit_s.eq(1),
                plan_runs::inputs_digest.eq(""),
                plan_runs::problem.eq("{}"),
                plan_runs::stop_asked.eq(false),
                plan_runs::requested_by.eq(self.scope.user_id().expect("a user")),
                plan_runs::created_at.eq(now),
            ))
            .returning(plan_runs::id)
            .get_result(conn)?;
        // The plan that the set-up may have made steps aside: one is in force a day.
        diesel::update(
            day_plans::table.filter(
                day_plans::site_id
                    .eq(site)
                    .and(day_plans::work_date.eq(date)),
            ),
        )
        .set(day_plans::state.eq("replaced"))
        .execute(conn)?;
        let plan: i64 = diesel::insert_into(day_plans::table)
            .values((
                day_plans::site_id.eq(site),
                day_plans::work_date.eq(date),
                day_plans::state.eq("issued"),
                day_plans::plan_run_id.eq(run),
                day_plans::cost_cents.eq(0),
                day_plans::lower_bound_cents.eq(0),
                day_plans::created_at.eq(now),
                day_plans::version.eq(1),
            ))
            .returning(day_plans::id)
            .get_result(conn)?;
        let round: i64 = diesel::insert_into(rounds::table)
            .values((
                rounds::site_id.eq(site),
                rounds::day_plan_id.eq(plan),
                rounds::crew_id.eq(self.crew),
                rounds::shift_id.eq(self.shift_of),
                rounds::leaves_at.eq(now),
                rounds::returns_at.eq(now),
                rounds::kit.eq("[]"),
            ))
            .returning(rounds::id)
            .get_result(conn)?;
        Ok((plan, round))
    }
}

fn care_task(conn: &mut Conn, site: i64, code: &str) -> Result<i64> {
    let of_code = care_tasks::site_id.eq(site).and(care_tasks::code.eq(code));
    let known: Option<i64> = care_tasks::table
        .filter(of_code)
        .select(care_tasks::id)
        .first(conn)
        .optional()?;
    if let Some(id) = known {
        return Ok(id);
    }
    Ok(diesel::insert_into(care_tasks::table)
        .values((
            care_tasks::site_id.eq(site),
            care_tasks::code.eq(code),
            care_tasks::name.eq(code),
            care_tasks::position.eq(1),
            care_tasks::done_at.eq("turnaround"),
            care_tasks::cadence.eq("after_session"),
            care_tasks::base_s.eq(600),
            care_tasks::min_hands.eq(1),
            care_tasks::ground.eq("damp"),
            care_tasks::skip_cents.eq(100),
            care_tasks::source.eq("common_practice"),
        ))
        .returning(care_tasks::id)
        .get_result(conn)?)
}
