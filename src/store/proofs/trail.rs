//! What stands beside the audit events: what each is about, and personal text where it was not erased.

use diesel::prelude::*;

use super::told;
use crate::store::db::Conn;
use crate::store::schema::{audit_events, audit_words};
use crate::store::{Result, Scope};

/// Events that are not noted as being about their own subject, and notes that are out of step with
/// their event.
pub fn touches_odd(conn: &mut Conn, scope: &Scope, limit: i64) -> Result<Vec<String>> {
    let site = scope.site_id();
    told(
        conn,
        &format!(
            "SELECT told FROM (
                SELECT 'event ' || CAST(e.seq AS TEXT) || ' is not noted as being about its '
                    || e.subject_kind || ' ' || CAST(e.subject_id AS TEXT) AS told
                FROM audit_events e
                WHERE e.site_id = {site} AND NOT EXISTS (
                    SELECT 1 FROM audit_touches t
                    WHERE t.site_id = e.site_id AND t.audit_event_id = e.id AND t.seq = e.seq
                        AND t.subject_kind = e.subject_kind AND t.subject_id = e.subject_id)
                UNION ALL
                SELECT 'a note of event ' || CAST(e.seq AS TEXT) || ' names the number '
                    || CAST(t.seq AS TEXT) AS told
                FROM audit_touches t
                JOIN audit_events e ON e.site_id = t.site_id AND e.id = t.audit_event_id
                WHERE t.site_id = {site} AND t.seq <> e.seq
            ) AS odd LIMIT {limit}"
        ),
    )
}

/// Personal text of an event, with what the event holds of it.
#[derive(Clone, Debug, Queryable)]
pub struct WordsOf {
    /// Id of the text.
    pub id: i64,
    /// Number of the event.
    pub seq: i64,
    /// Which text it is: `from`, `after.name`.
    pub field: String,
    /// What keeps the digest from being guessed.
    pub salt: Vec<u8>,
    /// The text.
    pub words: String,
    /// The digest of the address that the event holds.
    pub from_digest: Option<Vec<u8>>,
    /// The event's data, JSON.
    pub data: String,
}

/// So many texts above `after`, by id.
pub fn words_with_events(
    conn: &mut Conn,
    scope: &Scope,
    after: i64,
    limit: i64,
) -> Result<Vec<WordsOf>> {
    Ok(audit_words::table
        .inner_join(audit_events::table)
        .filter(
            audit_words::site_id
                .eq(scope.site_id())
                .and(audit_words::id.gt(after)),
        )
        .order(audit_words::id)
        .limit(limit)
        .select((
            audit_words::id,
            audit_events::seq,
            audit_words::field,
            audit_words::salt,
            audit_words::words,
            audit_events::from_digest,
            audit_events::data,
        ))
        .load(conn)?)
}
