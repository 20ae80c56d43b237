//! What a client sent once is taken once: its key, and the answer it got, stand in the same
//! transaction as the effect.

use diesel::prelude::*;

use super::db::Tx;
use super::schema::idempotency_keys as keys;
use super::{Result, Scope};

/// An answer that was given before under the same key.
pub struct Given {
    /// What was asked, as a digest: the same key with another request is refused.
    pub request_digest: Vec<u8>,
    /// Which operation it was.
    pub operation: String,
    /// The answer, as JSON.
    pub body: String,
}

/// The answer given before under `client_key`, if any.
pub fn answer_given(tx: &mut Tx<'_>, scope: &Scope, client_key: &str) -> Result<Option<Given>> {
    let row: Option<(Vec<u8>, String, String)> = keys::table
        .filter(
            keys::site_id
                .eq(scope.site_id())
                .and(keys::client_key.eq(client_key)),
        )
        .select((keys::request_digest, keys::operation, keys::body))
        .first(tx.conn())
        .optional()?;
    Ok(row.map(|(request_digest, operation, body)| Given {
        request_digest,
        operation,
        body,
    }))
}

/// Keeps the answer given under `client_key`.
pub fn answer_keep(
    tx: &mut Tx<'_>,
    scope: &Scope,
    user_id: i64,
    client_key: &str,
    given: &Given,
) -> Result<()> {
    let now = tx.now();
    diesel::insert_into(keys::table)
        .values((
            keys::site_id.eq(scope.site_id()),
            keys::client_key.eq(client_key),
            keys::user_id.eq(user_id),
            keys::operation.eq(&given.operation),
            keys::request_digest.eq(&given.request_digest),
            keys::body.eq(&given.body),
            keys::created_at.eq(now),
        ))
        .execute(tx.conn())?;
    Ok(())
}
