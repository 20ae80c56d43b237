//! Holds: anyone on shift shuts a court at once, with a reason; the manager or a deputy opens it again.
//!
//! A court is held while a hold of it is on. A crew that gives an order back with the court `held`
//! makes one; none can give it back `yes` before it is released. Its turnarounds stay planned: they
//! may be what mends it.

use std::collections::HashMap;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::access::{HoldCourt, Permit, ReleaseHold, SeeSite};
use super::error::Named;
use super::once::Once;
use super::stops::{actor, when};
use super::{Error, Office, Result};
use crate::store::audit::{Deed, audit_append_about};
use crate::store::courts::{court_list, court_read};
use crate::store::holds::{
    self, HoldFilter, HoldReason, HoldRow, NewHold, court_is_held, hold_add, holder_names,
    holds_of_order,
};
use crate::store::orders::OrderRow;
use crate::store::{self, Conn, Instant, Page, Paged, Scope, Tx};

const LONGEST_NOTE: usize = 500;

/// A court is to be held.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct HoldTold {
    /// Why.
    pub reason: HoldReason,
    /// The same in one's own words, at most 500 characters; needed with `other`.
    pub note: Option<String>,
    /// When; now, where it is not told.
    pub happened_at: Option<Instant>,
}

/// A hold is to be released.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ReleaseTold {
    /// What was mended, at most 500 characters.
    pub note: Option<String>,
}

/// A hold.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[schema(as = Hold)]
pub struct HoldView {
    /// Id.
    pub id: i64,
    /// The court.
    pub court_id: i64,
    /// Its name.
    pub court: String,
    /// The order on whose return it was said, where it was.
    pub order_id: Option<i64>,
    /// Why.
    pub reason: HoldReason,
    /// The same in the holder's own words.
    pub note: Option<String>,
    /// Since when.
    pub held_at: Instant,
    /// Who held it.
    pub held_by: String,
    /// When it was released; null while it is on.
    pub released_at: Option<Instant>,
    /// Who released it.
    pub released_by: Option<String>,
    /// What was said of that.
    pub release_note: Option<String>,
}

/// The site's holds that pass the filter.
pub fn hold_list(
    office: &Office,
    permit: &Permit<SeeSite>,
    filter: HoldFilter,
    page: Page,
) -> Result<Paged<HoldView>> {
    Ok(office.db.read(|conn| -> store::Result<_> {
        let Paged { items, next } = holds::hold_list(conn, permit, filter, page)?;
        let items = views(conn, items)?;
        Ok(Paged { items, next })
    })?)
}

/// Holds a court.
pub fn court_hold(
    office: &Office,
    permit: &Permit<HoldCourt>,
    court_id: i64,
    client_key: String,
    told: &HoldTold,
) -> Result<HoldView> {
    let once = Once::new(client_key, format!("courts/{court_id}/holds"), told)?;
    let note = text(told.note.as_deref())?;
    if note.is_none() && told.reason == HoldReason::Other {
        let mend = "say what the reason is";
        return Err(Error::refused_as("note_missing", "/note", mend));
    }
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            court_read(tx.conn(), permit, court_id).named("court")?;
            let hold = NewHold {
                court_id,
                order_id: None,
                reason: told.reason,
                note,
                held_at: when(tx.now(), told.happened_at)?,
                held_by: actor(permit)?,
                client_key: Some(&once.client_key),
            };
            let id = add(tx, permit, &hold)?;
            read(tx.conn(), permit, id)
        })
    })
}

/// Releases a hold. The court is open again once no other hold of it is on.
pub fn hold_release(
    office: &Office,
    permit: &Permit<ReleaseHold>,
    id: i64,
    client_key: String,
    told: &ReleaseTold,
) -> Result<HoldView> {
    let once = Once::new(client_key, format!("holds/{id}/release"), told)?;
    let note = text(told.note.as_deref())?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let hold = holds::hold_read(tx.conn(), permit, id).named("hold")?;
            if let Some(at) = hold.released_at {
                let code = ("hold_released", [("at", serde_json::json!(at))]);
                let detail = format!("this hold was released at {at}");
                return Err(Error::state_of(code, detail));
            }
            holds::hold_release(tx, permit, id, actor(permit)?, note)?;
            let deed = Deed {
                verb: "released",
                subject: "hold",
                id,
                data: serde_json::json!({ "court": hold.court_id }),
            };
            audit_append_about(tx, permit, &deed, &[("court", hold.court_id)])?;
            read(tx.conn(), permit, id)
        })
    })
}

/// The holds that are on.
pub(super) fn holds_on(conn: &mut Conn, scope: &Scope) -> store::Result<Vec<HoldView>> {
    let filter = HoldFilter {
        on: Some(true),
        ..HoldFilter::default()
    };
    let rows = holds::hold_list(conn, scope, filter, Page::ALL)?.items;
    views(conn, rows)
}

/// That an order's court may be said to be fit for play. Work on a whole bank says nothing of one
/// court's hold.
pub(super) fn not_held(conn: &mut Conn, scope: &Scope, order: &OrderRow) -> Result<()> {
    let Some(court) = order.court_id else {
        return Ok(());
    };
    if court_is_held(conn, scope, court)? {
        return Err(Error::state_of(
            "court_held",
            "this court is held: a manager or deputy releases it first, or give the order back with \
             the court held or not yet fit",
        ));
    }
    Ok(())
}

/// Holds the court of an order, or every court of its bank, since its crew says so.
pub(super) fn hold_by_order(
    tx: &mut Tx<'_>,
    scope: &Scope,
    order: &OrderRow,
    at: Instant,
    reason: HoldReason,
    note: Option<&str>,
) -> Result<()> {
    let courts: Vec<i64> = match (order.court_id, order.bank_id) {
        (Some(court), _) => vec![court],
        (None, Some(bank)) => court_list(tx.conn(), scope, Page::ALL)?
            .items
            .into_iter()
            .filter(|court| court.bank_id == bank)
            .map(|court| court.id)
            .collect(),
        (None, None) => Vec::new(),
    };
    for court_id in courts {
        let hold = NewHold {
            court_id,
            order_id: Some(order.id),
            reason,
            note,
            held_at: at,
            held_by: actor(scope)?,
            client_key: None,
        };
        add(tx, scope, &hold)?;
    }
    Ok(())
}

/// Releases the holds that an order's closing made, since that is taken back.
pub(super) fn unhold_by_order(tx: &mut Tx<'_>, scope: &Scope, order_id: i64) -> Result<()> {
    for (id, court_id) in holds_of_order(tx.conn(), scope, order_id)? {
        holds::hold_release(tx, scope, id, actor(scope)?, None)?;
        let deed = Deed {
            verb: "released",
            subject: "hold",
            id,
            data: serde_json::json!({ "court": court_id, "taken_back": order_id }),
        };
        audit_append_about(tx, scope, &deed, &[("court", court_id)])?;
    }
    Ok(())
}

fn add(tx: &mut Tx<'_>, scope: &Scope, hold: &NewHold<'_>) -> Result<i64> {
    let id = hold_add(tx, scope, hold)?;
    let deed = Deed {
        verb: "held",
        subject: "hold",
        id,
        data: serde_json::json!({
            "court": hold.court_id, "reason": hold.reason, "order": hold.order_id,
            "happened_at": hold.held_at,
        }),
    };
    let order = hold.order_id.map(|order| ("work_order", order));
    let about: Vec<_> = order
        .into_iter()
        .chain([("court", hold.court_id)])
        .collect();
    audit_append_about(tx, scope, &deed, &about)?;
    Ok(id)
}

fn read(conn: &mut Conn, scope: &Scope, id: i64) -> Result<HoldView> {
    let row = holds::hold_read(conn, scope, id).named("hold")?;
    views(conn, vec![row])?.pop().ok_or(Error::NotFound("hold"))
}

/// Holds with the names of who held and released them.
fn views(conn: &mut Conn, rows: Vec<HoldRow>) -> store::Result<Vec<HoldView>> {
    if rows.is_empty() {
        return Ok(Vec::new());
    }
    let ids: Vec<i64> = rows
        .iter()
        .flat_map(|hold| [Some(hold.held_by), hold.released_by])
        .flatten()
        .collect();
    let names: HashMap<i64, String> = holder_names(conn, &ids)?.into_iter().collect();
    let name = |id: i64| names.get(&id).cloned();
    Ok(rows
        .into_iter()
        .map(|hold| HoldView {
            id: hold.id,
            court_id: hold.court_id,
            court: hold.court,
            order_id: hold.order_id,
            reason: hold.reason,
            note: hold.note,
            held_at: hold.held_at,
            held_by: name(hold.held_by).unwrap_or_default(),
            released_at: hold.released_at,
            released_by: hold.released_by.and_then(name),
            release_note: hold.release_note,
        })
        .collect())
}

fn text(note: Option<&str>) -> Result<Option<&str>> {
    let note = note.map(str::trim).filter(|note| !note.is_empty());
    if note.is_some_and(|note| note.chars().count() > LONGEST_NOTE) {
        let mend = format!("say it in at most {LONGEST_NOTE} characters");
        let code = ("too_long", [("most", serde_json::json!(LONGEST_NOTE))]);
        return Err(Error::refused_as(code, "/note", mend));
    }
    Ok(note)
}
