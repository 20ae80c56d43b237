//! What is in store is what came in less what went out, and each issue took its share of the value.

use trade::money::Cents;
use trade::stock::{Position, Quantity};

use super::{Anchor, Found, counted};
use crate::desk::Result;
use crate::store::proofs::moves_of_material;
use crate::store::stores::{MaterialRow, StockMoveKind, StockMoveRow, material_list};
use crate::store::{Conn, Page, Scope};

const AT_ONCE: i64 = 1_000;

pub(super) fn prove(conn: &mut Conn, scope: &Scope, _: &[Anchor]) -> Result<Found> {
    let (mut found, mut count) = (Found::default(), 0);
    for material in material_list(conn, scope, Page::ALL)?.items {
        count += replay(conn, scope, &material, &mut found)?;
    }
    found.looked_at = counted(count, "moves");
    Ok(found)
}

/// Follows a material's moves; gives how many there are.
fn replay(
    conn: &mut Conn,
    scope: &Scope,
    material: &MaterialRow,
    found: &mut Found,
) -> Result<i64> {
    let (mut stock, mut after, mut count) = (Position::default(), i64::MIN, 0);
    loop {
        let moves = moves_of_material(conn, scope, material.id, after, AT_ONCE)?;
        let Some(last) = moves.last() else { break };
        after = last.seq;
        for one in &moves {
            count += 1;
            if let Some(why) = odd(stock, one) {
                found.note(format!("material {}, move {}: {why}", material.id, one.seq));
            }
            let sums = (
                stock.quantity.0.checked_add(one.quantity),
                stock.value.0.checked_add(one.value_cents),
            );
            let (Some(quantity), Some(value)) = sums else {
                found.note(format!(
                    "material {}: its moves sum to no number",
                    material.id
                ));
                return Ok(count);
            };
            stock = Position {
                quantity: Quantity(quantity),
                value: Cents(value),
            };
        }
    }
    if (stock.quantity.0, stock.value.0) != (material.on_hand, material.value_cents) {
        found.note(format!(
            "material {}: {} at {} cents stand in store, and its moves sum to {} at {} cents",
            material.id, material.on_hand, material.value_cents, stock.quantity.0, stock.value.0
        ));
    }
    Ok(count)
}

/// Why an issue is not one that the stores make, if it is not.
fn odd(stock: Position, one: &StockMoveRow) -> Option<String> {
    if one.kind != StockMoveKind::Issue || one.reverses_id.is_some() {
        return None;
    }
    let Some(issue) = one
        .quantity
        .checked_neg()
        .and_then(|q| stock.issue(Quantity(q)).ok())
    else {
        return Some(format!("an issue of {} is none", one.quantity));
    };
    let worth = -issue.value.0;
    if one.value_cents != worth {
        let is = one.value_cents;
        return Some(format!(
            "it took out {is} cents, and its share of the stock was {worth}"
        ));
    }
    (one.beyond_stock != (issue.beyond.0 > 0))
        .then(|| "whether more went out than was there is told wrongly".into())
}
