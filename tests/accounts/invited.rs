//! Who may sign in to a site: invited, given other roles, taken away.

use reqwest::Method;
use roundhand::desk::access::EditUsers;
use roundhand::desk::members::{NewMember, member_invite};
use roundhand::store::Role;
use serde_json::{Value, json};

use super::{GOOD, PostRoom, account, db_user, permit, post, secret_in, sign_in};
use crate::support::{Answer, Client, House, on_both_engines};

fn sam() -> Value {
    json!({ "name": "Sam Reed", "email": "Sam@Example.org", "roles": ["crew_lead", "crew_member"] })
}

async fn set_roles(client: &Client, path: &str, roles: &Value, tag: Option<&str>) -> Answer {
    let headers: Vec<_> = tag.map(|tag| ("if-match", tag)).into_iter().collect();
    let body = json!({ "roles": roles });
    client
        .send(Method::PATCH, path, &headers, Some(&body))
        .await
}

/// Invites somebody where mail is sent.
fn invite_by_mail(house: &House, room: &PostRoom, email: &str) {
    let new = NewMember {
        name: "Sam Reed".into(),
        email: email.into(),
        roles: vec![Role::CrewLead],
    };
    let permit = permit::<EditUsers>(house, Role::Manager);
    let key = uuid::Uuid::new_v4().to_string();
    let invited = member_invite(&room.office, &permit, &new, key).expect("an invitation");
    assert_eq!(
        invited.by_hand, None,
        "what is mailed is shown to nobody else"
    );
}

on_both_engines! {
    async fn who_is_invited_chooses_a_password_by_the_mail_and_signs_in_as_what_they_were_invited(house) {
        let room = PostRoom::of(house);
        invite_by_mail(house, &room, "sam@example.org");
        sign_in(house, "sam@example.org", "").await.expect_problem(401);
        let secret = secret_in(&room.letters()[0]);
        let body = json!({ "secret": secret, "password": GOOD });
        post(house, "password-by-secret", &body).await.expect(204);
        let pair = sign_in(house, "sam@example.org", GOOD).await.expect(200);
        let sam = house.nobody().with_token(pair["access_token"].as_str().unwrap());
        sam.get(&house.path("/days/2031-06-10")).await.expect(200);
        sam.get(&house.path("/costs?from=2031-06-01&to=2031-06-10")).await.expect_problem(403);
    }

    async fn who_has_an_account_gets_the_further_site_without_choosing_a_password_anew(house) {
        let room = PostRoom::of(house);
        // The owner belongs to no site by a role of their own.
        let owner = &house.set_up.owner;
        invite_by_mail(house, &room, &owner.email);
        let letter = &room.letters()[0];
        assert!(letter.contains("you have access"), "{letter}");
        assert!(!letter.contains("/password#"), "{letter}");
        sign_in(house, &owner.email, &owner.password).await.expect(200);
    }

    async fn where_no_mail_is_sent_the_link_is_shown_once_to_who_invites(house) {
        let manager = house.manager().await;
        let key = "\"0a3b8f0e-51f5-4f0a-9a43-6a3f0d3c2b11\"";
        let path = house.path("/users");
        let invited = manager.post_with_key(&path, &sam(), key).await.expect(201);
        assert_eq!(invited["email"], "sam@example.org");
        assert_eq!(invited["has_password"], false);
        let secret = secret_in(invited["by_hand"].as_str().unwrap());
        let again = manager.post_with_key(&path, &sam(), key).await.expect(201);
        assert_eq!(again["by_hand"], Value::Null, "the answer to the same request tells it no more");
        let body = json!({ "secret": secret, "password": GOOD });
        post(house, "password-by-secret", &body).await.expect(204);
        sign_in(house, "sam@example.org", GOOD).await.expect(200);
        manager.post(&path, &sam()).await.expect_problem(409);
    }

    async fn an_invitation_sent_again_voids_the_one_before_and_none_goes_to_who_has_a_password(house) {
        let manager = house.manager().await;
        let invited = manager.post(&house.path("/users"), &sam()).await.expect(201);
        let first = secret_in(invited["by_hand"].as_str().unwrap());
        let path = house.path(&format!("/users/{}/invitation", invited["id"]));
        let again = manager.post(&path, &json!({})).await.expect(202);
        let second = secret_in(again["by_hand"].as_str().unwrap());
        let set = |secret: &str| json!({ "secret": secret, "password": GOOD });
        post(house, "password-by-secret", &set(&first)).await.expect_problem(422);
        post(house, "password-by-secret", &set(&second)).await.expect(204);
        manager.post(&path, &json!({})).await.expect_problem(409);
    }

    async fn what_is_wrong_with_an_invitation_is_named_by_its_field(house) {
        let manager = house.manager().await;
        for (body, field) in [
            (json!({ "name": " ", "email": "a@example.org", "roles": ["finance"] }), "/name"),
            (json!({ "name": "A", "email": "nobody", "roles": ["finance"] }), "/email"),
            (json!({ "name": "A", "email": "a@example.org", "roles": [] }), "/roles"),
        ] {
            let refused = manager.post(&house.path("/users"), &body).await;
            refused.expect_problem(422);
            assert_eq!(refused.fault(), field);
        }
    }

    async fn other_roles_hold_at_once_and_only_on_what_was_read(house) {
        let manager = house.manager().await;
        let lead = house.as_role(Role::CrewLead).await;
        let id = db_user(house, &account(house, Role::CrewLead).email);
        let path = house.path(&format!("/users/{id}"));
        let tag = manager.get(&path).await.header("etag").unwrap().to_owned();
        let costs = house.path("/costs?from=2031-06-01&to=2031-06-10");
        lead.get(&costs).await.expect_problem(403);
        set_roles(&manager, &path, &json!(["finance"]), None).await.expect_problem(428);
        set_roles(&manager, &path, &json!(["finance"]), Some(&tag)).await.expect(200);
        lead.get(&costs).await.expect(200);
        set_roles(&manager, &path, &json!(["crew_lead"]), Some(&tag)).await.expect_problem(412);

        manager.send(Method::DELETE, &path, &[], None).await.expect(204);
        lead.get(&costs).await.expect_problem(404);
    }

    async fn a_site_keeps_a_manager(house) {
        let manager = house.manager().await;
        let id = db_user(house, &account(house, Role::Manager).email);
        let path = house.path(&format!("/users/{id}"));
        manager.send(Method::DELETE, &path, &[], None).await.expect_problem(409);
        let tag = manager.get(&path).await.header("etag").unwrap().to_owned();
        set_roles(&manager, &path, &json!(["finance"]), Some(&tag)).await.expect_problem(409);
        assert_eq!(manager.get(&path).await.expect(200)["roles"], json!(["manager"]));
    }

    /// Whoever hands a link over could use it: of an account that another site waits for there is none.
    async fn without_mail_a_second_site_gets_no_link_to_an_account_that_another_has_invited(house) {
        let manager = house.manager().await;
        let invited = manager.post(&house.path("/users"), &sam()).await.expect(201);
        let second = roundhand::desk::set_up::lay_demo_site(&house.office).unwrap();
        let other = second.accounts.iter().find(|account| account.role == Role::Manager).unwrap();
        let pair = sign_in(house, &other.email, &other.password).await.expect(200);
        let other = house.nobody().with_token(pair["access_token"].as_str().unwrap());
        let path = format!("/api/v1/sites/{}/users", second.site_id);
        other.post(&path, &sam()).await.expect_problem(409);
        let secret = secret_in(invited["by_hand"].as_str().unwrap());
        let body = json!({ "secret": secret, "password": GOOD });
        post(house, "password-by-secret", &body).await.expect(204);
        let joined = other.post(&path, &sam()).await.expect(201);
        assert_eq!(joined["by_hand"], Value::Null);
    }
}
