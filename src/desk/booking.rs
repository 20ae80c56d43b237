//! Booking: everything the closing of an order writes, in one transaction.
//!
//! [`book_closing`] is the one door. It changes the order and its steps, tools and waterings,
//! appends the event, hours entries, stock moves and readings, keeps how long it took, and costs the courts to the cent.
//! It takes what it is told: [`orders`](super::orders) has checked it before.

mod lines;
mod parts;
mod rates;
mod reversal;
mod times;
mod totals;

use serde_json::json;
use trade::labour::Worked;

pub(super) use lines::{cost_lines, uses};
pub(super) use parts::{PART, by_hand, reckon, settle, settle_over};
pub use rates::{Rates, WearRate};
pub use reversal::reverse_closing;
pub use times::timed;
pub(super) use totals::Kept;

use super::orders::life;
use super::{Error, Result, wear};
use crate::store::audit::{Deed, Touch, audit_append_about};
use crate::store::cost::TotalRow;
use crate::store::holds::HoldReason;
use crate::store::hours::{HoursKind, NewHours, hours_add};
use crate::store::orders::{self, Fit, OrderEvent, OrderRow, ReadingOfOrder, UndoneReason};
use crate::store::{self, Instant, Scope, Tx, columns};

/// What cost lines, hours entries and stock moves of an order name as their source.
pub const SOURCE: &str = "work_order";

/// An order given back.
#[derive(Clone, Debug)]
pub struct Closing<'a> {
    /// The order as it stood before.
    pub order: &'a OrderRow,
    /// How it was given back.
    pub outcome: Outcome,
    /// When.
    pub at: Instant,
    /// When the office learned of it: [`Tx::now`] but for history that is laid afterwards.
    pub learned_at: Instant,
    /// Who told it.
    pub user_id: i64,
    /// The client's own key of it.
    pub client_key: Option<String>,
    /// Places of the steps that were done.
    pub steps_done: Vec<i64>,
    /// Who worked on it, and when. Each must have a pay rate on the order's date.
    pub people: Vec<Worked>,
    /// What was taken from the stores.
    pub materials: Vec<Taken>,
    /// Which tools were used; the order's others were not.
    pub tools: Vec<ToolUse>,
    /// What was measured.
    pub readings: Vec<ReadingOfOrder>,
    /// What the crew adds in its own words.
    pub note: Option<String>,
}

/// How an order was given back.
#[derive(Clone, Debug)]
pub enum Outcome {
    /// Done; and what the crew says of the court.
    Finished(Fitness),
    /// Not done, and why.
    LeftUndone(UndoneReason),
}

/// What the crew that closes a court says of it.
#[derive(Clone, Debug)]
pub struct Fitness {
    /// Whether it is fit for play.
    pub is: Fit,
    /// Until when it is not.
    pub until: Option<Instant>,
    /// Why it is held, as it was picked.
    pub hold_reason: Option<HoldReason>,
    /// The same in the crew's own words.
    pub reason: Option<String>,
}

/// Material taken for an order.
#[derive(Clone, Copy, Debug)]
pub struct Taken {
    /// The material.
    pub material_id: i64,
    /// How much, in its unit, above zero. What the stores do not have is taken and flagged.
    pub quantity: i64,
}

/// Uses of a tool on an order.
#[derive(Clone, Copy, Debug)]
pub struct ToolUse {
    /// The tool.
    pub tool_id: i64,
    /// How often.
    pub uses: i64,
}

/// What a closing booked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Booked {
    /// The state the order is in.
    pub state: orders::OrderState,
    /// The number of its event in the site's sequence.
    pub seq: i64,
    /// What it cost its courts, cents.
    pub cents: i64,
    /// The runs of water that were planned with the order.
    pub waterings: Vec<i64>,
}

/// Books the closing of an order: all of it, or nothing where the transaction is given up.
///
/// `rates` is read once a transaction and serves any number of closings, so that thousands of
/// them, as when a site's history is laid, take a handful of small statements each. Everything is
/// booked on the order's own date. [`Error::State`] where the order cannot be closed now.
pub fn book_closing(
    tx: &mut Tx<'_>,
    scope: &Scope,
    rates: &Rates,
    closing: &Closing<'_>,
) -> Result<Booked> {
    let order = closing.order;
    let event = match closing.outcome {
        Outcome::Finished(_) => OrderEvent::Finished,
        Outcome::LeftUndone(_) => OrderEvent::LeftUndone,
    };
    let state = life::after(order.state, event)?;
    orders::order_close(tx, scope, order.id, &closed(closing, state))?;
    orders::order_steps_mark(tx, scope, order.id, &closing.steps_done)?;
    let used: Vec<_> = closing.tools.iter().map(|t| (t.tool_id, t.uses)).collect();
    let own = orders::order_tools(tx.conn(), scope, &[order.id])?;
    let mut tools_added: Vec<i64> = used.iter().map(|(tool, _)| *tool).collect();
    tools_added.retain(|tool| own.iter().all(|known| known.tool_id != *tool));
    orders::order_tools_mark(tx, scope, order.id, &used)?;
    let used_parts = wear::book(tx, scope, rates, closing)?;
    let entries = hours(closing, scope.site_id(), &mut || tx.next_seq());
    hours_add(tx, &entries)?;
    times::book(tx, scope, closing)?;
    let lines::Lines {
        cents,
        totals,
        waterings,
    } = lines::book(tx, scope, rates, closing, &used_parts)?;
    // After the use is booked: a reading says what is left from here on.
    for reading in &closing.readings {
        let length = wear::Measure {
            part: reading.wear_part_id,
            on: order.work_date,
            length_um: reading.length_um,
            order_id: Some(order.id),
            user_id: closing.user_id,
            learned_at: closing.learned_at,
        };
        wear::keep(tx, scope, rates, length)?;
    }
    let mut data = event_data(closing, &totals);
    data["waterings"] = json!(waterings);
    data["tools_added"] = json!(tools_added);
    let seq = append_event(tx, scope, closing, event, &data)?;
    let deed = Deed {
        verb: event.as_str(),
        subject: SOURCE,
        id: order.id,
        data: json!({ "event": seq, "version": order.version + 1, "cents": cents }),
    };
    audit_append_about(tx, scope, &deed, &about(rates, closing))?;
    Ok(Booked {
        state,
        seq,
        cents,
        waterings,
    })
}

/// Whom and what a closing is about beside its order: its courts, and who worked on it.
fn about(rates: &Rates, closing: &Closing<'_>) -> Vec<Touch> {
    let courts = rates.courts_of(closing.order).map(|court| ("court", court));
    let people = closing
        .people
        .iter()
        .map(|worked| ("person", worked.person));
    courts.chain(people).collect()
}

/// How the order stands afterwards.
fn closed(closing: &Closing<'_>, state: orders::OrderState) -> orders::OrderClosed {
    let mut closed = orders::OrderClosed {
        state,
        ended_at: closing.at,
        fit: None,
        fit_until: None,
        fit_hold_reason: None,
        fit_reason: None,
        undone_reason: None,
        undone_note: None,
    };
    match &closing.outcome {
        Outcome::Finished(fitness) => {
            closed.fit = Some(fitness.is);
            closed.fit_until = fitness.until;
            closed.fit_hold_reason = fitness.hold_reason;
            closed.fit_reason.clone_from(&fitness.reason);
        }
        Outcome::LeftUndone(reason) => {
            closed.undone_reason = Some(*reason);
            closed.undone_note.clone_from(&closing.note);
        }
    }
    closed
}

/// What the event of a closing tells, as it is kept, with what it moved the running totals by.
pub(super) fn event_data(closing: &Closing<'_>, totals: &[TotalRow]) -> serde_json::Value {
    let (fitness, reason) = match &closing.outcome {
        Outcome::Finished(fitness) => (Some(fitness), None),
        Outcome::LeftUndone(reason) => (None, Some(reason)),
    };
    json!({
        "fit": fitness.map(|f| json!({
            "is": f.is, "until": f.until, "hold_reason": f.hold_reason, "reason": f.reason,
        })),
        "undone_reason": reason,
        "steps_done": closing.steps_done,
        "people": closing.people.iter().map(|p| json!({
            "person_id": p.person, "started_at": p.span.from, "ended_at": p.span.to,
        })).collect::<Vec<_>>(),
        "materials": closing.materials.iter().map(|m| json!({
            "material_id": m.material_id, "quantity": m.quantity,
        })).collect::<Vec<_>>(),
        "tool_uses": closing.tools.iter().map(|t| json!({
            "tool_id": t.tool_id, "uses": t.uses,
        })).collect::<Vec<_>>(),
        "readings": closing.readings.iter().map(|r| json!({
            "wear_part_id": r.wear_part_id, "length_um": r.length_um,
        })).collect::<Vec<_>>(),
        "note": closing.note,
        "totals": totals,
    })
}

fn append_event(
    tx: &mut Tx<'_>,
    scope: &Scope,
    closing: &Closing<'_>,
    kind: OrderEvent,
    data: &serde_json::Value,
) -> Result<i64> {
    let event = orders::NewOrderEvent {
        order_id: closing.order.id,
        kind,
        happened_at: closing.at,
        learned_at: closing.learned_at,
        user_id: closing.user_id,
        data: columns::json(data)?,
        client_key: closing.client_key.clone(),
    };
    Ok(orders::order_event_add(tx, scope, &event)?)
}

/// The hours entries of a closing.
pub(super) fn hours(
    closing: &Closing<'_>,
    site_id: i64,
    next_seq: &mut impl FnMut() -> i64,
) -> Vec<NewHours> {
    let order = closing.order;
    closing
        .people
        .iter()
        .map(|worked| NewHours {
            site_id,
            seq: next_seq(),
            person_id: worked.person,
            order_id: Some(order.id),
            kind: HoursKind::Order,
            starts_at: worked.span.from.into(),
            ends_at: worked.span.to.into(),
            work_date: order.work_date,
            booked_at: closing.learned_at,
            source_kind: SOURCE,
            source_id: order.id,
            reverses_id: None,
        })
        .collect()
}

/// A booking that was checked before and still does not come out: the service's own fault.
pub(super) fn unbookable(why: impl std::fmt::Display) -> Error {
    store::Error::Unreadable(format!("a booking does not come out: {why}")).into()
}
