//! The audit trail as the manager reads it, in data that the API and the pages share.

use std::collections::HashMap;

use chrono::NaiveDate;
use serde::Serialize;
use serde_json::{Map, Value};
use trade::calendar::day_span;
use utoipa::ToSchema;

use super::access::{Permit, SeeAudit};
use super::{Error, Office, Result};
use crate::store::audit::{AuditFilter, AuditRow, audit_list, audit_words_of};
use crate::store::sites::site_read;
use crate::store::{Instant, Page, Paged};

/// What is asked of the trail.
#[derive(Clone, Copy, Debug, Default)]
pub struct AuditAsked {
    /// About this court.
    pub court_id: Option<i64>,
    /// About this work order.
    pub order_id: Option<i64>,
    /// About this person.
    pub person_id: Option<i64>,
    /// From this date of the site on.
    pub from: Option<NaiveDate>,
    /// Up to this one, itself included.
    pub to: Option<NaiveDate>,
}

/// Something that was done.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = AuditEvent)]
pub struct AuditView {
    /// Id.
    pub id: i64,
    /// Its number in the site's sequence.
    pub seq: i64,
    /// When.
    pub at: Instant,
    /// Who did it; null where the service itself did.
    pub actor_user_id: Option<i64>,
    /// That user's name.
    pub actor_name: Option<String>,
    /// The address it came from; null where none was noted, or it was erased.
    pub from: Option<String>,
    /// Whether an address was noted and erased since.
    pub from_is_erased: bool,
    /// What was done: a plain past participle.
    #[schema(example = "edited")]
    pub verb: String,
    /// To what.
    #[schema(example = "court")]
    pub subject: String,
    /// Its id.
    pub subject_id: i64,
    /// The fields that an edit changed, as they were; empty where it was no edit. Personal text that was erased
    /// reads `{"erased": true}`.
    #[schema(value_type = HashMap<String, Value>, additional_properties = true)]
    pub before: Map<String, Value>,
    /// The same fields as they were afterwards.
    #[schema(value_type = HashMap<String, Value>, additional_properties = true)]
    pub after: Map<String, Value>,
    /// Further ids and words.
    #[schema(value_type = HashMap<String, Value>, additional_properties = true)]
    pub data: Map<String, Value>,
}

/// The events asked for, newest first.
pub fn audit_read(
    office: &Office,
    permit: &Permit<SeeAudit>,
    asked: AuditAsked,
    page: Page,
) -> Result<Paged<AuditView>> {
    let about = [
        ("court", asked.court_id),
        ("work_order", asked.order_id),
        ("person", asked.person_id),
    ];
    let named: Vec<(&'static str, i64)> = about
        .into_iter()
        .filter_map(|(kind, id)| Some((kind, id?)))
        .collect();
    if named.len() > 1 {
        return Err(Error::refused(
            "court_id",
            "ask by one of court_id, order_id and person_id",
        ));
    }
    if let (Some(from), Some(to)) = (asked.from, asked.to)
        && from > to
    {
        return Err(Error::refused("to", "give a date that is not before from"));
    }
    office.db.read(|conn| {
        let zone = site_read(conn, permit)?.zone()?;
        let filter = AuditFilter {
            about: named.first().copied(),
            from: asked.from.map(|date| day_span(zone, date).from.into()),
            before: asked.to.map(|date| day_span(zone, date).to.into()),
        };
        let rows = audit_list(conn, permit, &filter, page)?;
        let ids: Vec<i64> = rows.items.iter().map(|row| row.id).collect();
        let words = audit_words_of(conn, permit, &ids)?;
        Ok(rows.map(|row| view(row, &words)))
    })
}

fn view(row: AuditRow, words: &HashMap<(i64, String), String>) -> AuditView {
    let word = |field: &str| words.get(&(row.id, field.to_owned()));
    let mut data = match serde_json::from_str(&row.data) {
        Ok(Value::Object(fields)) => fields,
        _ => Map::new(),
    };
    let mut side = |name: &str| {
        let mut fields = match data.remove(name) {
            Some(Value::Object(fields)) => fields,
            _ => Map::new(),
        };
        for (field, value) in &mut fields {
            if value.get("digest").is_some() {
                *value = word(&format!("{name}.{field}")).map_or_else(
                    || serde_json::json!({ "erased": true }),
                    |text| Value::String(text.clone()),
                );
            }
        }
        fields
    };
    let (before, after) = (side("before"), side("after"));
    let from = word("from").cloned();
    AuditView {
        id: row.id,
        seq: row.seq,
        at: row.at,
        actor_user_id: row.actor_user_id,
        from_is_erased: row.has_from && from.is_none(),
        from,
        actor_name: row.actor_name,
        verb: row.verb,
        subject: row.subject,
        subject_id: row.subject_id,
        before,
        after,
        data,
    }
}
