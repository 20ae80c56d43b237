//! The audit trail of a site: append-only events, chained by hash. Events hold ids and words,
//! never personal text.

use diesel::prelude::*;
use sha2::{Digest, Sha256};

use super::db::{Conn, Tx};
use super::schema::audit_events;
use super::{Instant, Result, Scope};

/// What was done to what.
pub struct Deed<'a> {
    /// A plain past participle: `issued`, `finished`.
    pub verb: &'a str,
    /// The thing's word: `work_order`, `day_plan`.
    pub subject: &'a str,
    /// Its id.
    pub id: i64,
    /// Further ids and words, as JSON.
    pub data: serde_json::Value,
}

/// Writes the event of this write into the site's chain.
pub fn audit_append(tx: &mut Tx<'_>, scope: &Scope, deed: &Deed<'_>) -> Result<()> {
    let seq = tx.next_seq();
    let data = super::columns::json(&deed.data)?;
    let before = tx.hash.clone();
    let after = chain_hash(
        &before,
        seq,
        tx.now(),
        scope.user_id(),
        deed.verb,
        deed.subject,
        deed.id,
        &data,
    );
    let now = tx.now();
    diesel::insert_into(audit_events::table)
        .values((
            audit_events::site_id.eq(scope.site_id()),
            audit_events::seq.eq(seq),
            audit_events::at.eq(now),
            audit_events::actor_user_id.eq(scope.user_id()),
            audit_events::verb.eq(deed.verb),
            audit_events::subject_kind.eq(deed.subject),
            audit_events::subject_id.eq(deed.id),
            audit_events::data.eq(&data),
            audit_events::prev_hash.eq(&before),
            audit_events::hash.eq(&after),
        ))
        .execute(tx.conn())?;
    tx.hash = after;
    Ok(())
}

#[expect(clippy::too_many_arguments, reason = "the hash covers the whole row")]
fn chain_hash(
    before: &[u8],
    seq: i64,
    at: Instant,
    user_id: Option<i64>,
    verb: &str,
    subject: &str,
    subject_id: i64,
    data: &str,
) -> Vec<u8> {
    let mut hash = Sha256::new();
    hash.update(before);
    // Every field ends in a byte that none of them holds, so that no two rows read alike.
    for field in [
        seq.to_string(),
        at.to_string(),
        user_id.map(|id| id.to_string()).unwrap_or_default(),
        verb.to_owned(),
        subject.to_owned(),
        subject_id.to_string(),
        data.to_owned(),
    ] {
        hash.update(field.as_bytes());
        hash.update([0]);
    }
    hash.finalize().to_vec()
}

type ChainRow = (
    i64,
    Instant,
    Option<i64>,
    String,
    String,
    i64,
    String,
    Vec<u8>,
    Vec<u8>,
);

/// Walks a site's chain; gives the number of its first event that does not hold, if any.
pub fn audit_first_break(conn: &mut Conn, scope: &Scope) -> Result<Option<i64>> {
    let rows: Vec<ChainRow> = audit_events::table
        .filter(audit_events::site_id.eq(scope.site_id()))
        .order(audit_events::seq)
        .select((
            audit_events::seq,
            audit_events::at,
            audit_events::actor_user_id,
            audit_events::verb,
            audit_events::subject_kind,
            audit_events::subject_id,
            audit_events::data,
            audit_events::prev_hash,
            audit_events::hash,
        ))
        .load(conn)?;
    let mut before = Vec::new();
    for (seq, at, user, verb, subject, id, data, prev, hash) in rows {
        let holds = prev == before
            && hash == chain_hash(&before, seq, at, user, &verb, &subject, id, &data);
        if !holds {
            return Ok(Some(seq));
        }
        before = hash;
    }
    let head: Vec<u8> = super::schema::site_head::table
        .find(scope.site_id())
        .select(super::schema::site_head::hash)
        .first(conn)?;
    Ok((head != before).then_some(0))
}
