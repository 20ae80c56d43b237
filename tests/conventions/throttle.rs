//! How often somebody may try to sign in.

use chrono::TimeDelta;
use reqwest::Method;
use roundhand::store::Role;
use serde_json::{Value, json};

use crate::support::{Answer, Client, House, on_both_engines};

/// So many wrong passwords are free on one account, and so many tries from one address: our own figures.
const FREE_ON_ACCOUNT: usize = 8;
const FREE_FROM_ADDRESS: usize = 40;

async fn attempt(client: &Client, body: &Value, from: &str) -> Answer {
    let headers = [("x-forwarded-for", from)];
    client
        .send(Method::POST, "/api/v1/sign-in", &headers, Some(body))
        .await
}

fn account(house: &House, password: Option<&str>) -> Value {
    let manager = house
        .set_up
        .accounts
        .iter()
        .find(|a| a.role == Role::Manager)
        .unwrap();
    json!({ "email": manager.email, "password": password.unwrap_or(&manager.password) })
}

on_both_engines! {
    async fn after_too_many_wrong_passwords_an_account_waits_whoever_tries_and_then_opens_again(house) {
        let wrong = account(house, Some("not it"));
        for nth in 0..FREE_ON_ACCOUNT {
            attempt(&house.nobody(), &wrong, &format!("192.0.2.{nth}")).await.expect_problem(401);
        }
        // Also with the right password and from another address: else a wait would tell when it was right.
        for body in [&wrong, &account(house, None)] {
            let told = attempt(&house.nobody(), body, "198.51.100.9").await;
            assert_eq!(told.header("retry-after"), Some("16"));
            told.expect_problem(429);
        }
        // Others sign in meanwhile, also from an address that tried.
        house.as_role(Role::CrewLead).await;

        let later = house.on_day(house.office.clock.now() + TimeDelta::seconds(16));
        let client = Client::nobody(&later.base);
        attempt(&client, &account(house, None), "192.0.2.1").await.expect(200);
        attempt(&client, &wrong, "192.0.2.1").await.expect_problem(401);
    }

    async fn an_account_that_is_not_there_waits_like_one_that_is(house) {
        let nobody = json!({ "email": "nobody@elsewhere.example", "password": "not it" });
        for _ in 0..FREE_ON_ACCOUNT {
            attempt(&house.nobody(), &nobody, "192.0.2.1").await.expect_problem(401);
        }
        attempt(&house.nobody(), &nobody, "192.0.2.1").await.expect_problem(429);
    }

    async fn of_many_tries_at_once_no_more_are_looked_at_than_one_after_the_other(house) {
        let mut all = tokio::task::JoinSet::new();
        for nth in 0..30 {
            let (client, body) = (house.nobody(), account(house, Some("not it")));
            all.spawn(async move { attempt(&client, &body, &format!("192.0.2.{nth}")).await.status.as_u16() });
        }
        let answers = all.join_all().await;
        let looked_at = answers.iter().filter(|status| **status == 401).count();
        assert!(looked_at <= FREE_ON_ACCOUNT, "{answers:?}");
        assert!(answers.iter().all(|status| [401, 429].contains(status)), "{answers:?}");
    }

    async fn one_address_that_tries_many_accounts_waits_and_another_does_not(house) {
        let of = |nth: usize| json!({ "email": format!("somebody-{nth}@elsewhere.example"), "password": "not it" });
        for nth in 0..FREE_FROM_ADDRESS {
            attempt(&house.nobody(), &of(nth), "192.0.2.1").await.expect_problem(401);
        }
        attempt(&house.nobody(), &of(99), "192.0.2.1").await.expect_problem(429);
        // The network of an address of the newer kind counts, and who signs in rightly is not counted.
        attempt(&house.nobody(), &account(house, None), "2001:db8::1").await.expect(200);
    }
}
