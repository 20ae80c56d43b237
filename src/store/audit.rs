//! The audit trail of a site: append-only events, chained by hash. Events hold ids and words, and of personal text a
//! digest: the text itself stands beside, where it can be erased without breaking the chain.

mod change;
mod read;
mod walk;

pub use change::Change;
pub use read::{AuditFilter, AuditRow, audit_list, audit_words_of};
pub use walk::{Chain, ChainFault, chain_walk};

use diesel::prelude::*;
use sha2::{Digest, Sha256};

use super::columns::hex;
use super::db::{Conn, Tx};
use super::dialect::each_backend;
use super::schema::{audit_events, audit_touches, audit_words};
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

/// The form of the hash that events are written with. The first held no address.
const FORM: i64 = 2;

/// Something that an event is about beside its own subject: its word and id.
pub type Touch = (&'static str, i64);

impl<'a> Deed<'a> {
    /// A deed of which nothing more is to be said.
    pub fn plain(verb: &'a str, subject: &'a str, id: i64) -> Self {
        Self {
            verb,
            subject,
            id,
            data: serde_json::json!({}),
        }
    }
}

/// Writes the event of this write into the site's chain.
pub fn audit_append(tx: &mut Tx<'_>, scope: &Scope, deed: &Deed<'_>) -> Result<()> {
    append(tx, scope, deed, &[], &[])
}

/// The same for an event that is about further things: whoever reads the trail of one of them finds it.
pub fn audit_append_about(
    tx: &mut Tx<'_>,
    scope: &Scope,
    deed: &Deed<'_>,
    about: &[Touch],
) -> Result<()> {
    append(tx, scope, deed, about, &[])
}

/// Writes the event of an edit, with what it changed. Of the fields named `personal` the event holds a digest, and
/// their text stands where it can be erased.
pub fn audit_edit(
    tx: &mut Tx<'_>,
    scope: &Scope,
    mut deed: Deed<'_>,
    change: Change,
    personal: &[&str],
) -> Result<()> {
    let words = change.into_data(&mut deed.data, personal)?;
    append(tx, scope, &deed, &[], &words)
}

/// The same for an edit without personal fields that is about further things.
pub fn audit_edit_about(
    tx: &mut Tx<'_>,
    scope: &Scope,
    mut deed: Deed<'_>,
    change: Change,
    about: &[Touch],
) -> Result<()> {
    let words = change.into_data(&mut deed.data, &[])?;
    append(tx, scope, &deed, about, &words)
}

fn append(
    tx: &mut Tx<'_>,
    scope: &Scope,
    deed: &Deed<'_>,
    about: &[Touch],
    words: &[(String, Salted)],
) -> Result<()> {
    let seq = tx.next_seq();
    let from = scope.actor().and_then(|actor| actor.from);
    let from = from.map(|from| Salted::of(&from.to_string())).transpose()?;
    let before = tx.hash.clone();
    let event = Event {
        seq,
        at: tx.now(),
        user_id: scope.user_id(),
        verb: deed.verb.to_owned(),
        subject: deed.subject.to_owned(),
        subject_id: deed.id,
        data: super::columns::json(&deed.data)?,
        form: FORM,
        from_digest: from.as_ref().map(Salted::digest),
    };
    let after = event.hash_after(&before);
    let id: i64 = diesel::insert_into(audit_events::table)
        .values((
            audit_events::site_id.eq(scope.site_id()),
            audit_events::seq.eq(seq),
            audit_events::at.eq(event.at),
            audit_events::actor_user_id.eq(event.user_id),
            audit_events::verb.eq(&event.verb),
            audit_events::subject_kind.eq(&event.subject),
            audit_events::subject_id.eq(event.subject_id),
            audit_events::data.eq(&event.data),
            audit_events::form.eq(event.form),
            audit_events::from_digest.eq(&event.from_digest),
            audit_events::prev_hash.eq(&before),
            audit_events::hash.eq(&after),
        ))
        .returning(audit_events::id)
        .get_result(tx.conn())?;
    if let Some(from) = from {
        keep_words(tx, scope, id, "from", &from)?;
    }
    for (field, text) in words {
        keep_words(tx, scope, id, field, text)?;
    }
    keep_touches(tx, scope, (id, seq), deed, about)?;
    tx.hash = after;
    Ok(())
}

/// Notes what an event is about, its own subject first.
fn keep_touches(
    tx: &mut Tx<'_>,
    scope: &Scope,
    (id, seq): (i64, i64),
    deed: &Deed<'_>,
    about: &[Touch],
) -> Result<()> {
    let mut touched = vec![(deed.subject, deed.id)];
    for touch in about {
        if !touched.contains(touch) {
            touched.push(*touch);
        }
    }
    let rows: Vec<_> = touched
        .into_iter()
        .map(|(kind, subject_id)| {
            (
                audit_touches::site_id.eq(scope.site_id()),
                audit_touches::seq.eq(seq),
                audit_touches::audit_event_id.eq(id),
                audit_touches::subject_kind.eq(kind),
                audit_touches::subject_id.eq(subject_id),
            )
        })
        .collect();
    each_backend!(tx.conn(), conn => {
        diesel::insert_into(audit_touches::table).values(&rows).execute(conn)
    })?;
    Ok(())
}

fn keep_words(
    tx: &mut Tx<'_>,
    scope: &Scope,
    event_id: i64,
    field: &str,
    text: &Salted,
) -> Result<()> {
    diesel::insert_into(audit_words::table)
        .values((
            audit_words::site_id.eq(scope.site_id()),
            audit_words::audit_event_id.eq(event_id),
            audit_words::field.eq(field),
            audit_words::salt.eq(&text.salt),
            audit_words::words.eq(&text.text),
        ))
        .execute(tx.conn())?;
    Ok(())
}

/// What an event holds of personal text.
pub fn words_digest(salt: &[u8], words: &str) -> Vec<u8> {
    let mut hash = Sha256::new();
    hash.update(salt);
    hash.update(words.as_bytes());
    hash.finalize().to_vec()
}

/// Personal text with the salt that keeps its digest from being guessed.
struct Salted {
    salt: Vec<u8>,
    text: String,
}

impl Salted {
    fn of(text: &str) -> Result<Self> {
        let mut salt = vec![0; 16];
        getrandom::fill(&mut salt)?;
        Ok(Self {
            salt,
            text: text.to_owned(),
        })
    }

    fn digest(&self) -> Vec<u8> {
        words_digest(&self.salt, &self.text)
    }
}

/// An event as its hash covers it.
#[derive(Queryable)]
struct Event {
    seq: i64,
    at: Instant,
    user_id: Option<i64>,
    verb: String,
    subject: String,
    subject_id: i64,
    data: String,
    form: i64,
    from_digest: Option<Vec<u8>>,
}

impl Event {
    /// The chain's hash after this event, where it was `before`. Every field ends in a byte that none of them holds, so
    /// that no two events read alike.
    fn hash_after(&self, before: &[u8]) -> Vec<u8> {
        let mut hash = Sha256::new();
        hash.update(before);
        let mut add = |field: &str| {
            hash.update(field.as_bytes());
            hash.update([0]);
        };
        add(&self.seq.to_string());
        add(&self.at.to_string());
        add(&self.user_id.map(|id| id.to_string()).unwrap_or_default());
        add(&self.verb);
        add(&self.subject);
        add(&self.subject_id.to_string());
        add(&self.data);
        if self.form > 1 {
            add(&self.form.to_string());
            add(&self.from_digest.as_deref().map(hex).unwrap_or_default());
        }
        hash.finalize().to_vec()
    }
}

/// The number of the first event of a site's chain that does not hold, if any; 0 where the events hold and the head
/// does not.
pub fn audit_first_break(conn: &mut Conn, scope: &Scope) -> Result<Option<i64>> {
    let chain = chain_walk(conn, scope, &mut |_, _| {})?;
    Ok(chain.broken.map(|(seq, fault)| match fault {
        ChainFault::CutOff | ChainFault::NoHead => 0,
        ChainFault::Changed | ChainFault::Unlinked => seq,
    }))
}
