//! A database, a set-up site and a running service.

use std::net::TcpListener;
use std::sync::atomic::{AtomicU32, Ordering};
use std::thread::JoinHandle;
use std::time::Duration;

use actix_web::web;
use chrono::{DateTime, TimeDelta, Utc};
use diesel::connection::SimpleConnection;
use diesel::prelude::*;
use roundhand::clock::Clock;
use roundhand::desk::Office;
use roundhand::desk::at_work::AtWork;
use roundhand::desk::set_up::SetUp;
use roundhand::desk::tokens::{Holder, Tokens};
use roundhand::http::address::TrustedProxies;
use roundhand::http::server;
use roundhand::http::serving::{Serving, Times};
use roundhand::mail::Settings;
use roundhand::store::sessions::{SessionKind, SessionRow, session_add};
use roundhand::store::{Db, Role};
use serde_json::json;

use super::Client;
use super::queries::{count_queries, queries_of};

/// Which engine.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Engine {
    /// The embedded one.
    Sqlite,
    /// The shared one.
    Postgres,
}

/// The house of one test.
pub struct House {
    /// The office, for what has no door in the API (the clock, jobs).
    pub office: web::Data<Office>,
    /// The site, and its accounts.
    pub set_up: SetUp,
    /// Where the service answers.
    pub base: String,
    url: String,
    _service: Service,
    _home: Home,
}

/// A running service; it ends with this.
pub struct Service {
    /// Where it answers.
    pub base: String,
    stop: actix_web::dev::ServerHandle,
    server: Option<JoinHandle<()>>,
}

/// Where the data lies; it goes with the house.
pub enum Home {
    Folder(#[expect(dead_code, reason = "held until the house goes")] tempfile::TempDir),
    Schema { url: String, name: String },
}

impl Drop for Home {
    fn drop(&mut self) {
        if let Self::Schema { url, name } = self
            && let Ok(mut conn) = PgConnection::establish(url)
        {
            conn.batch_execute(&format!("DROP SCHEMA {name} CASCADE"))
                .ok();
        }
    }
}

impl House {
    /// A house on this engine at 5 in the morning of a Tuesday in June; none where the engine is
    /// not at hand.
    pub fn open(engine: Engine) -> Option<Self> {
        Self::open_at(engine, "2031-06-10T09:00:00Z".parse().expect("an instant"))
    }

    /// A house whose clock stands at `now`.
    pub fn open_at(engine: Engine, now: DateTime<Utc>) -> Option<Self> {
        count_queries();
        let (home, url) = home(engine)?;
        let clock = Clock::standing_at(now);
        let db = Db::open(&url, 6, clock).expect("the database opens");
        db.migrate().expect("the schema is laid");
        let office = web::Data::new(Office {
            at_work: AtWork::default(),
            db,
            clock,
            tokens: Tokens::new(&[7; 32]),
            mail: Settings::new(None, None, Some("https://courts.example.org"))
                .expect("good settings"),
            backups: roundhand::desk::backups::Settings::default(),
            pictures: roundhand::desk::pictures::Settings::default(),
        });
        let set_up = roundhand::desk::set_up::lay_demo_site(&office).expect("the site is set up");
        let service = start(office.clone(), serving());
        Some(Self {
            office,
            set_up,
            base: service.base.clone(),
            url,
            _service: service,
            _home: home,
        })
    }

    /// The same data served with the clock at `now`.
    pub fn on_day(&self, now: DateTime<Utc>) -> Service {
        let mail = Settings::new(None, None, Some("https://courts.example.org"));
        let office = self.another_office(mail.expect("good settings"), now);
        start(web::Data::new(office), serving())
    }

    /// The same office served once more, in another way.
    pub fn served(&self, serving: Serving) -> Service {
        start(self.office.clone(), serving)
    }

    /// URL of its database, for what runs beside the service.
    pub fn database_url(&self) -> &str {
        &self.url
    }

    /// Another office on the same data, as of a further process or after a restart, whose clock
    /// stands at `now`.
    pub fn another_office(&self, mail: Settings, now: DateTime<Utc>) -> Office {
        let clock = Clock::standing_at(now);
        Office {
            at_work: AtWork::default(),
            db: Db::open(&self.url, 2, clock).expect("the database opens"),
            clock,
            tokens: Tokens::new(&[7; 32]),
            mail,
            backups: roundhand::desk::backups::Settings::default(),
            pictures: roundhand::desk::pictures::Settings::default(),
        }
    }

    /// Path of something of the site: `/api/v1/sites/1` and what follows.
    pub fn path(&self, rest: &str) -> String {
        format!("/api/v1/sites/{}{rest}", self.set_up.site_id)
    }

    /// How many questions its database was asked so far.
    pub fn queries(&self) -> usize {
        queries_of(self.url.strip_prefix("sqlite:").unwrap_or(&self.url))
    }

    /// Nobody signed in.
    pub fn nobody(&self) -> Client {
        Client::nobody(&self.base)
    }

    /// A client signed in as this role.
    pub async fn as_role(&self, role: Role) -> Client {
        self.as_role_at(&self.base, role).await
    }

    /// The manager at another service on the same data.
    pub async fn manager_at(&self, base: &str) -> Client {
        self.as_role_at(base, Role::Manager).await
    }

    /// Somebody of this role at another service on the same data.
    pub async fn as_role_at(&self, base: &str, role: Role) -> Client {
        let account = self
            .set_up
            .accounts
            .iter()
            .find(|a| a.role == role)
            .expect("an account");
        let body = json!({ "email": account.email, "password": account.password });
        let pair = Client::nobody(base)
            .post("/api/v1/sign-in", &body)
            .await
            .expect(200);
        Client::nobody(base).with_token(pair["access_token"].as_str().expect("a token"))
    }

    /// An access token of a session that a user without a password has.
    pub fn db_token_of(&self, user_id: i64) -> String {
        let family = format!("of-user-{user_id}");
        let now = self.office.now();
        let row = SessionRow {
            user_id,
            kind: SessionKind::Api,
            family: family.clone(),
            generation: 0,
            token_digest: family.clone().into_bytes(),
            created_at: now,
            expires_at: (now.utc() + TimeDelta::days(1)).into(),
            replaced_at: None,
            revoked_at: None,
            made_under: None,
        };
        let added = self.office.db.write_shared(|conn| session_add(conn, &row));
        added.expect("a session");
        let holder = Holder {
            user_id,
            session: family,
        };
        let token = self.office.tokens.issue(&holder, self.office.clock.now());
        token.expect("a token")
    }

    /// The owner of the installation, who may see whatever there is.
    pub async fn owner(&self) -> Client {
        let owner = &self.set_up.owner;
        let body = json!({ "email": owner.email, "password": owner.password });
        let pair = self
            .nobody()
            .post("/api/v1/sign-in", &body)
            .await
            .expect(200);
        self.nobody()
            .with_token(pair["access_token"].as_str().expect("a token"))
    }

    /// The manager.
    pub async fn manager(&self) -> Client {
        self.as_role(Role::Manager).await
    }
}

impl Drop for Service {
    fn drop(&mut self) {
        // Not waited for inside a runtime: the server has a thread and runtime of its own.
        drop(self.stop.stop(false));
        if let Some(server) = self.server.take() {
            server.join().ok();
        }
    }
}

/// As the tests' services are served: one thread that reads requests, every test a proxy whose word counts, and whoever
/// watches is soon sent away, so that what asks every path gets its answers.
pub fn serving() -> Serving {
    Serving {
        workers: 1,
        times: Times {
            live: Duration::from_secs(1),
            ..Times::default()
        },
        proxies: TrustedProxies::read(["127.0.0.1"]).expect("an address"),
        ..Serving::default()
    }
}

/// Serves an office.
pub fn start(office: web::Data<Office>, serving: Serving) -> Service {
    let listener = TcpListener::bind("127.0.0.1:0").expect("a free port");
    let base = format!("http://{}", listener.local_addr().expect("an address"));
    let (tell, told) = std::sync::mpsc::channel();
    let thread = std::thread::spawn(move || {
        actix_web::rt::System::new().block_on(async move {
            let server = server::serve(office, listener, &serving).expect("the service starts");
            tell.send(server.handle()).expect("the test waits");
            server.await.expect("the service ends in order");
        });
    });
    Service {
        base,
        stop: told.recv().expect("the service starts"),
        server: Some(thread),
    }
}

/// The access token of a tablet that the manager's code has paired.
pub async fn tablet_of(house: &House) -> String {
    let named = json!({ "name": "North crew's tablet" });
    let manager = house.manager().await;
    let made = manager.post(&house.path("/devices"), &named).await;
    let code = json!({ "code": made.expect(201)["code"] });
    let pair = house.nobody().post("/api/v1/pair", &code).await.expect(200);
    pair["access_token"].as_str().expect("a token").to_owned()
}

/// A key for pulls, made by finance.
pub async fn key_of(house: &House, sees: &[&str]) -> String {
    let asked = json!({ "name": "Ledger", "sees": sees, "days": 30 });
    let finance = house.as_role(Role::Finance).await;
    let made = finance.post(&house.path("/api-keys"), &asked).await;
    made.expect(201)["key"].as_str().expect("a key").to_owned()
}

/// A blank database on this engine, with its URL; none where the engine is not at hand.
pub fn home(engine: Engine) -> Option<(Home, String)> {
    match engine {
        Engine::Sqlite => {
            let folder = tempfile::tempdir().expect("a folder");
            let url = format!("sqlite:{}", folder.path().join("house.sqlite").display());
            Some((Home::Folder(folder), url))
        }
        Engine::Postgres => {
            static NEXT: AtomicU32 = AtomicU32::new(1);
            let url = std::env::var("ROUNDHAND_TEST_POSTGRES_URL").ok()?;
            let name = format!(
                "house_{}_{}",
                std::process::id(),
                NEXT.fetch_add(1, Ordering::Relaxed)
            );
            let mut conn = PgConnection::establish(&url).expect("the test cluster answers");
            conn.batch_execute(&format!("CREATE SCHEMA {name}"))
                .expect("a schema");
            let join = if url.contains('?') { '&' } else { '?' };
            let own = format!("{url}{join}options=-csearch_path%3D{name}");
            Some((Home::Schema { url, name }, own))
        }
    }
}
