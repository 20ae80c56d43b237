//! How the service is reached: TLS, what is believed of proxies, cookies, and what every answer tells a browser.

use std::io::Write;
use std::sync::Arc;

use roundhand::http::address::TrustedProxies;
use roundhand::http::serving::Serving;
use roundhand::http::tls;
use roundhand::store::Role;
use rustls::pki_types::ServerName;
use rustls::{ClientConfig, ClientConnection, RootCertStore, StreamOwned};
use serde_json::json;

use super::process::bare;
use super::raw::{RawAnswer, connect, exchange, to_the_end};
use crate::pages::browser::Browser;
use crate::pages::visitor::account;
use crate::support::{Engine, House, on_both_engines, serving};

/// Nobody in front: every word of a client is only a client's.
fn without_proxies() -> Serving {
    Serving {
        proxies: TrustedProxies::default(),
        ..serving()
    }
}

/// A certificate of `localhost` and its key, as files in a folder; and who trusts it.
fn certificate() -> (tempfile::TempDir, RootCertStore) {
    let made = rcgen::generate_simple_self_signed(["localhost".to_owned()]).unwrap();
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("certificate.pem"), made.cert.pem()).unwrap();
    std::fs::write(
        folder.path().join("key.pem"),
        made.signing_key.serialize_pem(),
    )
    .unwrap();
    let mut trusted = RootCertStore::empty();
    trusted.add(made.cert.der().clone()).unwrap();
    (folder, trusted)
}

fn by_tls(
    base: &str,
    trusted: RootCertStore,
    versions: &[&'static rustls::SupportedProtocolVersion],
    sent: &str,
) -> RawAnswer {
    let provider = rustls::crypto::aws_lc_rs::default_provider();
    let config = ClientConfig::builder_with_provider(provider.into())
        .with_protocol_versions(versions)
        .unwrap()
        .with_root_certificates(trusted)
        .with_no_client_auth();
    let name = ServerName::try_from("localhost").unwrap();
    let client = ClientConnection::new(Arc::new(config), name).unwrap();
    let mut stream = StreamOwned::new(client, connect(base));
    stream.write_all(sent.as_bytes()).unwrap();
    to_the_end(stream)
}

fn sign_in(house: &House, host: &str, origin: &str, more: &str) -> String {
    let manager = account(house, Role::Manager);
    let fields = [
        ("email", manager.email.as_str()),
        ("password", &manager.password),
    ];
    let form = serde_urlencoded::to_string(fields).unwrap();
    format!(
        "POST /sign-in HTTP/1.1\r\nHost: {host}\r\nOrigin: {origin}\r\n{more}Connection: close\r\n\
         Content-Type: application/x-www-form-urlencoded\r\nContent-Length: {}\r\n\r\n{form}",
        form.len()
    )
}

const SEES: &str = "GET /sign-in HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n";

on_both_engines! {
    /// Sources: RFC 6797 section 7 (HSTS over secure transport alone), RFC 6265bis section 4.1.3 (`__Host-`).
    async fn by_tls_of_its_own_the_cookie_is_secure_and_https_is_told_to_stay(house) {
        let (folder, trusted) = certificate();
        let tls = tls::read(&folder.path().join("certificate.pem"), &folder.path().join("key.pem")).unwrap();
        let service = house.served(Serving { tls: Some(tls), ..without_proxies() });
        for version in [&rustls::version::TLS13, &rustls::version::TLS12] {
            let page = by_tls(&service.base, trusted.clone(), &[version], SEES);
            assert_eq!(page.status(), 200, "{}", page.0);
            assert_eq!(page.header("strict-transport-security"), Some("max-age=31536000; includeSubDomains"));
        }
        let signed_in = by_tls(
            &service.base,
            trusted,
            rustls::ALL_VERSIONS,
            &sign_in(house, "localhost", "https://localhost", ""),
        );
        assert_eq!(signed_in.status(), 303, "{}", signed_in.0);
        let cookie = signed_in.header("set-cookie").unwrap();
        for part in ["__Host-roundhand_session=", "HttpOnly", "SameSite=Lax", "Secure", "Path=/"] {
            assert!(cookie.contains(part), "{cookie} lacks {part}");
        }
        // Plain octets get no page there.
        assert!(!exchange(&service.base, SEES.as_bytes()).0.starts_with("HTTP/1.1 200"));
    }

    async fn of_a_proxy_that_is_trusted_the_scheme_and_the_host_are_believed(house) {
        let told = "X-Forwarded-Proto: https\r\nX-Forwarded-Host: courts.example.org\r\n";
        let page = exchange(&house.base, SEES.replace("Host", &format!("{told}Host")).as_bytes());
        assert_eq!(page.header("strict-transport-security"), Some("max-age=31536000; includeSubDomains"));
        let sent = sign_in(house, "inner:8080", "https://courts.example.org", told);
        let signed_in = exchange(&house.base, sent.as_bytes());
        assert_eq!(signed_in.status(), 303, "{}", signed_in.0);
        assert!(signed_in.header("set-cookie").unwrap().contains("Secure"));
    }

    async fn of_anybody_else_neither_is_believed(house) {
        let service = house.served(without_proxies());
        for told in [
            "X-Forwarded-Proto: https\r\nX-Forwarded-Host: elsewhere.example\r\n",
            "Forwarded: proto=https;host=elsewhere.example\r\n",
        ] {
            let page = exchange(&service.base, SEES.replace("Host", &format!("{told}Host")).as_bytes());
            assert_eq!(page.status(), 200);
            assert_eq!(page.header("strict-transport-security"), None, "{}", page.0);
            // A page of elsewhere that could lay such headers would still not be one of ours.
            let sent = sign_in(house, "localhost", "http://elsewhere.example", told);
            let refused = exchange(&service.base, sent.as_bytes());
            assert_eq!((refused.status(), refused.header("set-cookie")), (403, None), "{}", refused.0);
        }
    }

    /// Only a browser on the same machine is signed in over plain HTTP.
    async fn over_plain_http_from_elsewhere_nobody_is_signed_in_and_told_why(house) {
        let service = house.served(without_proxies());
        for host in ["courts.example.org", "192.0.2.7:8080"] {
            let sent = sign_in(house, host, &format!("http://{host}"), "");
            let refused = exchange(&service.base, sent.as_bytes());
            assert_eq!((refused.status(), refused.header("set-cookie")), (422, None), "{}", refused.0);
            assert!(refused.body().contains("Open this address with https://"), "{}", refused.0);
        }
        let here = exchange(&service.base, sign_in(house, "localhost", "http://localhost", "").as_bytes());
        assert_eq!(here.status(), 303, "{}", here.0);
        // The cookie of the loopback counts on the loopback alone.
        let cookie = here.header("set-cookie").unwrap().split(';').next().unwrap();
        let asks = |host: &str| {
            let sent = format!("GET / HTTP/1.1\r\nHost: {host}\r\nCookie: {cookie}\r\nConnection: close\r\n\r\n");
            exchange(&service.base, sent.as_bytes()).header("location").unwrap_or("the page").to_owned()
        };
        assert_ne!(asks("localhost"), "/sign-in");
        assert_eq!(asks("courts.example.org"), "/sign-in");
    }

    /// The API's own answers, the pages, what is not there and what is refused all say it.
    async fn every_answer_says_what_a_browser_may_do_with_it(house) {
        let manager = house.manager().await;
        for path in ["/sign-in", "/nothing", "/api/nothing", "/api/openapi.json", "/api/docs/", "/healthz", &house.path("/courts")] {
            let answer = manager.get(path).await;
            let policy = answer.header("content-security-policy").unwrap();
            assert!(policy.contains("frame-ancestors 'none'") && !policy.contains("unsafe"), "{path}: {policy}");
            for (name, value) in [
                ("x-content-type-options", "nosniff"),
                ("referrer-policy", "same-origin"),
                ("cross-origin-opener-policy", "same-origin"),
                ("cross-origin-resource-policy", "same-origin"),
            ] {
                assert_eq!(answer.header(name), Some(value), "{path}: {name}");
            }
            assert!(answer.header("permissions-policy").unwrap().contains("geolocation=()"), "{path}");
        }
        for path in [house.path("/courts"), house.path("/nothing"), "/sign-in".into()] {
            assert_eq!(manager.get(&path).await.header("cache-control"), Some("no-store"), "{path}");
        }
    }
}

#[test]
fn a_certificate_that_cannot_be_used_is_told_by_its_option() {
    let (folder, _) = certificate();
    let (other, _) = certificate();
    let file = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    let (certificate, key) = (file("certificate.pem"), file("key.pem"));
    std::fs::write(file("nothing.pem"), "nothing\n").unwrap();
    let (nothing, missing) = (file("nothing.pem"), file("missing.pem"));
    let strange = other.path().join("key.pem").to_str().unwrap().to_owned();
    let told = |options: &[&str]| {
        let database = format!("sqlite:{}", file("data.sqlite"));
        let ran = bare()
            .args(["serve", "--bind", "127.0.0.1:0", "--database", &database])
            .args(options)
            .output()
            .unwrap();
        assert!(!ran.status.success());
        String::from_utf8(ran.stderr).unwrap()
    };
    for (options, says) in [
        (
            vec!["--tls-certificate", &certificate],
            "--tls-certificate: name its key too",
        ),
        (
            vec!["--tls-key", &key],
            "--tls-key: name its certificate too",
        ),
        (
            vec!["--tls-certificate", &missing, "--tls-key", &key],
            "--tls-certificate: ",
        ),
        (
            vec!["--tls-certificate", &nothing, "--tls-key", &key],
            "--tls-certificate: ",
        ),
        (
            vec!["--tls-certificate", &certificate, "--tls-key", &nothing],
            "--tls-key: ",
        ),
        (
            vec!["--tls-certificate", &certificate, "--tls-key", &certificate],
            "--tls-key: ",
        ),
        (
            vec!["--tls-certificate", &certificate, "--tls-key", &strange],
            "--tls-key: ",
        ),
    ] {
        let text = told(&options);
        assert!(text.contains(says), "{options:?}: {text}");
    }
}

/// Sources: Content Security Policy Level 3, sections 6.1.13 and 6.1.15 (style-src, style-src-attr).
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_reader_of_the_document_shows_every_group_and_breaks_no_policy_of_its_own() {
    let Some(browser) = Browser::open().await else {
        return;
    };
    let house = House::open(Engine::Sqlite).unwrap();
    browser.go(&format!("{}/api/docs/", house.base)).await;
    browser.find(".opblock-tag").await;
    // One operation is opened, with its body and its answers.
    browser
        .find(".opblock-post .opblock-summary-control")
        .await
        .click()
        .await
        .unwrap();
    browser.find(".opblock-body .responses-table").await;
    assert_eq!(browser.complaints().await, Vec::<String>::new());
    browser.close().await;
}

/// A tablet fetches some forty files on its first day: over HTTP/1.1 they wait for each other.
/// Source: RFC 9113 section 3.2 (chosen by ALPN), section 8.3.1 (the host is in `:authority`).
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn by_tls_a_browser_has_all_its_files_over_one_connection_and_signs_in_over_it() {
    let Some(browser) = Browser::open().await else {
        return;
    };
    let house = House::open(Engine::Sqlite).unwrap();
    let (folder, _) = certificate();
    let file = |name: &str| folder.path().join(name);
    let tls = tls::read(&file("certificate.pem"), &file("key.pem")).unwrap();
    let service = house.served(Serving {
        tls: Some(tls),
        ..without_proxies()
    });
    let (_, port) = service.base.rsplit_once(':').unwrap();
    let base = format!("https://localhost:{port}");
    let ignore = json!({ "ignore": true });
    browser
        .tell("Security.setIgnoreCertificateErrors", ignore)
        .await;
    browser.go(&format!("{base}/tablet")).await;
    browser.find("#screen[data-screen]").await;
    let by = "return [...new Set(performance.getEntriesByType('navigation').concat(performance.getEntriesByType('resource'))
        .map(one => one.nextHopProtocol))]";
    assert_eq!(browser.look(by).await, json!(["h2"]));

    let manager = account(&house, Role::Manager);
    browser.go(&format!("{base}/sign-in")).await;
    for (id, text) in [("#email", &manager.email), ("#password", &manager.password)] {
        let field = browser.find(id).await;
        field.send_keys(text).await.unwrap();
    }
    let button = browser.find("main form [type=submit]").await;
    button.click().await.unwrap();
    browser.find(".band-user").await;
    browser.close().await;
}
