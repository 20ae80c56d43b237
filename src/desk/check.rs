//! `roundhand check`: proofs that what is kept is what was booked. One file a proof; each reads one
//! state of the database and changes nothing.
//!
//! A proof is a row of [`OF_A_SITE`] or [`OF_ALL`]: its name, and a function that looks at
//! everything and says what does not hold, in words that name the row.

mod answers;
mod chain;
mod closings;
mod file;
mod guards;
mod keys;
mod orders;
mod sequence;
mod stock;
mod totals;
mod trail;
mod wear;

use std::str::FromStr;

use super::Result;
use crate::store::columns::hex;
use crate::store::sites::site_ids;
use crate::store::{Conn, Db, Scope};

/// So many things that do not hold are told of one proof; the rest is counted.
const MOST_TOLD: usize = 10;
/// A question asks for one more, so that it shows that there are more.
const MOST_ASKED: i64 = 11;

/// What a proof found.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Found {
    /// What was looked at: `1,204 events`.
    pub looked_at: String,
    /// What does not hold, in plain words; nothing where all holds.
    pub broken: Vec<String>,
    /// How much more does not hold than is told.
    pub more: usize,
    /// The end of the site's audit chain, where the proof walked it.
    pub head: Option<Anchor>,
}

impl Found {
    /// Notes what does not hold.
    fn note(&mut self, what: String) {
        if self.broken.len() < MOST_TOLD {
            self.broken.push(what);
        } else {
            self.more += 1;
        }
    }

    /// Notes several.
    fn note_all(&mut self, what: Vec<String>) {
        for one in what {
            self.note(one);
        }
    }

    /// Whether all holds.
    pub const fn holds(&self) -> bool {
        self.broken.is_empty()
    }
}

/// An event of a site's audit chain, kept outside the database: whoever rewrites a whole chain
/// cannot make it hold what stood there before.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Anchor {
    /// The site.
    pub site_id: i64,
    /// The event's number.
    pub seq: i64,
    /// Its hash.
    pub hash: Vec<u8>,
}

impl std::fmt::Display for Anchor {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}:{}:{}", self.site_id, self.seq, hex(&self.hash))
    }
}

impl FromStr for Anchor {
    type Err = String;

    fn from_str(text: &str) -> std::result::Result<Self, String> {
        let wrong = || "write SITE:NUMBER:HASH, as roundhand check prints it".to_owned();
        let mut parts = text.trim().split(':');
        let (Some(site), Some(seq), Some(hash), None) =
            (parts.next(), parts.next(), parts.next(), parts.next())
        else {
            return Err(wrong());
        };
        if hash.len() != 64 || !hash.bytes().all(|b| b.is_ascii_hexdigit()) {
            return Err(wrong());
        }
        let digits = |at: usize| u8::from_str_radix(&hash[at..at + 2], 16);
        Ok(Self {
            site_id: site.parse().map_err(|_| wrong())?,
            seq: seq.parse().map_err(|_| wrong())?,
            hash: (0..64)
                .step_by(2)
                .map(digits)
                .collect::<std::result::Result<_, _>>()
                .map_err(|_| wrong())?,
        })
    }
}

type OfASite = fn(&mut Conn, &Scope, &[Anchor]) -> Result<Found>;
type OfAll = fn(&mut Conn) -> Result<Found>;

/// The proofs of every site, in order.
const OF_A_SITE: &[(&str, OfASite)] = &[
    ("audit chain", chain::prove),
    ("audit trail", trail::prove),
    ("numbers", sequence::prove),
    ("orders", orders::prove),
    ("closings", closings::prove),
    ("running totals", totals::prove),
    ("stock", stock::prove),
    ("wear", wear::prove),
    ("sources", keys::prove_sources),
    ("answers", answers::prove),
];

/// The proofs of the whole database, in order.
const OF_ALL: &[(&str, OfAll)] = &[
    ("file", file::prove),
    ("append-only", guards::prove),
    ("keys", keys::prove),
];

/// What one proof found, and of which site.
#[derive(Clone, Debug)]
pub struct Line {
    /// The site; none where it is of the whole database.
    pub site_id: Option<i64>,
    /// The proof's name.
    pub proof: &'static str,
    /// What it found.
    pub found: Found,
}

/// Runs every proof, on every site, and tells each line as soon as it is known; gives whether all
/// hold. `anchors` are ends of chains that somebody kept.
pub fn prove_all(db: &Db, anchors: &[Anchor], tell: &mut dyn FnMut(&Line)) -> Result<bool> {
    let mut all_hold = true;
    let mut say = |site_id, proof, found: Result<Found>| -> Result<()> {
        let found = unreadable_is_broken(found)?;
        all_hold &= found.holds();
        tell(&Line {
            site_id,
            proof,
            found,
        });
        Ok(())
    };
    for (name, prove) in OF_ALL {
        say(None, *name, db.read(prove))?;
    }
    let sites = db.read(site_ids)?;
    for &site_id in &sites {
        let scope = Scope::of_the_service(site_id);
        let of_it: Vec<Anchor> = anchors
            .iter()
            .filter(|a| a.site_id == site_id)
            .cloned()
            .collect();
        for (name, prove) in OF_A_SITE {
            say(
                Some(site_id),
                *name,
                db.read(|conn| prove(conn, &scope, &of_it)),
            )?;
        }
    }
    for anchor in anchors.iter().filter(|a| !sites.contains(&a.site_id)) {
        let mut found = Found::default();
        found.note(format!(
            "an end of its chain was kept ({anchor}), and the site is gone"
        ));
        say(Some(anchor.site_id), "audit chain", Ok(found))?;
    }
    Ok(all_hold)
}

/// A row that cannot be read is one that does not hold; a database that cannot be reached proves
/// nothing.
fn unreadable_is_broken(found: Result<Found>) -> Result<Found> {
    use crate::store::Error as Store;
    match found {
        Err(super::Error::Failed(why @ (Store::Unreadable(_) | Store::Database(_)))) => {
            let mut broken = Found::default();
            broken.note(format!("what is kept cannot be read: {why}"));
            Ok(broken)
        }
        other => other,
    }
}

/// A count and its noun, as a proof says what it looked at.
fn counted(count: i64, noun: &str) -> String {
    format!("{count} {noun}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_anchor_reads_as_it_is_written_and_nothing_else_does() {
        let anchor = Anchor {
            site_id: 1,
            seq: 812,
            hash: (0..32).collect(),
        };
        assert_eq!(anchor.to_string().parse(), Ok(anchor.clone()));
        let text = anchor.to_string();
        for bad in [
            "",
            "1:2",
            "1:2:zz",
            "x:812:00",
            &text[..text.len() - 1],
            &format!("{text}:1"),
        ] {
            assert!(bad.parse::<Anchor>().is_err(), "{bad}");
        }
    }

    #[test]
    fn what_does_not_hold_is_told_ten_times_and_then_counted() {
        let mut found = Found::default();
        found.note_all((0..12).map(|n| n.to_string()).collect());
        assert_eq!(
            (found.broken.len(), found.more, found.holds()),
            (10, 2, false)
        );
    }
}
