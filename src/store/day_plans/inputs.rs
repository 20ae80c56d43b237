//! What a day problem rests on and no other list gives in one query.

use std::collections::{HashMap, HashSet};

use chrono::NaiveDate;
use diesel::prelude::*;

use crate::store::columns::Json;
use crate::store::day_plans::PlanState;
use crate::store::orders::OrderState;
use crate::store::schema::{
    day_plans, pay_rates, people, shift_people, shifts, sites, skill_dates, unfitted_visits,
    work_orders,
};
use crate::store::{Conn, Instant, Result, Scope};

/// Somebody on a shift, with what they can do and what they cost.
#[derive(Clone, Debug, Queryable)]
pub struct Hand {
    /// The shift.
    pub shift_id: i64,
    /// The person.
    pub person_id: i64,
    /// What they may be given that day that not everybody may: what is out of date by then is not among it.
    pub skills: Json<Vec<String>>,
    /// Their first day at work here; none where it is not known.
    pub came_on: Option<NaiveDate>,
    /// Their pay rate in force that day, cents an hour; none where none was set.
    pub cents_per_h: Option<i64>,
}

/// Everybody on the shifts of the dates from `first` to `last` who has not left by then, in order
/// of shift and person.
pub fn hands_between(
    conn: &mut Conn,
    scope: &Scope,
    first: NaiveDate,
    last: NaiveDate,
) -> Result<Vec<Hand>> {
    let in_force = pay_rates::table
        .filter(
            pay_rates::site_id
                .eq(scope.site_id())
                .and(pay_rates::person_id.eq(people::id))
                .and(pay_rates::from_date.le(shifts::work_date)),
        )
        .order(pay_rates::from_date.desc())
        .limit(1)
        .select(pay_rates::cents_per_h)
        .single_value();
    let ended = skill_dates::table.on(skill_dates::site_id
        .eq(people::site_id)
        .and(skill_dates::person_id.eq(people::id))
        .and(skill_dates::valid_until.lt(shifts::work_date)));
    // A person comes once for each skill that is out of date by then, and at least once.
    let rows: Vec<(Hand, Option<String>)> = shift_people::table
        .inner_join(shifts::table)
        .inner_join(people::table)
        .left_join(ended)
        .filter(
            shift_people::site_id
                .eq(scope.site_id())
                .and(shifts::work_date.between(first, last))
                .and(
                    people::left_on
                        .is_null()
                        .or(people::left_on.ge(shifts::work_date.nullable())),
                ),
        )
        .order((shift_people::shift_id, shift_people::person_id))
        .select((
            (
                shift_people::shift_id,
                shift_people::person_id,
                people::skills,
                people::came_on,
                in_force,
            ),
            skill_dates::skill.nullable(),
        ))
        .load(conn)?;
    let mut hands: Vec<Hand> = Vec::new();
    for (hand, ended) in rows {
        let same = |last: &Hand| (last.shift_id, last.person_id) == (hand.shift_id, hand.person_id);
        if !hands.last().is_some_and(same) {
            hands.push(hand);
        }
        if let (Some(ended), Some(hand)) = (ended, hands.last_mut()) {
            hand.skills.0.retain(|skill| *skill != ended);
        }
    }
    Ok(hands)
}

/// On which days from `from` until before `until` people stood on a shift: by person, in order.
pub fn days_on_shift(
    conn: &mut Conn,
    scope: &Scope,
    from: NaiveDate,
    until: NaiveDate,
) -> Result<HashMap<i64, Vec<NaiveDate>>> {
    let rows: Vec<(i64, NaiveDate)> = shift_people::table
        .inner_join(shifts::table)
        .filter(
            shift_people::site_id
                .eq(scope.site_id())
                .and(shifts::work_date.ge(from))
                .and(shifts::work_date.lt(until)),
        )
        .order((shift_people::person_id, shifts::work_date))
        .select((shift_people::person_id, shifts::work_date))
        .load(conn)?;
    let mut days: HashMap<i64, Vec<NaiveDate>> = HashMap::new();
    for (person, day) in rows {
        days.entry(person).or_default().push(day);
    }
    Ok(days)
}

/// When the site was set up.
pub fn founded_at(conn: &mut Conn, scope: &Scope) -> Result<Instant> {
    Ok(sites::table
        .find(scope.site_id())
        .select(sites::created_at)
        .first(conn)?)
}

/// Which of these visits were not made: not fitted into the plan in force of their day, or given
/// back not done, and no other order has done what was left. Two queries.
pub fn visits_not_made(
    conn: &mut Conn,
    scope: &Scope,
    visit_keys: &[String],
) -> Result<HashSet<String>> {
    let unfitted: Vec<String> = unfitted_visits::table
        .inner_join(day_plans::table)
        .filter(
            unfitted_visits::site_id
                .eq(scope.site_id())
                .and(unfitted_visits::visit_key.eq_any(visit_keys))
                .and(day_plans::state.ne(PlanState::Replaced)),
        )
        .select(unfitted_visits::visit_key)
        .load(conn)?;
    let next = diesel::alias!(work_orders as next);
    let made_good = next
        .filter(next.field(work_orders::site_id).eq(scope.site_id()))
        .filter(
            next.field(work_orders::follows_id)
                .eq(work_orders::id.nullable()),
        )
        .filter(next.field(work_orders::state).eq(OrderState::Finished));
    let undone: Vec<String> = work_orders::table
        .filter(
            work_orders::site_id
                .eq(scope.site_id())
                .and(work_orders::visit_key.eq_any(visit_keys))
                .and(work_orders::state.eq(OrderState::LeftUndone)),
        )
        .filter(diesel::dsl::not(diesel::dsl::exists(made_good)))
        .select(work_orders::visit_key)
        .load(conn)?;
    Ok(unfitted.into_iter().chain(undone).collect())
}
