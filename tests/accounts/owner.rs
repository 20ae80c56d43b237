//! The first owner: made by whoever stands at the console, once.

use chrono::TimeDelta;
use roundhand::clock::Clock;
use roundhand::desk::Office;
use roundhand::desk::at_work::AtWork;
use roundhand::desk::first_owner::{FirstOwner, first_owner_make, token_for_console};
use roundhand::desk::sign_in::{Credentials, sign_in};
use roundhand::desk::tokens::Tokens;
use roundhand::mail::Settings;
use roundhand::store::Db;

use super::GOOD;
use crate::support::{Engine, Home, home};

/// An installation in which nobody is.
fn bare(engine: Engine) -> Option<(Home, Office)> {
    let (home, url) = home(engine)?;
    let clock = Clock::standing_at("2031-06-10T09:00:00Z".parse().unwrap());
    let db = Db::open(&url, 4, clock).unwrap();
    db.migrate().unwrap();
    let office = Office {
        at_work: AtWork::default(),
        db,
        clock,
        tokens: Tokens::new(&[7; 32]),
        mail: Settings::default(),
        backups: roundhand::desk::backups::Settings::default(),
        pictures: roundhand::desk::pictures::Settings::default(),
    };
    Some((home, office))
}

fn owner(token: &str) -> FirstOwner {
    FirstOwner {
        token: token.into(),
        name: "Sam Reed".into(),
        email: "Sam@example.org".into(),
        password: GOOD.into(),
    }
}

fn each_engine(check: impl Fn(Office)) {
    for engine in [Engine::Sqlite, Engine::Postgres] {
        match bare(engine) {
            Some((_home, office)) => check(office),
            None => crate::support::skip("PostgreSQL is not at hand"),
        }
    }
}

#[test]
fn whoever_reads_the_console_of_a_fresh_installation_becomes_its_owner_once() {
    each_engine(|office| {
        let token = token_for_console(&office)
            .unwrap()
            .expect("nobody owns it yet");
        assert!(first_owner_make(&office, &owner("guessed")).is_err());
        first_owner_make(&office, &owner(&token)).unwrap();
        let who = Credentials {
            email: "sam@example.org".into(),
            password: GOOD.into(),
            code: None,
            from: None,
        };
        assert!(sign_in(&office, &who).is_ok());
        assert_eq!(
            token_for_console(&office).unwrap(),
            None,
            "it has an owner now"
        );
        let again = first_owner_make(&office, &owner(&token)).unwrap_err();
        assert!(again.to_string().contains("has an owner"), "{again}");
    });
}

#[test]
fn each_instance_prints_a_token_of_its_own_and_after_a_day_none_holds() {
    each_engine(|mut office| {
        let first = token_for_console(&office).unwrap().unwrap();
        let second = token_for_console(&office).unwrap().unwrap();
        assert_ne!(first, second);
        let start = office.clock.now();
        office.clock = Clock::standing_at(start + TimeDelta::hours(24));
        assert!(first_owner_make(&office, &owner(&first)).is_err());
        office.clock = Clock::standing_at(start + TimeDelta::hours(23));
        first_owner_make(&office, &owner(&first)).unwrap();
        assert!(first_owner_make(&office, &owner(&second)).is_err());
    });
}
