//! Crews' tablets: paired by a code, at work until their access is taken away.

use chrono::TimeDelta;
use reqwest::Method;
use roundhand::store::Role;
use serde_json::{Value, json};

use super::{account, post, sign_in};
use crate::support::{Client, House, on_both_engines, tablet_of};

async fn added(house: &House) -> Value {
    let lead = house.as_role(Role::CrewLead).await;
    let name = json!({ "name": "North crew's tablet" });
    lead.post(&house.path("/devices"), &name).await.expect(201)
}

on_both_engines! {
    async fn a_lead_pairs_a_tablet_by_a_code_that_is_good_once_however_it_is_typed(house) {
        let made = added(house).await;
        let code = made["code"].as_str().unwrap();
        assert_eq!(code.len(), 9, "{code}");
        let typed = json!({ "code": code.to_lowercase().replace('-', " ") });
        let pair = post(house, "pair", &typed).await.expect(200);
        post(house, "pair", &typed).await.expect_problem(422);
        let tablet = house.nobody().with_token(pair["access_token"].as_str().unwrap());
        tablet.get(&house.path("/days/2031-06-10")).await.expect(200);
        tablet.get(&house.path("/costs?from=2031-06-01&to=2031-06-10")).await.expect_problem(403);
        let sites = tablet.get("/api/v1/sites").await.items();
        assert_eq!(sites.len(), 1);
    }

    async fn a_code_holds_for_ten_minutes_and_a_new_one_voids_it(house) {
        let made = added(house).await;
        let later = house.on_day(house.office.clock.now() + TimeDelta::minutes(10));
        let late = Client::nobody(&later.base);
        let typed = json!({ "code": made["code"] });
        late.send(Method::POST, "/api/v1/pair", &[], Some(&typed)).await.expect_problem(422);
        let lead = house.as_role(Role::CrewLead).await;
        let path = house.path(&format!("/devices/{}/code", made["id"]));
        let newer = lead.post(&path, &json!({})).await.expect(201);
        post(house, "pair", &typed).await.expect_problem(422);
        post(house, "pair", &json!({ "code": newer["code"] })).await.expect(200);
    }

    async fn the_same_request_sent_again_makes_no_second_tablet_and_tells_no_code(house) {
        let lead = house.as_role(Role::CrewLead).await;
        let key = "\"5e3c2a55-3b0e-4a6e-9df0-1d2c3b4a5968\"";
        let name = json!({ "name": "South crew's tablet" });
        let first = lead.post_with_key(&house.path("/devices"), &name, key).await.expect(201);
        let again = lead.post_with_key(&house.path("/devices"), &name, key).await.expect(201);
        assert_eq!(first["id"], again["id"]);
        assert_eq!(again["code"], Value::Null);
        assert_eq!(lead.get(&house.path("/devices")).await.items().len(), 1);
    }

    async fn once_its_access_is_taken_away_a_tablet_is_out_at_once(house) {
        let token = tablet_of(house).await;
        let tablet = house.nobody().with_token(&token);
        tablet.get(&house.path("")).await.expect(200);
        let manager = house.manager().await;
        let device = &manager.get(&house.path("/devices")).await.items()[0];
        let path = house.path(&format!("/devices/{}", device["id"]));
        house.as_role(Role::CrewLead).await.send(Method::DELETE, &path, &[], None).await.expect_problem(403);
        manager.send(Method::DELETE, &path, &[], None).await.expect(204);
        tablet.get(&house.path("")).await.expect_problem(401);
        manager.send(Method::DELETE, &path, &[], None).await.expect_problem(409);
        manager.post(&format!("{path}/code"), &json!({})).await.expect_problem(409);
    }

    async fn a_tablet_stays_signed_in_over_the_winter_and_a_person_does_not(house) {
        let made = added(house).await;
        let tablet = post(house, "pair", &json!({ "code": made["code"] })).await.expect(200);
        let lead = account(house, Role::CrewLead);
        let person = sign_in(house, &lead.email, &lead.password).await.expect(200);
        let spring = house.on_day(house.office.clock.now() + TimeDelta::days(180));
        let nobody = Client::nobody(&spring.base);
        for (pair, status) in [(tablet, 200), (person, 401)] {
            let body = json!({ "refresh_token": pair["refresh_token"] });
            let got = nobody.send(Method::POST, "/api/v1/refresh", &[], Some(&body)).await;
            assert_eq!(got.status, status, "{}", got.text);
        }
    }

    async fn a_person_signs_in_again_after_ninety_days_however_often_they_refresh(house) {
        let lead = account(house, Role::CrewLead);
        let mut pair = sign_in(house, &lead.email, &lead.password).await.expect(200);
        for (days, status) in [(29, 200), (58, 200), (87, 200), (90, 401)] {
            let then = house.on_day(house.office.clock.now() + TimeDelta::days(days));
            let body = json!({ "refresh_token": pair["refresh_token"] });
            let got = Client::nobody(&then.base).send(Method::POST, "/api/v1/refresh", &[], Some(&body)).await;
            assert_eq!(got.status, status, "{days} days: {}", got.text);
            pair = got.body;
        }
    }

    async fn whoever_guesses_codes_waits(house) {
        added(house).await;
        let mut refused = 0;
        for _ in 0..60 {
            let got = post(house, "pair", &json!({ "code": "0000-0000" })).await;
            if got.status == 429 {
                assert!(got.header("retry-after").is_some());
                refused += 1;
            } else {
                got.expect_problem(422);
            }
        }
        assert!(refused >= 19, "{refused} of 60 guesses were not even looked at");
    }
}
