//! The language of each person, and the site's own words in it.

use reqwest::Method;
use roundhand::store::Role;
use serde_json::{Value, json};

use crate::pictures::made::jpeg;
use crate::pictures::send;
use crate::support::{Answer, Client, Ground, on_both_engines, tablet_of};

async fn patch(client: &Client, path: &str, body: &Value) -> Answer {
    let tag = client
        .get(path)
        .await
        .header("etag")
        .unwrap_or("\"1\"")
        .to_owned();
    client
        .send(Method::PATCH, path, &[("if-match", &tag)], Some(body))
        .await
}

on_both_engines! {
    async fn a_person_is_spoken_to_in_their_language(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let path = house.path(&format!("/people/{}", ground.dear));
        let tablet = house.nobody().with_token(&tablet_of(house).await);
        assert_eq!(tablet.get(&path).await.expect(200)["language"], "en-US");
        let person = patch(&manager, &path, &json!({ "came_on": "2031-01-05", "language": "pt-br" })).await.expect(200);
        assert_eq!(person["language"], "pt-BR", "a tag is written in one way");
        // What is left out stays.
        let person = patch(&manager, &path, &json!({ "came_on": null })).await.expect(200);
        assert_eq!((&person["language"], &person["came_on"]), (&json!("pt-BR"), &Value::Null));
        for none in ["", "spanish language", "und", "1", &"a-".repeat(40)] {
            let refused = patch(&manager, &path, &json!({ "came_on": null, "language": none })).await;
            refused.expect_problem(422);
            assert_eq!(refused.fault(), "/language", "{none}");
        }
        assert_eq!(tablet.get(&path).await.expect(200)["language"], "pt-BR");
    }

    async fn a_thing_has_one_word_a_language_with_its_picture(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let path = house.path("/site-words");
        let picture = send(&manager, house, "", "image/jpeg", jpeg(8, 8)).await.expect(201);
        let court = ground.courts[0].to_string();
        let word = |language: &str| json!({
            "language": language, "subject_kind": "court", "subject": court, "words": " la cancha del lago ",
            "picture_id": picture["id"],
        });
        let made = manager.post(&path, &word("es")).await.expect(201);
        assert_eq!((&made["words"], &made["picture_id"]), (&json!("la cancha del lago"), &picture["id"]));
        manager.post(&path, &word("ES")).await.expect_problem(409);
        manager.post(&path, &word("ht")).await.expect(201);
        let member = house.as_role(Role::CrewMember).await;
        let listed = member.get(&house.path("/site-words?language=es&subject_kind=court")).await.items();
        assert_eq!(listed, std::slice::from_ref(&made));

        let one = house.path(&format!("/site-words/{}", made["id"]));
        let edited = patch(&manager, &one, &json!({ "words": "la cancha azul", "picture_id": null })).await.expect(200);
        assert_eq!((&edited["words"], &edited["picture_id"], &edited["version"]), (&json!("la cancha azul"), &Value::Null, &json!(2)));
        let stale = [("if-match", "\"1\"")];
        let late = json!({ "words": "x", "picture_id": null });
        manager.send(Method::PATCH, &one, &stale, Some(&late)).await.expect_problem(412);
        manager.send(Method::DELETE, &one, &[], None).await.expect(204);
        manager.get(&one).await.expect_problem(404);
    }

    async fn what_is_no_word_of_the_site_is_told_field_by_field(house) {
        let manager = house.manager().await;
        let member = house.as_role(Role::CrewMember).await;
        let incident = "?subject=incident&of_key=01234567-89ab-4cde-8f01-23456789abcd";
        let hidden = send(&member, house, incident, "image/jpeg", jpeg(8, 8)).await.expect(201);
        let whole = json!({ "language": "es", "subject_kind": "reason", "subject": "heat", "words": "calor" });
        for (field, value) in [
            ("language", json!("spanish language")),
            ("subject", json!(" ")),
            ("subject", json!("x".repeat(81))),
            ("words", json!("")),
            ("words", json!("x".repeat(201))),
            ("picture_id", json!(999_999)),
            ("picture_id", hidden["id"].clone()),
        ] {
            let mut told = whole.clone();
            told[field] = value;
            let refused = manager.post(&house.path("/site-words"), &told).await;
            refused.expect_problem(422);
            assert_eq!(refused.fault(), format!("/{field}"), "{told}");
        }
        let nowhere = json!({ "language": "es", "subject_kind": "court", "subject": "999999", "words": "x" });
        let refused = manager.post(&house.path("/site-words"), &nowhere).await;
        assert_eq!(refused.fault(), "/subject");
        member.post(&house.path("/site-words"), &whole).await.expect_problem(403);
    }
}
