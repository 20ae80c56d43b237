//! The second factor: set up, asked for, lost.

use chrono::{DateTime, TimeDelta, Utc};
use roundhand::desk::second_factor::seal_anew;
use roundhand::desk::tokens::Tokens;
use roundhand::store::Role;
use serde_json::{Value, json};
use totp_rs::Totp;

use super::{GOOD, PostRoom, account, post, secret_in, sign_in};
use crate::support::{Answer, Client, House, on_both_engines};

/// The code that a phone shows which has read the pattern.
fn shown_by_phone(begun: &Value, at: DateTime<Utc>) -> String {
    let phone = Totp::from_url(begun["address"].as_str().unwrap()).expect("an address phones read");
    phone
        .generate(at.timestamp().try_into().unwrap())
        .to_string()
}

/// Finance's password, typed once more.
fn again(house: &House) -> Value {
    json!({ "password": account(house, Role::Finance).password })
}

/// Sets a second factor up for finance: what the phone holds, and the codes on paper.
async fn set_up(house: &House, client: &Client) -> (Value, Vec<String>) {
    let begun = client
        .post("/api/v1/me/second-factor", &again(house))
        .await
        .expect(200);
    let code = shown_by_phone(&begun, house.office.clock.now());
    let confirmed = client
        .post("/api/v1/me/second-factor/confirm", &json!({ "code": code }))
        .await;
    let codes = confirmed.expect(200)["codes"].as_array().unwrap().clone();
    let codes = codes
        .iter()
        .map(|code| code.as_str().unwrap().to_owned())
        .collect();
    (begun, codes)
}

async fn sign_in_with(base: &str, house: &House, role: Role, code: &str) -> Answer {
    let account = account(house, role);
    let body = json!({ "email": account.email, "password": account.password, "code": code });
    let nobody = Client::nobody(base);
    nobody
        .send(reqwest::Method::POST, "/api/v1/sign-in", &[], Some(&body))
        .await
}

on_both_engines! {
    async fn once_it_is_confirmed_signing_in_asks_for_a_code_that_is_good_once(house) {
        let finance = account(house, Role::Finance);
        let client = house.as_role(Role::Finance).await;
        let guessed = client.post("/api/v1/me/second-factor", &json!({ "password": "not this" })).await;
        guessed.expect_problem(422);
        assert_eq!(guessed.fault(), "/password");
        let begun = client.post("/api/v1/me/second-factor", &again(house)).await.expect(200);
        sign_in(house, &finance.email, &finance.password).await.expect(200);
        let confirm = "/api/v1/me/second-factor/confirm";
        let refused = client.post(confirm, &json!({ "code": "000000" })).await;
        refused.expect_problem(422);
        assert_eq!(refused.fault(), "/code");
        let code = shown_by_phone(&begun, house.office.clock.now());
        client.post(confirm, &json!({ "code": code })).await.expect(200);

        let asked = sign_in(house, &finance.email, &finance.password).await;
        assert_eq!(asked.expect_problem(401)["type"], "urn:roundhand:problem:needs_code");
        let wrong = sign_in(house, &finance.email, "not this").await;
        assert_eq!(wrong.expect_problem(401)["type"], "urn:roundhand:problem:not_signed_in");
        // The code that confirmed it was used by that.
        sign_in_with(&house.base, house, Role::Finance, &code).await.expect_problem(401);
        let later = house.office.clock.now() + TimeDelta::seconds(30);
        let next = shown_by_phone(&begun, later);
        let service = house.on_day(later);
        sign_in_with(&service.base, house, Role::Finance, &next).await.expect(200);
        sign_in_with(&service.base, house, Role::Finance, &next).await.expect_problem(401);
    }

    async fn on_the_day_the_phone_is_lost_each_code_on_paper_works_once(house) {
        let client = house.as_role(Role::Finance).await;
        let (_, codes) = set_up(house, &client).await;
        assert_eq!(codes.len(), 8);
        let typed = codes[3].to_lowercase().replace('-', " ");
        sign_in_with(&house.base, house, Role::Finance, &typed).await.expect(200);
        sign_in_with(&house.base, house, Role::Finance, &codes[3]).await.expect_problem(401);
        assert_eq!(client.get("/api/v1/me").await.expect(200)["recovery_codes_left"], 7);
        let removal = json!({ "password": account(house, Role::Finance).password, "code": codes[0] });
        client.post("/api/v1/me/second-factor/remove", &removal).await.expect(204);
        let finance = account(house, Role::Finance);
        sign_in(house, &finance.email, &finance.password).await.expect(200);
        let letters = PostRoom::of(house).letters().join("\n");
        assert!(letters.contains("Your second factor is set up") && letters.contains("was taken away"), "{letters}");
    }

    async fn a_site_may_ask_its_managers_and_finance_for_one_and_nobody_else(house) {
        let manager = house.manager().await;
        let tag = manager.get(&house.path("")).await.header("etag").unwrap().to_owned();
        let asked = json!({ "name": "Lower Meadow Courts", "units": "metric", "second_factor_required": true });
        manager.send(reqwest::Method::PATCH, &house.path(""), &[("if-match", &tag)], Some(&asked)).await.expect(200);
        for role in [Role::Manager, Role::Finance] {
            let client = house.as_role(role).await;
            let refused = client.get(&house.path("")).await;
            assert_eq!(refused.expect_problem(403)["type"], "urn:roundhand:problem:needs_second_factor");
            client.get("/api/v1/me").await.expect(200);
        }
        for role in [Role::CrewLead, Role::CrewMember, Role::FrontDesk] {
            house.as_role(role).await.get(&house.path("")).await.expect(200);
        }
        let finance = house.as_role(Role::Finance).await;
        set_up(house, &finance).await;
        finance.get(&house.path("")).await.expect(200);
    }

    async fn keys_change_and_the_phone_goes_on(house) {
        let client = house.as_role(Role::Finance).await;
        let (begun, _) = set_up(house, &client).await;
        let mut changed = house.another_office(roundhand::mail::Settings::default(), house.office.clock.now());
        changed.tokens = Tokens::of(&[&[9; 32], &[7; 32]]);
        assert_eq!(seal_anew(&changed).unwrap(), 1);
        assert_eq!(seal_anew(&changed).unwrap(), 0, "once is enough");
        // The old key is gone.
        changed.tokens = Tokens::of(&[&[9; 32]]);
        let later = house.office.clock.now() + TimeDelta::seconds(60);
        changed.clock = roundhand::clock::Clock::standing_at(later);
        let finance = account(house, Role::Finance);
        let who = |code: Option<String>| roundhand::desk::sign_in::Credentials {
            email: finance.email.clone(),
            password: finance.password.clone(),
            code,
            from: None,
        };
        assert!(roundhand::desk::sign_in::sign_in(&changed, &who(None)).is_err());
        let code = shown_by_phone(&begun, later);
        assert!(roundhand::desk::sign_in::sign_in(&changed, &who(Some(code))).is_ok());
    }

    async fn setting_a_forgotten_password_anew_leaves_the_second_factor_where_it_is(house) {
        let client = house.as_role(Role::Finance).await;
        set_up(house, &client).await;
        let email = &account(house, Role::Finance).email;
        post(house, "new-password", &json!({ "email": email })).await.expect(202);
        let secret = PostRoom::of(house).letters().iter().find(|l| l.contains("/password#")).map(|l| secret_in(l));
        let body = json!({ "secret": secret.unwrap(), "password": GOOD });
        post(house, "password-by-secret", &body).await.expect(204);
        let asked = sign_in(house, email, GOOD).await;
        assert_eq!(asked.expect_problem(401)["type"], "urn:roundhand:problem:needs_code");
    }
}
