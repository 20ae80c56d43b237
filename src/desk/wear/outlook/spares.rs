//! Parts on the shelf: what is to be ordered, when and how many, one list a supplier.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use serde::Serialize;
use trade::spares::{Demand, Supply, order};
use utoipa::ToSchema;

use super::{Book, CHANCE_DAYS, Fitted};
use crate::desk::Result;
use crate::desk::booking::unbookable;
use crate::desk::settings::known::SPARES_PERMILLE;
use crate::desk::wear::known::whole_number;
use crate::store::wear::PartSupplyRow;

/// What is to be ordered from a supplier.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct SupplierList {
    /// Who sends it.
    pub supplier: String,
    /// The day on which the first of it is to be ordered; null where nothing is within the year.
    pub order_on: Option<NaiveDate>,
    /// What all that is ordered costs by what is known of prices, cents.
    pub cents: i64,
    /// Each kind of part that comes from there.
    pub parts: Vec<SpareView>,
}

/// A kind of part on the shelf.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct SpareView {
    /// How it comes.
    #[serde(flatten)]
    pub supply: PartSupplyRow,
    /// What the site calls the tool class.
    pub class: Option<String>,
    /// How many are fitted.
    pub fitted: usize,
    /// How many are on the shelf.
    pub on_shelf: i64,
    /// How many are likely to be needed until an order of today is there, thousandths.
    pub needed_in_lead_permille: i64,
    /// The order to make; null where the shelf is enough for a year and a half.
    pub order: Option<SpareOrderView>,
    /// What one costs by what is known of prices, cents.
    pub cents_each: Option<i64>,
}

/// An order to be made.
#[derive(Clone, Copy, Debug, Serialize, ToSchema)]
#[schema(as = SpareOrder)]
pub struct SpareOrderView {
    /// The day on which to make it.
    pub on: NaiveDate,
    /// The day from which the shelf is no longer enough.
    pub short_from: NaiveDate,
    /// How many.
    pub quantity: i64,
    /// How many of them stand beyond what is likely to be needed, thousandths: what the service level costs.
    pub safety_permille: i64,
    /// Whether it comes too late even if it is made today.
    pub late: bool,
}

/// What is to be ordered, the supplier with the earliest order first.
pub(super) fn by_supplier(book: &Book, fitted: &[Fitted]) -> Result<Vec<SupplierList>> {
    let mut lists: BTreeMap<&str, SupplierList> = BTreeMap::new();
    for supply in &book.supplies {
        let spare = spare(book, fitted, supply)?;
        let list = lists
            .entry(&supply.supplier)
            .or_insert_with(|| SupplierList {
                supplier: supply.supplier.clone(),
                order_on: None,
                cents: 0,
                parts: Vec::new(),
            });
        if let Some(order) = spare.order {
            list.order_on = list
                .order_on
                .map_or(Some(order.on), |on| Some(on.min(order.on)));
            let cents = order.quantity.saturating_mul(spare.cents_each.unwrap_or(0));
            list.cents = list.cents.saturating_add(cents);
        }
        list.parts.push(spare);
    }
    let mut lists: Vec<SupplierList> = lists.into_values().collect();
    for list in &mut lists {
        list.parts
            .sort_by_key(|one| one.order.map_or(NaiveDate::MAX, |order| order.on));
    }
    lists.sort_by_key(|list| list.order_on.unwrap_or(NaiveDate::MAX));
    Ok(lists)
}

fn spare(book: &Book, fitted: &[Fitted], supply: &PartSupplyRow) -> Result<SpareView> {
    let sort = (supply.kind, supply.tool_class_id);
    let on_shelf = supply
        .material_id
        .and_then(|material| book.shelf.get(&material));
    let on_shelf = on_shelf.map_or(0, |(pieces, _)| *pieces);
    let of_sort: Vec<&Fitted> = fitted.iter().filter(|one| one.sort == sort).collect();
    let days = |days: i64| usize::try_from(days).unwrap_or(0).min(CHANCE_DAYS - 1);
    let lead = days(supply.lead_days);
    let until_there: Vec<f64> = of_sort.iter().map(|one| one.chances[lead]).collect();
    let needed = Demand::of(&until_there).map_err(unbookable)?.mean();
    let wanted = Supply {
        parts: usize::try_from(on_shelf.max(0)).unwrap_or(0),
        lead_days: lead,
        cover_days: days(supply.cover_days),
        service_permille: book.settings.number(SPARES_PERMILLE),
    };
    let chances: Vec<Vec<f64>> = of_sort.iter().map(|one| one.chances.clone()).collect();
    let order = order(book.today, &chances, &wanted).map_err(unbookable)?;
    Ok(SpareView {
        supply: supply.clone(),
        class: book.class(sort).map(|class| class.name.clone()),
        fitted: of_sort.len(),
        on_shelf,
        needed_in_lead_permille: permille(needed),
        order: order.map(|order| SpareOrderView {
            on: order.on,
            short_from: order.short_from,
            quantity: i64::try_from(order.quantity).unwrap_or(i64::MAX),
            safety_permille: permille(order.safety),
            late: order.late,
        }),
        cents_each: book.price(sort).map(|cents| cents.0),
    })
}

fn permille(of: f64) -> i64 {
    whole_number(of * 1_000.0).unwrap_or(0)
}
