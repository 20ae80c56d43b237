//! The command itself: what it prints, writes and leaves alone.

use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

use roundhand::clock::Clock;
use roundhand::desk::Office;
use roundhand::desk::at_work::AtWork;
use roundhand::desk::set_up::lay_demo_site;
use roundhand::desk::tokens::Tokens;
use roundhand::store::Db;
use serde_json::{Value, json};

use crate::support::{Client, Engine, Home, home, skip};

const TUESDAY: &str = "2031-06-10T09:00:00Z";
const WEDNESDAY: &str = "2031-06-11T22:30:00Z";

/// `roundhand demo` on a database, with nothing of this shell's own settings.
fn demo(url: &str, args: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_roundhand"));
    command.env_remove("ROUNDHAND_DATABASE_URL");
    command.args(["demo", "--database", url]).args(args);
    command
}

fn once(url: &str, now: &str, more: &[&str]) -> Output {
    demo(url, &["--once", "--now", now])
        .args(more)
        .output()
        .unwrap()
}

#[track_caller]
fn printed(ran: &Output) -> String {
    let told = String::from_utf8_lossy(&ran.stderr);
    assert!(ran.status.success(), "{told}");
    String::from_utf8(ran.stdout.clone()).unwrap()
}

/// A blank database on each engine that is at hand.
fn blank() -> Vec<(Home, String)> {
    let homes = [Engine::Sqlite, Engine::Postgres].map(home);
    if homes[1].is_none() {
        skip("no PostgreSQL: tests/run starts one and sets ROUNDHAND_TEST_POSTGRES_URL");
    }
    homes.into_iter().flatten().collect()
}

/// The contract's own judge of plans, if it is there.
fn referee() -> Option<PathBuf> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared/planning/referee.py");
    if path.is_file() {
        return Some(path);
    }
    skip(&format!("{} is missing", path.display()));
    None
}

/// The password printed beside this role.
fn password(text: &str, role: &str) -> String {
    let line = text
        .lines()
        .find(|line| line.trim_start().starts_with(&format!("{role} ")));
    line.unwrap().split_whitespace().last().unwrap().to_owned()
}

#[test]
fn the_plan_it_writes_keeps_every_rule() {
    for (_home, url) in blank() {
        let folder = tempfile::tempdir().unwrap();
        let to = folder.path().join("made/with-it");
        printed(&once(&url, TUESDAY, &["--dump", to.to_str().unwrap()]));
        let [problem, plan] = ["day-problem.json", "day-plan.json"].map(|name| to.join(name));
        let day = std::fs::read_to_string(&problem).unwrap();
        let day = planner::problem::Checked::from_json(&day).unwrap();
        let found = serde_json::from_str(&std::fs::read_to_string(&plan).unwrap()).unwrap();
        assert_eq!(
            planner::judge::violations(&day, &found),
            Vec::<String>::new()
        );
        if let Some(referee) = referee() {
            let judged = Command::new("python3")
                .arg(referee)
                .args([&problem, &plan])
                .output();
            let judged = judged.unwrap();
            assert!(
                judged.status.success(),
                "{}",
                String::from_utf8_lossy(&judged.stdout)
            );
        }
    }
}

#[test]
fn the_day_is_told_in_narrow_lines_with_what_is_not_fitted_and_why() {
    for (_home, url) in blank() {
        let text = printed(&once(&url, TUESDAY, &[]));
        assert!(
            text.starts_with("Saltmarsh Point, Tuesday, June 10, 2031\n"),
            "{text}"
        );
        let widest = text.lines().map(|line| line.chars().count()).max().unwrap();
        assert!(widest <= 110, "{widest} characters\n{text}");
        for said in [
            "full turnaround",
            "short turnaround",
            "across",
            "Opening walk",
            "Line sweeper",
            "This plan costs ",
            "No plan of this day can cost less than ",
        ] {
            assert!(text.contains(said), "{said}\n{text}");
        }
        let left: Vec<_> = text
            .lines()
            .filter(|line| line.contains("no crew has time"))
            .collect();
        assert!((1..=9).contains(&left.len()), "{text}");
        assert!(
            left.iter().all(|line| line.contains("Turnaround after ")),
            "{text}"
        );
        let rounds = text.split("Not fitted").next().unwrap();
        for line in rounds.lines().filter(|line| line.contains("  Court 11  ")) {
            assert!(
                line.trim_start() >= "15:30",
                "court 11 is shut until then: {line}"
            );
        }
    }
}

#[test]
fn a_demo_of_today_is_opened_again_with_fresh_passwords_and_one_of_another_day_made_anew() {
    for (_home, url) in blank() {
        let first = printed(&once(&url, TUESDAY, &[]));
        let again = printed(&once(&url, TUESDAY, &[]));
        let day = |text: &str| text.split("Sign in as").next().unwrap().to_owned();
        assert_eq!(day(&first), day(&again));
        for role in ["manager", "crew_lead", "owner"] {
            assert_ne!(password(&first, role), password(&again, role));
        }
        let later = printed(&once(&url, WEDNESDAY, &[]));
        assert!(
            later.starts_with("Saltmarsh Point, Wednesday, June 11, 2031\n"),
            "{later}"
        );
        assert!(
            later.contains("  05:3"),
            "planned from its first shift on, at half past six: {later}"
        );
    }
}

#[test]
fn whoever_reads_only_the_beginning_is_told_of_no_fault() {
    let (_home, url) = home(Engine::Sqlite).unwrap();
    let mut command = demo(&url, &["--once", "--now", TUESDAY]);
    let mut ran = command
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(ran.stdout.take());
    let ended = ran.wait_with_output().unwrap();
    assert!(
        ended.status.success(),
        "{}",
        String::from_utf8_lossy(&ended.stderr)
    );
}

#[test]
fn a_file_that_is_not_a_demo_is_left_as_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("letters");
    for held in ["", "Dear manager,"] {
        std::fs::write(&path, held).unwrap();
        let ran = once(&format!("sqlite:{}", path.display()), TUESDAY, &[]);
        assert!(!ran.status.success());
        let told = String::from_utf8_lossy(&ran.stderr);
        assert!(
            told.contains("is not a demo: it is left as it is"),
            "{told}"
        );
        assert_eq!(std::fs::read_to_string(&path).unwrap(), held);
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
    }
}

#[test]
fn an_office_that_is_not_a_demo_is_left_as_it_is() {
    for (_home, url) in blank() {
        let clock = Clock::standing_at(TUESDAY.parse().unwrap());
        let db = Db::open(&url, 2, clock).unwrap();
        db.migrate().unwrap();
        let office = Office {
            at_work: AtWork::default(),
            db,
            clock,
            tokens: Tokens::new(&[7; 32]),
            mail: roundhand::mail::Settings::default(),
            backups: roundhand::desk::backups::Settings::default(),
            pictures: roundhand::desk::pictures::Settings::default(),
        };
        lay_demo_site(&office).unwrap();
        let read = || {
            office.db.read(|conn| {
                let users = roundhand::store::users::user_by_email(conn, "lead@saltmarsh.example");
                let sites = roundhand::store::sites::site_ids(conn)?;
                Ok::<_, roundhand::store::Error>((users?.unwrap().password_hash, sites))
            })
        };
        let before = read().unwrap();
        for now in [TUESDAY, WEDNESDAY] {
            let ran = once(&url, now, &[]);
            assert!(!ran.status.success());
            let told = String::from_utf8_lossy(&ran.stderr);
            assert!(
                told.contains("is not a demo: it is left as it is"),
                "{told}"
            );
            assert_eq!(read().unwrap(), before);
        }
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_ready_file_says_where_it_answers_and_who_signs_in() {
    let (folder, (_home, url)) = (tempfile::tempdir().unwrap(), home(Engine::Sqlite).unwrap());
    let ready = folder.path().join("ready.json");
    // What an earlier run said is not taken for this one's.
    std::fs::write(&ready, "{}").unwrap();
    let args = [
        "--port",
        "0",
        "--now",
        TUESDAY,
        "--ready-file",
        ready.to_str().unwrap(),
    ];
    let mut command = demo(&url, &args);
    let mut served = Served(
        command
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap(),
    );
    let begun = Instant::now();
    while std::fs::read_to_string(&ready).map_or(true, |text| text == "{}") {
        assert!(begun.elapsed() < Duration::from_mins(1), "it never answers");
        assert_eq!(served.0.try_wait().unwrap(), None, "it stopped");
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    let told: Value = serde_json::from_str(&std::fs::read_to_string(&ready).unwrap()).unwrap();
    let roles: Vec<_> = told["accounts"].as_array().unwrap().iter().collect();
    assert_eq!(roles.len(), 7);
    let nobody = Client::nobody(told["base_url"].as_str().unwrap());
    for account in roles {
        let body = json!({ "email": account["email"], "password": account["password"] });
        let pair = nobody.post("/api/v1/sign-in", &body).await.expect(200);
        let client = nobody.with_token(pair["access_token"].as_str().unwrap());
        let sites = client.get("/api/v1/sites").await.expect(200);
        assert_eq!(
            sites["items"][0]["name"], "Saltmarsh Point",
            "{}",
            account["role"]
        );
    }
}

/// A service that ends with the test.
struct Served(std::process::Child);

impl Drop for Served {
    fn drop(&mut self) {
        self.0.kill().ok();
        self.0.wait().ok();
    }
}
