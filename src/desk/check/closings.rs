//! What an order cost is what its lines sum to, and what its courts bear are parts of a whole.

use std::collections::HashMap;

use serde::Deserialize;

use super::{Anchor, Found, MOST_ASKED, counted};
use crate::desk::Result;
use crate::store::proofs::{
    ClosingTold, closings_of, closings_told, lines_by_order, lines_by_plan, material_lines_untied,
    uneven_splits,
};
use crate::store::{Conn, Scope};

const AT_ONCE: i64 = 500;

/// What the event says it cost.
#[derive(Deserialize)]
struct Cost {
    cents: i64,
}

pub(super) fn prove(conn: &mut Conn, scope: &Scope, _: &[Anchor]) -> Result<Found> {
    let (mut found, mut after, mut count) = (Found::default(), i64::MIN, 0);
    loop {
        let told = closings_told(conn, scope, after, AT_ONCE)?;
        let Some(last) = told.last() else { break };
        after = last.seq;
        let orders: Vec<i64> = told.iter().filter(|t| is_order(t)).map(|t| t.id).collect();
        let sums = lines_by_order(conn, scope, &orders)?;
        let sums: HashMap<i64, i64> = sums.iter().map(|s| (s.subject, s.cents)).collect();
        // An order that was taken back and closed again has several: together they say what its lines sum to.
        let mut of_order: HashMap<i64, Option<i64>> = HashMap::new();
        for event in closings_of(conn, scope, &orders)? {
            let said = of_order.entry(event.id).or_insert(Some(0));
            *said = said.zip(cents(&event)).map(|(sum, more)| sum + more);
        }
        for event in &told {
            let (what, lines, said) = if is_order(event) {
                let lines = sums.get(&event.id).copied().unwrap_or(0);
                let said = of_order.get(&event.id).copied().flatten();
                ("order", lines, said)
            } else {
                let lines = lines_by_plan(conn, scope, event.id, event.seq)?;
                ("day plan", lines, cents(event))
            };
            count += 1;
            if said != Some(lines) {
                let said = said.map_or_else(|| "nothing".into(), |cents| format!("{cents} cents"));
                found.note(format!(
                    "{what} {}: its lines sum to {lines} cents, event {} says {said}",
                    event.id, event.seq
                ));
            }
        }
    }
    found.note_all(material_lines_untied(conn, scope, MOST_ASKED)?);
    found.note_all(uneven_splits(conn, scope, MOST_ASKED)?);
    found.looked_at = counted(count, "closings");
    Ok(found)
}

/// What an event says it cost; none where it says nothing.
fn cents(event: &ClosingTold) -> Option<i64> {
    let cost = serde_json::from_str::<Cost>(&event.data).ok();
    cost.map(|cost| cost.cents)
}

fn is_order(event: &ClosingTold) -> bool {
    event.subject == "work_order"
}
