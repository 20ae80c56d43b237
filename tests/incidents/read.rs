//! Who is told of an incident, and who reads it.

use roundhand::store::Role;
use serde_json::{Value, json};

use super::{name, told};
use crate::accounts::{PostRoom, account, db_count, db_user};
use crate::pictures::made::jpeg;
use crate::pictures::{of, send, trail_of};
use crate::support::{Ground, on_both_engines, tablet_of};

on_both_engines! {
    async fn whoever_works_tells_one_and_reads_none_back(house) {
        let ground = Ground::db_lay(house);
        let path = house.path("/incidents");
        let tablet = house.nobody().with_token(&tablet_of(house).await);
        let tellers = [
            tablet, house.as_role(Role::CrewMember).await, house.as_role(Role::CrewLead).await,
            house.as_role(Role::FrontDesk).await,
        ];
        for teller in tellers {
            let answer = teller.post(&path, &told(ground.courts[0])).await;
            assert_eq!(answer.status, 201, "{}", answer.text);
            assert!(!answer.text.contains("slope") && !answer.text.contains("yellow"), "{}", answer.text);
            let one = house.path(&format!("/incidents/{}", answer.body["id"]));
            teller.get(&one).await.expect_problem(403);
            teller.get(&path).await.expect_problem(403);
        }
        let listed = house.manager().await.get(&path).await;
        assert!(!listed.text.contains("slope") && !listed.text.contains("yellow"), "{}", listed.text);
        let listed = listed.items();
        assert_eq!(listed.len(), 4);
        assert_eq!((&listed[0]["court"], &listed[0]["what"]), (&json!("Test court 901"), &json!("vehicle")));
        assert_eq!((&listed[0]["happened_at"], &listed[0]["opened_at"]), (&json!("2031-06-10T08:40:00Z"), &Value::Null));
    }

    async fn only_who_is_named_reads_the_details_whatever_their_role_and_each_reading_is_noted(house) {
        let ground = Ground::db_lay(house);
        let member = house.as_role(Role::CrewMember).await;
        let told = member.post(&house.path("/incidents"), &told(ground.courts[0])).await.expect(201);
        let one = house.path(&format!("/incidents/{}", told["id"]));
        let (manager, owner) = (house.manager().await, house.owner().await);
        for nobody in [&manager, &owner] {
            nobody.get(&one).await.expect_problem(403);
        }
        let named = name(house, Role::Finance).await;
        let finance = house.as_role(Role::Finance).await;
        let whole = finance.get(&one).await.expect(200);
        assert_eq!(whole["note"], "the cart rolled off the slope");
        assert_eq!((&whole["who_hurt"], &whole["anyone_hurt"]), (&json!("a guest in yellow"), &json!("no")));
        manager.get(&one).await.expect_problem(403);
        let trail = trail_of(&manager, house, "incident").await;
        let user = db_user(house, &account(house, Role::Finance).email);
        let verbs: Vec<&Value> = trail.iter().map(|event| &event["verb"]).collect();
        assert_eq!(verbs, [&json!("read"), &json!("told")], "a reading that was refused is none");
        assert_eq!(trail[0]["actor_user_id"], user);

        let off = house.path(&format!("/incident-readers/{}", named["id"]));
        manager.send(reqwest::Method::DELETE, &off, &[], None).await.expect(204);
        finance.get(&one).await.expect_problem(403);
    }

    async fn whoever_leaves_the_site_is_named_no_more(house) {
        name(house, Role::Finance).await;
        let user = db_user(house, &account(house, Role::Finance).email);
        let manager = house.manager().await;
        let gone = house.path(&format!("/users/{user}"));
        manager.send(reqwest::Method::DELETE, &gone, &[], None).await.expect(204);
        assert!(manager.get(&house.path("/incident-readers")).await.items().is_empty());
    }

    async fn its_pictures_show_to_who_is_named_alone(house) {
        let ground = Ground::db_lay(house);
        let member = house.as_role(Role::CrewMember).await;
        let key = uuid::Uuid::new_v4().to_string();
        let query = format!("?subject=incident&of_key={key}");
        let picture = send(&member, house, &query, "image/jpeg", jpeg(8, 8)).await.expect(201);
        let told = member.post_with_key(&house.path("/incidents"), &told(ground.courts[0]), &key).await.expect(201);
        let list = house.path("/pictures?subject=incident");
        let manager = house.manager().await;
        for nobody in [&member, &manager] {
            assert!(nobody.get(&list).await.items().is_empty());
            for rest in ["", "/content", "/thumbnail"] {
                nobody.get(&of(house, &picture, rest)).await.expect_problem(404);
            }
        }
        let removal = of(house, &picture, "?why=blurred");
        manager.send(reqwest::Method::DELETE, &removal, &[], None).await.expect_problem(404);
        name(house, Role::Manager).await;
        let shown = manager.get(&list).await.items();
        assert_eq!((&shown[0]["id"], &shown[0]["subject_id"]), (&picture["id"], &told["id"]));
        assert_eq!(manager.get(&of(house, &picture, "/content")).await.status, 200);
    }

    async fn each_manager_is_mailed_once_that_there_is_one_and_of_nobody_a_word(house) {
        let ground = Ground::db_lay(house);
        let member = house.as_role(Role::CrewMember).await;
        let key = uuid::Uuid::new_v4().to_string();
        let mut with_person = told(ground.courts[0]);
        with_person["person_id"] = json!(ground.dear);
        for _ in 0..2 {
            member.post_with_key(&house.path("/incidents"), &with_person, &key).await.expect(201);
        }
        let post = PostRoom::of(house);
        let letters = post.letters();
        let of_it: Vec<&String> = letters.iter().filter(|letter| letter.contains("near miss")).collect();
        assert_eq!(of_it.len(), 1, "{letters:?}");
        let letter = of_it[0];
        assert!(letter.contains(&account(house, Role::Manager).email));
        assert!(letter.contains("Test court 901") && letter.contains("https://courts.example.org/sites/"), "{letter}");
        for word in ["slope", "yellow", "Dear", "vehicle"] {
            assert!(!letter.contains(word), "{word}: {letter}");
        }
        assert_eq!(post.letters().len(), letters.len(), "nothing goes out twice");
        assert_eq!(db_count(house, "SELECT COUNT(*) AS rows FROM jobs WHERE payload LIKE '%slope%'"), 0);
    }

    async fn a_manager_opens_it_and_the_first_to_do_so_stays_noted(house) {
        let ground = Ground::db_lay(house);
        let member = house.as_role(Role::CrewMember).await;
        let told = member.post(&house.path("/incidents"), &told(ground.courts[0])).await.expect(201);
        let open = house.path(&format!("/incidents/{}/open", told["id"]));
        member.post(&open, &json!(null)).await.expect_problem(403);
        let opened = house.manager().await.post(&open, &json!(null)).await.expect(200);
        assert_eq!(opened["opened_at"], "2031-06-10T09:00:00Z");
        let again = house.owner().await.post(&open, &json!(null)).await.expect(200);
        assert_eq!(again, opened);
    }

    async fn what_cannot_be_so_is_told_field_by_field(house) {
        let ground = Ground::db_lay(house);
        let member = house.as_role(Role::CrewMember).await;
        let path = house.path("/incidents");
        let with = |field: &str, value: Value| {
            let mut told = told(ground.courts[0]);
            told[field] = value;
            told
        };
        for (told, field) in [
            (with("court_id", json!(999_999)), "/court_id"),
            (with("court_id", json!(null)), "/place"),
            (with("person_id", json!(999_999)), "/person_id"),
            (with("note", json!("x".repeat(4_001))), "/note"),
            (with("who_hurt", json!("x".repeat(501))), "/who_hurt"),
            (with("place", json!("x".repeat(201))), "/place"),
            (with("happened_at", json!("2031-06-10T09:10:00Z")), "/happened_at"),
        ] {
            let refused = member.post(&path, &told).await;
            refused.expect_problem(422);
            assert_eq!(refused.fault(), field, "{told}");
        }
        let mut elsewhere = with("court_id", json!(null));
        elsewhere["place"] = json!("by the shed");
        member.post(&path, &elsewhere).await.expect(201);
        assert_eq!(house.manager().await.get(&path).await.items().len(), 1);
    }
}
