//! What an order is shown with: names, steps and tools, one query each however many orders.

use diesel::prelude::*;
use trade::grooming::Pulled;

use crate::store::care::TaskDetail;
use crate::store::columns::{Json, Word};
use crate::store::schema::{
    banks, care_tasks, courts, crews, order_steps, order_tools, tool_classes, tools, work_orders,
};
use crate::store::{Conn, Result, Scope};

/// The names an order is shown with.
#[derive(Clone, Debug, Queryable)]
pub struct OrderNames {
    /// The order.
    pub order_id: i64,
    /// Its court, where it is work on one court.
    pub court: Option<String>,
    /// Its bank, where it is work on a whole bank.
    pub bank: Option<String>,
    /// Its crew.
    pub crew: String,
}

/// The names of these orders' courts, banks and crews.
pub fn order_names(conn: &mut Conn, scope: &Scope, orders: &[i64]) -> Result<Vec<OrderNames>> {
    Ok(work_orders::table
        .left_join(courts::table.on(work_orders::court_id.eq(courts::id.nullable())))
        .left_join(banks::table.on(work_orders::bank_id.eq(banks::id.nullable())))
        .inner_join(crews::table.on(work_orders::crew_id.eq(crews::id)))
        .filter(
            work_orders::site_id
                .eq(scope.site_id())
                .and(work_orders::id.eq_any(orders)),
        )
        .select((
            work_orders::id,
            courts::name.nullable(),
            banks::name.nullable(),
            crews::name,
        ))
        .load(conn)?)
}

/// A step of an order with the care task it does.
#[derive(Clone, Debug, Queryable)]
pub struct StepOfOrder {
    /// Its order.
    pub order_id: i64,
    /// Place in the order, from 1.
    pub position: i64,
    /// How long it takes the crew as planned, s.
    pub planned_s: i64,
    /// How long it takes the crew by the standard, s.
    pub standard_s: Option<i64>,
    /// Whether it was done; none until the order is given back.
    pub done: Option<bool>,
    /// The care task's code.
    pub code: String,
    /// Its name, as the site calls it.
    pub name: String,
    /// The usual caution's key, where the work can hurt someone.
    pub caution: Option<String>,
    /// What only some tasks have: the materials a court takes among it.
    pub detail: Json<TaskDetail>,
}

/// The steps of these orders with their care tasks, in order.
pub fn order_steps_named(
    conn: &mut Conn,
    scope: &Scope,
    orders: &[i64],
) -> Result<Vec<StepOfOrder>> {
    Ok(order_steps::table
        .inner_join(care_tasks::table)
        .filter(
            order_steps::site_id
                .eq(scope.site_id())
                .and(order_steps::order_id.eq_any(orders)),
        )
        .order((order_steps::order_id, order_steps::position))
        .select((
            order_steps::order_id,
            order_steps::position,
            order_steps::planned_s,
            order_steps::standard_s,
            order_steps::done,
            care_tasks::code,
            care_tasks::name,
            care_tasks::caution,
            care_tasks::detail,
        ))
        .load(conn)?)
}

/// A tool of an order with its class.
#[derive(Clone, Debug, Queryable)]
pub struct ToolOfOrder {
    /// Its order.
    pub order_id: i64,
    /// The tool.
    pub tool_id: i64,
    /// Its number.
    pub number: String,
    /// Code of its class.
    pub class: String,
    /// Name of its class, as the site calls it.
    pub class_name: String,
    /// How it is pulled.
    pub pulled: Word<Pulled>,
}

/// The tools of these orders with their classes, by number.
pub fn order_tools(conn: &mut Conn, scope: &Scope, orders: &[i64]) -> Result<Vec<ToolOfOrder>> {
    Ok(order_tools::table
        .inner_join(tools::table.inner_join(tool_classes::table))
        .filter(
            order_tools::site_id
                .eq(scope.site_id())
                .and(order_tools::order_id.eq_any(orders)),
        )
        .order((order_tools::order_id, tools::number))
        .select((
            order_tools::order_id,
            tools::id,
            tools::number,
            tool_classes::code,
            tool_classes::name,
            tool_classes::pulled,
        ))
        .load(conn)?)
}
