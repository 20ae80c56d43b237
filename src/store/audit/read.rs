//! The trail as the manager reads it: by court, order or person, the newest first.

use std::collections::HashMap;

use diesel::prelude::*;

use crate::store::db::Conn;
use crate::store::schema::{audit_events, audit_touches, audit_words, users};
use crate::store::{Instant, Page, Paged, Result, Scope};

/// Which events a list shows.
#[derive(Clone, Debug, Default)]
pub struct AuditFilter {
    /// About this thing: its word and id.
    pub about: Option<(&'static str, i64)>,
    /// From this instant on.
    pub from: Option<Instant>,
    /// Before this one.
    pub before: Option<Instant>,
}

/// An event, with who did it.
#[derive(Clone, Debug, Queryable)]
pub struct AuditRow {
    /// Id.
    pub id: i64,
    /// Its number in the site's sequence.
    pub seq: i64,
    /// When.
    pub at: Instant,
    /// Who did it; none where the service itself did.
    pub actor_user_id: Option<i64>,
    /// That user's name.
    pub actor_name: Option<String>,
    /// What was done: `edited`.
    pub verb: String,
    /// To what: `court`.
    pub subject: String,
    /// Its id.
    pub subject_id: i64,
    /// Further ids and words, JSON.
    pub data: String,
    /// Whether it was noted from where.
    pub has_from: bool,
}

/// The events that pass the filter, newest first: a page begins below the last id of the page before.
pub fn audit_list(
    conn: &mut Conn,
    scope: &Scope,
    filter: &AuditFilter,
    page: Page,
) -> Result<Paged<AuditRow>> {
    let mut query = audit_events::table
        .left_join(users::table)
        .filter(audit_events::site_id.eq(scope.site_id()))
        .into_boxed();
    if page.after > 0 {
        query = query.filter(audit_events::id.lt(page.after));
    }
    if let Some((kind, id)) = filter.about {
        let touching = audit_touches::table
            .filter(
                audit_touches::site_id
                    .eq(scope.site_id())
                    .and(audit_touches::subject_kind.eq(kind))
                    .and(audit_touches::subject_id.eq(id)),
            )
            .select(audit_touches::audit_event_id);
        query = query.filter(audit_events::id.eq_any(touching));
    }
    if let Some(from) = filter.from {
        query = query.filter(audit_events::at.ge(from));
    }
    if let Some(before) = filter.before {
        query = query.filter(audit_events::at.lt(before));
    }
    let rows = query
        .order(audit_events::id.desc())
        .limit(page.fetch())
        .select((
            audit_events::id,
            audit_events::seq,
            audit_events::at,
            audit_events::actor_user_id,
            users::name.nullable(),
            audit_events::verb,
            audit_events::subject_kind,
            audit_events::subject_id,
            audit_events::data,
            audit_events::from_digest.is_not_null(),
        ))
        .load(conn)?;
    Ok(page.of(rows, |row: &AuditRow| row.id))
}

/// The personal texts of these events that were not erased, by event and field.
pub fn audit_words_of(
    conn: &mut Conn,
    scope: &Scope,
    events: &[i64],
) -> Result<HashMap<(i64, String), String>> {
    let words: Vec<(i64, String, String)> = audit_words::table
        .filter(
            audit_words::site_id
                .eq(scope.site_id())
                .and(audit_words::audit_event_id.eq_any(events)),
        )
        .select((
            audit_words::audit_event_id,
            audit_words::field,
            audit_words::words,
        ))
        .load(conn)?;
    let by_field = words
        .into_iter()
        .map(|(id, field, text)| ((id, field), text));
    Ok(by_field.collect())
}
