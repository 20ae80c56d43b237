//! Signing in, and what a token is good for.

use chrono::TimeDelta;
use reqwest::Method;
use roundhand::desk::tokens::Tokens;
use roundhand::store::Role;
use serde_json::{Value, json};

use crate::support::{Answer, House, on_both_engines};

async fn post(house: &House, path: &str, body: &Value) -> Answer {
    let path = format!("/api/v1/{path}");
    house
        .nobody()
        .send(Method::POST, &path, &[], Some(body))
        .await
}

async fn sign_in(house: &House) -> Value {
    let account = &house.set_up.accounts[0];
    let body = json!({ "email": account.email, "password": account.password });
    post(house, "sign-in", &body).await.expect(200)
}

fn refresh_of(pair: &Value) -> Value {
    json!({ "refresh_token": pair["refresh_token"] })
}

async fn sites_seen(house: &House, token: &str) -> Answer {
    house.nobody().with_token(token).get("/api/v1/sites").await
}

on_both_engines! {
    async fn until_the_new_refresh_token_was_used_the_old_one_brings_the_same_and_then_ends_the_family(house) {
        let first = sign_in(house).await;
        let other = sign_in(house).await;
        let second = post(house, "refresh", &refresh_of(&first)).await.expect(200);
        assert_ne!(first["refresh_token"], second["refresh_token"]);
        sites_seen(house, second["access_token"].as_str().unwrap()).await.expect(200);
        // The answer was lost on the way: the client asks again and gets the same.
        let again = post(house, "refresh", &refresh_of(&first)).await.expect(200);
        assert_eq!(again["refresh_token"], second["refresh_token"]);
        sites_seen(house, again["access_token"].as_str().unwrap()).await.expect(200);

        let third = post(house, "refresh", &refresh_of(&second)).await.expect(200);
        post(house, "refresh", &refresh_of(&first)).await.expect_problem(401);
        post(house, "refresh", &refresh_of(&third)).await.expect_problem(401);
        // The family's access tokens end with it, before their quarter of an hour is over.
        sites_seen(house, third["access_token"].as_str().unwrap()).await.expect_problem(401);
        // Another sign-in of the same user goes on.
        post(house, "refresh", &refresh_of(&other)).await.expect(200);
    }

    async fn fifty_refreshes_of_one_token_at_once_bring_one_successor_and_a_later_one_revokes(house) {
        let first = refresh_of(&sign_in(house).await);
        let mut all = tokio::task::JoinSet::new();
        for _ in 0..50 {
            let (client, first) = (house.nobody(), first.clone());
            all.spawn(async move { client.send(Method::POST, "/api/v1/refresh", &[], Some(&first)).await });
        }
        let pairs: Vec<Value> = all.join_all().await.into_iter().map(|answer| answer.expect(200)).collect();
        let second = &pairs[0]["refresh_token"];
        assert!(pairs.iter().all(|pair| pair["refresh_token"] == *second));

        let third = post(house, "refresh", &refresh_of(&pairs[0])).await.expect(200);
        post(house, "refresh", &first).await.expect_problem(401);
        post(house, "refresh", &refresh_of(&third)).await.expect_problem(401);
    }

    async fn signing_out_everywhere_ends_every_session_of_the_user_at_once(house) {
        let (here, there) = (sign_in(house).await, sign_in(house).await);
        let manager = house.as_role(Role::CrewLead).await;
        let token = |pair: &Value| pair["access_token"].as_str().unwrap().to_owned();
        let client = house.nobody().with_token(&token(&here));
        client.send(Method::POST, "/api/v1/sign-out-everywhere", &[], None).await.expect(204);
        for pair in [&here, &there] {
            sites_seen(house, &token(pair)).await.expect_problem(401);
            post(house, "refresh", &refresh_of(pair)).await.expect_problem(401);
        }
        manager.get("/api/v1/sites").await.expect(200);
        sign_in(house).await;
    }

    async fn signing_out_ends_the_session_and_can_be_done_twice(house) {
        let first = sign_in(house).await;
        let second = post(house, "refresh", &refresh_of(&first)).await.expect(200);
        for _ in 0..2 {
            post(house, "sign-out", &refresh_of(&second)).await.expect(204);
        }
        post(house, "refresh", &refresh_of(&second)).await.expect_problem(401);
        post(house, "sign-out", &json!({ "refresh_token": "made-up" })).await.expect(204);
    }

    async fn nobody_learns_whether_the_address_or_the_password_was_wrong(house) {
        let account = &house.set_up.accounts[0];
        let wrong = [
            json!({ "email": account.email, "password": "not it" }),
            json!({ "email": "nobody@nowhere.example", "password": account.password }),
            json!({ "email": account.email, "password": "" }),
            json!({ "email": "", "password": "" }),
        ];
        let mut texts = Vec::new();
        for body in wrong {
            let answer = post(house, "sign-in", &body).await;
            answer.expect_problem(401);
            // Each is an answer of its own, by its `instance`; nothing else may differ.
            texts.push(answer.text.split("\"instance\"").next().unwrap().to_owned());
        }
        texts.dedup();
        assert_eq!(texts.len(), 1, "{texts:?}");
    }

    async fn an_address_is_known_however_its_letters_are_cased(house) {
        let account = &house.set_up.accounts[0];
        let body = json!({ "email": account.email.to_uppercase(), "password": account.password });
        post(house, "sign-in", &body).await.expect(200);
    }

    async fn tokens_are_kept_by_no_cache(house) {
        let account = &house.set_up.accounts[0];
        let body = json!({ "email": account.email, "password": account.password });
        let answer = post(house, "sign-in", &body).await;
        assert_eq!(answer.header("cache-control"), Some("no-store"));
        assert_eq!(answer.expect(200)["expires_in"], 15 * 60);
    }

    async fn an_access_token_holds_for_a_quarter_of_an_hour(house) {
        let now = house.office.clock.now();
        let pair = sign_in(house).await;
        let holder = house.office.tokens.holder(pair["access_token"].as_str().unwrap(), now).unwrap();
        let issued_ago = |age: TimeDelta| house.office.tokens.issue(&holder, now - age).unwrap();
        sites_seen(house, &issued_ago(TimeDelta::seconds(899))).await.expect(200);
        sites_seen(house, &issued_ago(TimeDelta::seconds(900))).await.expect_problem(401);
    }

    async fn a_token_that_is_not_ours_opens_nothing(house) {
        let now = house.office.clock.now();
        let pair = sign_in(house).await;
        let good = pair["access_token"].as_str().unwrap();
        let holder = house.office.tokens.holder(good, now).unwrap();
        let forged = Tokens::new(&[8; 32]).issue(&holder, now).unwrap();
        let refresh = pair["refresh_token"].as_str().unwrap();
        let cut = &good[..good.len() - 1];
        for token in ["", "x", "a.b.c", refresh, cut, &forged] {
            sites_seen(house, token).await.expect_problem(401);
        }
        post(house, "refresh", &json!({ "refresh_token": good })).await.expect_problem(401);

        let nobody = house.nobody();
        for header in [format!("Basic {good}"), good.to_owned(), "Bearer".to_owned()] {
            let headers = [("authorization", header.as_str())];
            let answer = nobody.send(Method::GET, "/api/v1/sites", &headers, None).await;
            answer.expect_problem(401);
        }
        // RFC 9110 section 11.1: the scheme's case does not matter.
        let headers = [("authorization", format!("bearer {good}"))];
        let headers = [(headers[0].0, headers[0].1.as_str())];
        nobody.send(Method::GET, "/api/v1/sites", &headers, None).await.expect(200);
    }

    async fn each_role_has_an_account_that_signs_in(house) {
        for role in Role::ALL {
            house.as_role(*role).await.get(&house.path("")).await.expect(200);
        }
    }
}
