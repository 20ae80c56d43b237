//! An office on a database of its own, whose clock stands.

use chrono::{DateTime, Utc};
use roundhand::clock::Clock;
use roundhand::desk::at_work::AtWork;
use roundhand::desk::{Office, tokens::Tokens};
use roundhand::mail::Settings;
use roundhand::store::Db;

/// An office on a database that is migrated first, whose clock stands at `now`.
pub fn office(url: &str, now: &str) -> Office {
    let now: DateTime<Utc> = now.parse().expect("an instant");
    let clock = Clock::standing_at(now);
    let db = Db::open(url, 2, clock).expect("the database opens");
    db.migrate().expect("the schema is laid");
    Office {
        at_work: AtWork::default(),
        db,
        clock,
        tokens: Tokens::new(&[7; 32]),
        mail: Settings::new(None, None, Some("https://courts.example.org")).expect("good settings"),
        backups: roundhand::desk::backups::Settings::default(),
        pictures: roundhand::desk::pictures::Settings::default(),
    }
}
