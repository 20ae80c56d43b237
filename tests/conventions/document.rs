//! The OpenAPI document says what the program does, and the file in the repository says the same.

use std::collections::{BTreeMap, BTreeSet};

use roundhand::http::api::document;
use serde_json::Value;

use crate::support::{Engine, House};
use crate::tidy::sources;

fn root() -> &'static str {
    env!("CARGO_MANIFEST_DIR")
}

#[test]
fn the_file_in_the_repository_is_what_the_program_says() {
    let file = std::fs::read_to_string(format!("{}/api-spec/openapi.json", root()));
    assert!(
        file.is_ok_and(|file| file == document::text()),
        "api-spec/openapi.json is not what the program says; write it with: \
         cargo run -- openapi > api-spec/openapi.json"
    );
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_service_gives_its_document_and_a_reader_for_it_from_the_binary() {
    let house = House::open(Engine::Sqlite).unwrap();
    let nobody = house.nobody();
    let served = nobody.get("/api/openapi.json").await;
    assert_eq!(served.header("content-type"), Some("application/json"));
    assert_eq!(served.text, document::text());

    let page = nobody.get("/api/docs").await;
    assert_eq!(page.status, 200, "{}", page.text);
    assert!(
        page.header("content-type")
            .unwrap()
            .starts_with("text/html")
    );
    let links = page.text.split(['"', '\'']).filter(|text| {
        let (path, ending) = text.rsplit_once('.').unwrap_or_default();
        !path.is_empty() && ["js", "css", "png"].contains(&ending)
    });
    let mut assets = 0;
    for link in links {
        assert!(!link.contains("//"), "{link} is not from this service");
        let path = format!("/api/docs/{}", link.trim_start_matches("./"));
        let asset = nobody.get(&path).await;
        assert_eq!(asset.status, 200, "{path}");
        assert!(!asset.text.is_empty(), "{path}");
        assets += 1;
    }
    assert!(assets >= 2, "the reader has its script and its style");
}

/// What one gets a token, or an account, by.
const OPEN: [&str; 7] = [
    "/sign-in",
    "/refresh",
    "/sign-out",
    "/pair",
    "/new-password",
    "/password-by-secret",
    "/first-owner",
];

/// Source: the OpenAPI Specification 3.1.0, sections 4.8.1 (`openapi`), 4.8.10 (`operationId` is
/// unique) and 4.8.17 (a response has a `description`).
#[test]
fn every_operation_is_named_once_tagged_summed_up_and_says_what_can_go_wrong() {
    let said: Value = serde_json::from_str(&document::text()).unwrap();
    let version = said["openapi"].as_str().unwrap();
    assert!(version.starts_with("3.1."), "{version}");

    let mut ids = BTreeSet::new();
    for (path, item) in said["paths"].as_object().unwrap() {
        for (method, operation) in item.as_object().unwrap() {
            let name = format!("{method} {path}");
            let id = operation["operationId"].as_str().unwrap_or_default();
            assert!(
                !id.is_empty() && ids.insert(id),
                "{name}: {id:?} is no name of its own"
            );
            assert!(
                !operation["tags"].as_array().unwrap().is_empty(),
                "{name} has a tag"
            );
            let summary = operation["summary"].as_str().unwrap_or_default();
            assert!(
                !summary.is_empty() && !summary.contains('\n'),
                "{name}: {summary:?}"
            );

            let answers = operation["responses"].as_object().unwrap();
            assert!(
                answers.keys().any(|code| code.starts_with('2')),
                "{name} can be done"
            );
            for code in problems(path, operation) {
                assert!(answers.contains_key(code), "{name} can answer {code}");
            }
            for (code, answer) in answers {
                let text = answer["description"].as_str().unwrap_or_default();
                assert!(!text.is_empty(), "{name}: {code} has a description");
                if code.starts_with('4') || code.starts_with('5') {
                    let schema = &answer["content"]["application/problem+json"]["schema"];
                    assert_eq!(
                        schema["$ref"], "#/components/schemas/Problem",
                        "{name}: {code}"
                    );
                }
            }
            let open = OPEN.iter().any(|end| path.ends_with(end));
            assert_eq!(
                operation["security"].is_array(),
                !open,
                "{name} needs a token, or none"
            );
        }
    }
}

/// The problems an operation can have by what it takes.
fn problems(path: &str, operation: &Value) -> Vec<&'static str> {
    let takes = |name: &str| {
        let parameters = operation["parameters"].as_array();
        parameters.is_some_and(|all| all.iter().any(|parameter| parameter["name"] == name))
    };
    let mut codes = vec!["400", "401"];
    if path.contains("{site_id}") {
        codes.extend(["403", "404"]);
    }
    if operation["requestBody"].is_object() {
        codes.extend(["413", "415", "422"]);
    }
    if takes("If-Match") {
        codes.extend(["412", "428"]);
    }
    if takes("Idempotency-Key") {
        codes.extend(["409", "422"]);
    }
    codes
}

#[test]
fn every_schema_that_is_pointed_at_is_there() {
    let said: Value = serde_json::from_str(&document::text()).unwrap();
    let schemas = said["components"]["schemas"].as_object().unwrap();
    let text = document::text();
    for target in text.split("\"$ref\": \"").skip(1) {
        let target = target.split('"').next().unwrap();
        let name = target
            .strip_prefix("#/components/schemas/")
            .expect("a schema of the document");
        assert!(schemas.contains_key(name), "{target}");
    }
}

/// Every resource is made by `at("path", "METHODS")`: none of them is left out of the document, and
/// the document lists no more than these, itself aside.
#[test]
fn the_document_lists_every_route_with_its_methods_and_no_other() {
    let mut routes: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    let folder = format!("{}/src/http/api", root());
    for file in std::fs::read_dir(folder).unwrap() {
        let text = std::fs::read_to_string(file.unwrap().path()).unwrap();
        for call in text.split(" at(").skip(1).chain(text.split("(at(").skip(1)) {
            let mut literals = call.split('"').skip(1).step_by(2);
            let (path, methods) = (literals.next().unwrap(), literals.next().unwrap());
            let methods = methods.split(", ").map(str::to_owned).collect();
            if path == "/api/openapi.json" {
                continue;
            }
            let before = routes.insert(path.to_owned(), methods);
            assert!(before.is_none(), "{path} is routed twice");
        }
    }
    let said: Value = serde_json::from_str(&document::text()).unwrap();
    let documented = said["paths"]
        .as_object()
        .unwrap()
        .iter()
        .map(|(path, item)| {
            let path = path
                .trim_start_matches("/api/v1")
                .trim_start_matches("/sites/{site_id}");
            let methods = item
                .as_object()
                .unwrap()
                .keys()
                .map(|method| method.to_uppercase());
            (path.to_owned(), methods.collect())
        });
    assert_eq!(routes, documented.collect());
}

/// Of two types with one name the document keeps one: what the other says is lost.
#[test]
fn every_schema_of_the_document_is_of_one_type() {
    let mut names: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for source in sources("src", "rs") {
        let mut derived = false;
        let mut renamed = None;
        for line in source.text.lines().map(str::trim) {
            if let Some(attribute) = line.strip_prefix("#[schema(as = ") {
                renamed = attribute.split([',', ')']).next().map(str::to_owned);
            }
            derived |= line.contains("ToSchema") && !line.starts_with("use ");
            let mut words = line
                .split(|c: char| !c.is_alphanumeric() && c != '_')
                .filter(|word| !word.is_empty());
            let named = words
                .find(|word| ["struct", "enum"].contains(word))
                .and_then(|_| words.next());
            if let Some(name) = named.filter(|_| derived && !line.starts_with("//")) {
                let name = renamed.take().unwrap_or_else(|| name.to_owned());
                names.entry(name).or_default().push(source.path.clone());
                derived = false;
            }
        }
        // The lists of words derive it by their macro.
        for list in source.text.split("words! {").skip(1) {
            let name = list
                .lines()
                .map(str::trim)
                .find(|line| line.ends_with(" {") && !line.starts_with("//"));
            if let Some(name) = name.and_then(|line| line.strip_suffix(" {")) {
                names
                    .entry(name.to_owned())
                    .or_default()
                    .push(source.path.clone());
            }
        }
    }
    names.retain(|_, places| places.len() > 1);
    assert!(
        names.is_empty(),
        "give one of each another name, by `#[schema(as = …)]`: {names:#?}"
    );
}
