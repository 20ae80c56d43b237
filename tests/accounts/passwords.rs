//! Forgotten and changed passwords.

use chrono::TimeDelta;
use roundhand::desk::sign_in::forget_old;
use roundhand::store::Role;
use serde_json::json;

use super::{GOOD, PostRoom, account, db_count, post, secret_in, sign_in};
use crate::support::on_both_engines;

on_both_engines! {
    async fn a_forgotten_password_is_set_anew_by_a_link_that_works_once(house) {
        let lead = account(house, Role::CrewLead);
        let before = sign_in(house, &lead.email, &lead.password).await.expect(200);
        post(house, "new-password", &json!({ "email": lead.email.to_uppercase() })).await.expect(202);
        let room = PostRoom::of(house);
        let letters = room.letters();
        assert_eq!(letters.len(), 1, "{letters:?}");
        assert!(letters[0].contains("Subject: A new password"), "{}", letters[0]);
        let secret = secret_in(&letters[0]);
        let body = json!({ "secret": secret, "password": GOOD });
        post(house, "password-by-secret", &body).await.expect(204);

        sign_in(house, &lead.email, &lead.password).await.expect_problem(401);
        sign_in(house, &lead.email, GOOD).await.expect(200);
        let refresh = json!({ "refresh_token": before["refresh_token"] });
        post(house, "refresh", &refresh).await.expect_problem(401);

        let again = post(house, "password-by-secret", &body).await;
        again.expect_problem(422);
        assert_eq!(again.fault(), "/secret");
        assert_eq!(room.letters().len(), 2, "a second mail says that the password was changed");
    }

    async fn whether_there_is_an_account_shows_neither_in_the_answer_nor_in_what_is_done_for_it(house) {
        let known = json!({ "email": account(house, Role::Finance).email });
        let mut queries = Vec::new();
        let mut answers = Vec::new();
        for body in [json!({ "email": "nobody@example.org" }), known] {
            let before = house.queries();
            answers.push(post(house, "new-password", &body).await);
            queries.push(house.queries() - before);
        }
        assert_eq!((answers[0].status, &answers[0].text), (answers[1].status, &answers[1].text));
        assert_eq!(answers[0].status, 202);
        assert_eq!(queries[0], queries[1], "as many questions to the database");
        assert_eq!(PostRoom::of(house).letters().len(), 1);
        let left = "SELECT COUNT(*) AS rows FROM jobs WHERE kind = 'account_mail'";
        assert_eq!(db_count(house, left), 0, "nothing is kept of who was asked for");
    }

    async fn a_link_holds_for_an_hour_from_when_it_was_sent_and_a_newer_one_voids_it(house) {
        let email = &account(house, Role::Finance).email;
        let asked = json!({ "email": email });
        post(house, "new-password", &asked).await.expect(202);
        let room = PostRoom::of(house);
        let first = secret_in(&room.letters()[0]);
        post(house, "new-password", &asked).await.expect(202);
        let newer = PostRoom::of(house);
        let second = secret_in(&newer.letters()[0]);
        assert_ne!(first, second);
        let set = |secret: &str| json!({ "secret": secret, "password": GOOD });
        post(house, "password-by-secret", &set(&first)).await.expect_problem(422);

        let hour_later = house.on_day(house.office.clock.now() + TimeDelta::hours(1));
        let late = crate::support::Client::nobody(&hour_later.base);
        let path = "/api/v1/password-by-secret";
        late.send(reqwest::Method::POST, path, &[], Some(&set(&second))).await.expect_problem(422);
        post(house, "password-by-secret", &set(&second)).await.expect(204);
    }

    /// Source: NIST SP 800-63B: length counts, composition does not, and what is commonly used is refused.
    async fn a_password_that_everybody_tries_first_is_refused_by_its_field(house) {
        let finance = account(house, Role::Finance);
        let client = house.as_role(Role::Finance).await;
        for (password, field) in [("short", "/new_password"), ("password1", "/new_password"), (finance.email.as_str(), "/new_password")] {
            let body = json!({ "old_password": finance.password, "new_password": password });
            let refused = client.post("/api/v1/me/password", &body).await;
            refused.expect_problem(422);
            assert_eq!(refused.fault(), field, "{password}");
        }
        sign_in(house, &finance.email, &finance.password).await.expect(200);
    }

    async fn changing_ones_password_ends_every_session_and_begins_a_new_one(house) {
        let finance = account(house, Role::Finance);
        let client = house.as_role(Role::Finance).await;
        let wrong = json!({ "old_password": "not this", "new_password": GOOD });
        let refused = client.post("/api/v1/me/password", &wrong).await;
        refused.expect_problem(422);
        assert_eq!(refused.fault(), "/old_password");
        let right = json!({ "old_password": finance.password, "new_password": GOOD });
        let pair = client.post("/api/v1/me/password", &right).await.expect(200);
        client.get("/api/v1/me").await.expect_problem(401);
        let new = house.nobody().with_token(pair["access_token"].as_str().unwrap());
        assert_eq!(new.get("/api/v1/me").await.expect(200)["email"], finance.email.as_str());
        sign_in(house, &finance.email, GOOD).await.expect(200);
        let letters = PostRoom::of(house).letters();
        assert!(letters[0].contains("Subject: Your password was changed"), "{letters:?}");
    }

    /// OWASP ASVS 5.0, 7.5.2: whoever signed in sees what else is, and ends it.
    async fn one_sees_what_is_signed_in_and_ends_what_is_not_wanted(house) {
        let finance = account(house, Role::Finance);
        let lost = house.as_role(Role::Finance).await;
        let here = house.as_role(Role::Finance).await;
        let all = here.get("/api/v1/me/sign-ins").await.expect(200);
        let all = all["sign_ins"].as_array().unwrap();
        assert_eq!(all.len(), 2, "{all:?}");
        let path = format!("/api/v1/me/sign-ins/{}/end", all[0]["id"]);
        here.post(&path, &json!({ "password": "not this" })).await.expect_problem(422);
        house.manager().await.post(&path, &json!({ "password": account(house, Role::Manager).password })).await.expect_problem(404);
        here.post(&path, &json!({ "password": finance.password })).await.expect(204);
        lost.get("/api/v1/me").await.expect_problem(401);
        here.get("/api/v1/me").await.expect(200);
    }

    async fn what_is_long_over_is_forgotten_and_what_still_holds_is_not(house) {
        let lead = account(house, Role::CrewLead);
        sign_in(house, &lead.email, "not this").await.expect_problem(401);
        post(house, "new-password", &json!({ "email": lead.email })).await.expect(202);
        PostRoom::of(house).letters();
        let pair = sign_in(house, &lead.email, &lead.password).await.expect(200);
        let tables = [
            "SELECT COUNT(*) AS rows FROM sign_in_tries",
            "SELECT COUNT(*) AS rows FROM single_use_secrets",
            "SELECT COUNT(*) AS rows FROM sessions",
        ];
        let counts = || tables.map(|sql| db_count(house, sql));
        let before = counts();
        assert!(before.iter().all(|rows| *rows > 0), "{before:?}");
        let at = |days| house.another_office(roundhand::mail::Settings::default(), house.office.clock.now() + TimeDelta::days(days));
        forget_old(&at(0)).unwrap();
        assert_eq!(counts(), before);
        forget_old(&at(59)).unwrap();
        assert_eq!(counts(), [0, 0, before[2]], "a session could still be asked about");
        forget_old(&at(61)).unwrap();
        assert_eq!(counts(), [0, 0, 0]);
        let refresh = json!({ "refresh_token": pair["refresh_token"] });
        post(house, "refresh", &refresh).await.expect_problem(401);
    }
}
