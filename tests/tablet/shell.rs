//! The shell of the tablet's page: plain files without data, of one version together.

use reqwest::Method;
use serde_json::Value;

use crate::support::{Engine, House};

/// The addresses of the files that the worker keeps.
async fn files(house: &House) -> Vec<String> {
    let worker = house.nobody().get("/tablet/sw.js").await.text;
    let list = worker
        .split_once("[\"/tablet")
        .and_then(|(_, rest)| rest.split_once(']'));
    let list = format!("[\"/tablet{}]", list.expect("the worker's list").0);
    serde_json::from_str(&list).expect("a list of addresses")
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_shell_needs_no_sign_in_and_holds_nothing_of_any_site() {
    let house = House::open(Engine::Sqlite).unwrap();
    let page = house.nobody().get("/tablet").await;
    assert_eq!(page.status, 200);
    let policy = page.header("content-security-policy").unwrap();
    assert!(
        policy.contains("script-src 'self'") && !policy.contains("unsafe"),
        "{policy}"
    );
    assert!(
        page.header("permissions-policy")
            .unwrap()
            .contains("microphone=(self)")
    );
    for address in files(&house).await {
        let file = house.nobody().get(&address).await;
        assert_eq!(file.status, 200, "{address}");
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_shell_is_kept_for_ever_by_its_version_and_asked_for_by_the_page() {
    let house = House::open(Engine::Sqlite).unwrap();
    let page = house.nobody().get("/tablet").await;
    assert_eq!(page.header("cache-control"), Some("no-cache"));
    let known = [("if-none-match", page.header("etag").unwrap())];
    assert_eq!(
        house
            .nobody()
            .send(Method::GET, "/tablet", &known, None)
            .await
            .status,
        304
    );
    let app = files(&house)
        .await
        .into_iter()
        .find(|a| a.ends_with("/app.js"))
        .unwrap();
    let kept = house.nobody().get(&app).await;
    assert!(kept.header("cache-control").unwrap().contains("immutable"));
    // Files of two versions do not go together.
    let other = app.replace(app.split('/').nth(2).unwrap(), "another");
    assert_eq!(house.nobody().get(&other).await.status, 404);
    let worker = house.nobody().get("/tablet/sw.js").await;
    assert_eq!(worker.header("service-worker-allowed"), Some("/tablet"));
}

/// The page is for use on a slow line: the figure is our own, set for it. Counted as the files are, before they are compressed;
/// each language beyond the first is fetched by who speaks it, or when the rest is there.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_shell_is_under_150_kb() {
    let house = House::open(Engine::Sqlite).unwrap();
    let mut bytes = 0;
    for address in files(&house).await {
        // Icons are the system's, when the page is put on the tablet's home screen.
        let (path, ending) = address.rsplit_once('.').unwrap_or_default();
        let is_further = ending == "ftl" && !path.ends_with("/en-US");
        if ending != "png" && !is_further {
            bytes += house.nobody().get(&address).await.text.len();
        }
    }
    assert!((10_000..150_000).contains(&bytes), "{bytes} bytes");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_page_speaks_every_language_that_has_its_words() {
    let house = House::open(Engine::Sqlite).unwrap();
    let files = files(&house).await;
    let list = files
        .iter()
        .find(|a| a.ends_with("/words/languages.json"))
        .unwrap();
    let languages: Value = house.nobody().get(list).await.expect(200);
    assert_eq!(languages, serde_json::json!(["en-US", "es"]));
    for language in ["en-US", "es"] {
        assert!(
            files
                .iter()
                .any(|a| a.ends_with(&format!("/words/{language}.ftl")))
        );
    }
}
