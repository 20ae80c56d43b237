//! The API keeps to its document, whatever is sent: Schemathesis makes requests from it, good and bad ones, and looks at each
//! answer with every check it has. How it is set is said in `contract.toml`.

use std::path::{Path, PathBuf};
use std::process::Command;

use diesel::prelude::*;
use roundhand::http::api::document;
use roundhand::store::schema::memberships;
use roundhand::store::users::{NewUser, UserKind, user_add};
use roundhand::store::{Error, Role};
use serde_json::Value;

use crate::support::{Engine, Ground, House, skip};

/// People who may be signed out everywhere in one run.
const PEOPLE: usize = 100;

/// The program, where there is one.
fn schemathesis() -> Option<PathBuf> {
    let named = std::env::var_os("ROUNDHAND_TEST_SCHEMATHESIS").map(PathBuf::from);
    let found = named.filter(|path| path.is_file());
    if found.is_none() {
        skip("no Schemathesis: tests/run installs it and sets ROUNDHAND_TEST_SCHEMATHESIS");
    }
    found
}

/// The document with the site's id filled in: made-up ones are tried by `conventions::paths`, and nothing but 404 comes of
/// them.
fn of_site(site_id: i64) -> Value {
    let mut document: Value = serde_json::from_str(&document::text()).unwrap();
    let paths = document["paths"].as_object_mut().unwrap();
    let filled = std::mem::take(paths).into_iter().map(|(path, mut item)| {
        for operation in item.as_object_mut().unwrap().values_mut() {
            let parameters = operation
                .get_mut("parameters")
                .and_then(Value::as_array_mut);
            if let Some(parameters) = parameters {
                parameters.retain(|parameter| parameter["name"] != "site_id");
            }
        }
        (path.replace("{site_id}", &site_id.to_string()), item)
    });
    *paths = filled.collect();
    document
}

/// Tokens of as many people in a role as may be signed out everywhere in a run: one after the other is used. What is tried
/// makes accounts and addresses wait, so that nobody could sign in again.
fn db_tokens(house: &House, role: Role) -> Vec<String> {
    let now = house.office.now();
    let users = house.office.db.write_shared(|conn| {
        let mut users = Vec::new();
        for number in 0..PEOPLE {
            let email = format!("{role}-{number}@example.org");
            let new = NewUser {
                kind: UserKind::Person,
                email: &email,
                name: "Sam Reed",
                password_hash: None,
                is_owner: false,
            };
            let id = user_add(conn, &new, now)?;
            diesel::insert_into(memberships::table)
                .values((
                    memberships::site_id.eq(house.set_up.site_id),
                    memberships::user_id.eq(id),
                    memberships::role.eq(role),
                    memberships::created_at.eq(now),
                ))
                .execute(conn)?;
            users.push(id);
        }
        Ok::<_, Error>(users)
    });
    let users = users.expect("people").into_iter();
    users.map(|user| house.db_token_of(user)).collect()
}

async fn keeps_to_the_document(engine: Engine, role: Role) {
    let Some(program) = schemathesis() else {
        return;
    };
    let Some(house) = House::open(engine) else {
        skip("no PostgreSQL: tests/run starts one and sets ROUNDHAND_TEST_POSTGRES_URL");
        return;
    };
    let ground = Ground::db_lay(&house);
    ground.db_issue_plain(&house);
    let folder = tempfile::tempdir().unwrap();
    let write = |name: &str, text: &str| std::fs::write(folder.path().join(name), text).unwrap();
    write("contract.toml", include_str!("contract.toml"));
    write("hooks.py", include_str!("hooks.py"));
    write("document.json", &of_site(house.set_up.site_id).to_string());
    let tokens = db_tokens(&house, role).join(",");
    let full = std::env::var("ROUNDHAND_TESTS_FULL").as_deref() == Ok("1");
    let mut command = Command::new(program);
    command
        .current_dir(folder.path())
        .args([
            "--config-file",
            "contract.toml",
            "--no-color",
            "run",
            "document.json",
            "--continue-on-failure",
        ])
        .args([
            "--url",
            &house.base,
            "--max-examples",
            if full { "50" } else { "1" },
        ])
        .env("PYTHONPATH", folder.path())
        .env("CONTRACT_TOKENS", tokens);
    let ran = tokio::task::spawn_blocking(move || command.output())
        .await
        .unwrap()
        .unwrap();
    // Whatever plans were asked for need not be searched for to the end.
    house.office.at_work.stop();
    let told = String::from_utf8_lossy(&ran.stdout);
    assert!(
        ran.status.success(),
        "{told}{}",
        String::from_utf8_lossy(&ran.stderr)
    );
    // Every operation there is was tried.
    let all = operations(&document::text());
    assert!(
        told.contains(&format!("Selected: {all}/{all}"))
            && told.contains(&format!("Tested: {all}")),
        "{told}"
    );
}

fn operations(document: &str) -> usize {
    let document: Value = serde_json::from_str(document).unwrap();
    let paths = document["paths"].as_object().unwrap().values();
    paths.map(|item| item.as_object().unwrap().len()).sum()
}

#[test]
fn every_check_is_on() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/security/contract.toml");
    let text = std::fs::read_to_string(path).unwrap();
    let code: String = text.lines().filter(|line| !line.starts_with('#')).collect();
    for word in ["enabled", "exclude", "operations", "suppress", "baseline"] {
        assert!(!code.contains(word), "{word}");
    }
}

macro_rules! for_each_persona {
    ($($name:ident: $role:ident on $engine:ident,)+) => {$(
        #[tokio::test(flavor = "multi_thread", worker_threads = 2)]
        async fn $name() {
            keeps_to_the_document(Engine::$engine, Role::$role).await;
        }
    )+};
}

for_each_persona! {
    what_the_manager_is_answered_is_in_the_document: Manager on Sqlite,
    what_a_crew_lead_is_answered_is_in_the_document: CrewLead on Sqlite,
    what_the_front_desk_is_answered_is_in_the_document: FrontDesk on Sqlite,
    what_finance_is_answered_is_in_the_document: Finance on Sqlite,
    what_the_manager_is_answered_on_the_shared_engine_is_in_the_document: Manager on Postgres,
}
