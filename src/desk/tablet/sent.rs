//! What tablets sent, as the manager sees it: all of it, also what was refused and never mended.

use serde::Serialize;
use serde_json::Value;
use utoipa::ToSchema;

use super::outbox::Why;
use crate::desk::access::{Permit, SeeSent};
use crate::desk::{Office, Result};
use crate::store::tablet_events::{
    Outcome, SentFilter, TabletEventRow, tablet_event_list, tablet_events_of_person,
};
use crate::store::{self, Conn, Instant, Page, Paged, Scope};

/// Something a tablet sent.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = TabletEvent)]
pub struct SentView {
    /// Id.
    pub id: i64,
    /// The tablet's own key of it.
    pub key: String,
    /// The user who sent it: the tablet, or who was signed in on it.
    pub user_id: i64,
    /// Who held the tablet.
    pub person_id: Option<i64>,
    /// The crew whose tablet it was.
    pub crew_id: Option<i64>,
    /// The order it names, where the site has it.
    pub order_id: Option<i64>,
    /// What was told; of an incident or near miss that there is one, and no more: the rest is for those named for it.
    #[schema(value_type = Object)]
    pub happening: Value,
    /// When, by the tablet's clock.
    pub device_at: Instant,
    /// When, by the office's clock.
    pub happened_at: Instant,
    /// When the office learned of it.
    pub learned_at: Instant,
    /// The key of the refused event that it mends.
    pub mends: Option<String>,
    /// What became of it; null while that is not known.
    pub outcome: Option<Outcome>,
    /// Why it was not done as told.
    #[serde(flatten)]
    pub why: Why,
}

/// What the site's tablets sent and passes the filter, in the order in which it came.
pub fn sent_list(
    office: &Office,
    permit: &Permit<SeeSent>,
    filter: SentFilter,
    page: Page,
) -> Result<Paged<SentView>> {
    let rows = office
        .db
        .read(|conn| tablet_event_list(conn, permit, filter, page))?;
    let items = rows
        .items
        .into_iter()
        .map(view)
        .collect::<store::Result<_>>()?;
    Ok(Paged {
        items,
        next: rows.next,
    })
}

/// What a person told by tablet, for whoever hands out what is known of them.
pub(in crate::desk) fn sent_by(
    conn: &mut Conn,
    scope: &Scope,
    person_id: i64,
) -> store::Result<Vec<SentView>> {
    let rows = tablet_events_of_person(conn, scope, person_id)?;
    rows.into_iter().map(view).collect()
}

fn view(row: TabletEventRow) -> store::Result<SentView> {
    let unreadable =
        |e: serde_json::Error| store::Error::Unreadable(format!("a tablet event: {e}"));
    let why = row.why.as_deref().map(serde_json::from_str).transpose();
    Ok(SentView {
        id: row.id,
        key: row.client_key,
        user_id: row.user_id,
        person_id: row.person_id,
        crew_id: row.crew_id,
        order_id: row.order_id,
        happening: shown(serde_json::from_str(&row.told).map_err(unreadable)?),
        device_at: row.device_at,
        happened_at: row.happened_at,
        learned_at: row.learned_at,
        mends: row.mends_key,
        outcome: row.outcome,
        why: why.map_err(unreadable)?.unwrap_or_default(),
    })
}

/// Who may read of incidents is no matter of roles: what is told of one is read where that is asked.
fn shown(happening: Value) -> Value {
    if happening["kind"] == "incident" {
        return serde_json::json!({ "kind": "incident" });
    }
    happening
}
