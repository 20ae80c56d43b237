//! Work orders: start, finish, leave undone.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::store::orders::OrderRow;

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
    /// Its steps, in order.
    pub steps: Vec<StepView>,
    /// Its tools, by number.
    pub tools: Vec<ToolView>,
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
    /// The usual caution's key, where the work can hurt someone.
    pub caution: Option<String>,
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
