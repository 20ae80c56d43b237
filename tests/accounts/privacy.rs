//! A person's own data.

use diesel::prelude::*;
use roundhand::store::audit::audit_first_break;
use roundhand::store::schema::people;
use roundhand::store::{Error, Role};
use serde_json::json;

use super::{account, db_count, db_user, permit, sign_in};
use crate::support::{Ground, House, on_both_engines, tablet_of};

/// A person who signs in as this role.
fn db_person_behind(house: &House, role: Role) -> (i64, String) {
    let user = db_user(house, &account(house, role).email);
    let found = house.office.db.write_shared(|conn| {
        let id: i64 = people::table
            .filter(
                people::site_id
                    .eq(house.set_up.site_id)
                    .and(people::left_on.is_null()),
            )
            .order(people::id)
            .select(people::id)
            .first(conn)?;
        diesel::update(people::table.filter(people::user_id.eq(user)))
            .set(people::user_id.eq(None::<i64>))
            .execute(conn)?;
        diesel::update(people::table.filter(people::id.eq(id)))
            .set(people::user_id.eq(user))
            .execute(conn)?;
        let name: String = people::table.find(id).select(people::name).first(conn)?;
        Ok::<_, Error>((id, name))
    });
    found.expect("a person")
}

on_both_engines! {
    async fn what_is_known_of_a_person_is_given_out_whole_and_that_is_noted(house) {
        let (id, name) = db_person_behind(house, Role::CrewLead);
        let lead = account(house, Role::CrewLead);
        let manager = house.manager().await;
        let path = house.path(&format!("/people/{id}/export"));
        let all = manager.post(&path, &json!({})).await.expect(200);
        assert_eq!(all["person"]["name"], name.as_str());
        assert_eq!(all["account"]["email"], lead.email.as_str());
        for list in ["pay_rates", "crews", "shifts"] {
            assert!(!all[list].as_array().unwrap().is_empty(), "{list}: {all}");
        }
        house.as_role(Role::Finance).await.post(&path, &json!({})).await.expect_problem(403);
        let noted = "SELECT COUNT(*) AS rows FROM audit_events WHERE verb = 'given_out' AND subject_kind = 'person'";
        assert_eq!(db_count(house, noted), 1);
    }

    async fn what_somebody_saw_on_a_court_and_noted_is_given_out(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let seen = json!({ "kind": "hole", "person_id": ground.dear, "note": "by the north post" });
        let court = house.path(&format!("/courts/{}/defects", ground.courts[0]));
        manager.post(&court, &seen).await.expect(201);
        let id = ground.db_issue_plain(house);
        let note = json!({ "text": "the gate sticks", "person_id": ground.dear });
        manager.post(&house.path(&format!("/orders/{id}/notes")), &note).await.expect(201);
        let path = house.path(&format!("/people/{}/export", ground.dear));
        let all = manager.post(&path, &json!({})).await.expect(200);
        assert_eq!((&all["defects"][0]["kind"], &all["defects"][0]["note"]), (&json!("hole"), &json!("by the north post")));
        assert_eq!((&all["notes"][0]["order_id"], &all["notes"][0]["text"]), (&json!(id), &json!("the gate sticks")));
    }

    async fn what_somebody_told_by_tablet_is_given_out_and_what_was_taken_back_is_not(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let tablet = house.nobody().with_token(&tablet_of(house).await);
        let id = ground.db_issue_plain(house);
        let at = "2031-06-10T09:00:00Z";
        let event = |happening: serde_json::Value| json!({
            "key": uuid::Uuid::new_v4(), "at": at, "person_id": ground.dear, "happening": happening,
        });
        let events = [
            event(json!({ "kind": "finish", "order_id": id, "fit": { "is": "yes" }, "steps_done": [1, 2],
                "people": [{ "person_id": ground.dear, "minutes": 25 }] })),
            event(json!({ "kind": "take_back", "order_id": id })),
            event(json!({ "kind": "incident", "incident": "near_miss", "what": "slip_or_fall", "place": "the shed", "anyone_hurt": "no" })),
        ];
        let told = json!({ "sent_at": at, "events": events });
        let answers = tablet.post(&house.path("/tablet/events"), &told).await.expect(200);
        for answer in answers["answers"].as_array().unwrap() {
            assert_eq!(answer["outcome"], "taken", "{answer}");
        }
        let path = house.path(&format!("/people/{}/export", ground.dear));
        let all = manager.post(&path, &json!({})).await.expect(200);
        assert_eq!(all["hours"], json!([]), "it was taken back");
        let told: Vec<_> = all["told_by_tablet"].as_array().unwrap().iter().map(|one| &one["happening"]["kind"]).collect();
        assert_eq!(told, ["finish", "take_back", "incident"]);
        assert_eq!(all["told_by_tablet"][2]["happening"], json!({ "kind": "incident" }), "the rest is for who is named");
    }

    async fn an_erased_person_is_a_number_whose_hours_and_costs_stay_and_the_trail_proves(house) {
        let (id, name) = db_person_behind(house, Role::CrewLead);
        let lead = account(house, Role::CrewLead);
        let manager = house.manager().await;
        let costs = house.path("/costs?from=2031-01-01&to=2031-06-10");
        let before = manager.get(&costs).await.expect(200);
        let path = house.path(&format!("/people/{id}/erase"));
        let slip = manager.post(&path, &json!({ "name": "Somebody Else" })).await;
        slip.expect_problem(422);
        assert_eq!(slip.fault(), "/name");
        let erased = manager.post(&path, &json!({ "name": name })).await.expect(200);
        assert_eq!(erased["account"], "erased");

        let person = manager.get(&house.path(&format!("/people/{id}"))).await.expect(200);
        assert_eq!(person["name"], format!("Erased person {id}"));
        sign_in(house, &lead.email, &lead.password).await.expect_problem(401);
        assert_eq!(manager.get(&costs).await.expect(200), before);
        let known = permit::<roundhand::desk::access::SeeSite>(house, Role::Manager);
        let broken = house.office.db.read(|conn| audit_first_break(conn, &known)).unwrap();
        assert_eq!(broken, None);
        assert!(db_texts(house).iter().all(|text| !text.contains(&name) && !text.contains(&lead.email)));
    }

    async fn the_last_manager_is_not_erased(house) {
        let (id, name) = db_person_behind(house, Role::Manager);
        let manager = house.manager().await;
        let path = house.path(&format!("/people/{id}/erase"));
        manager.post(&path, &json!({ "name": name })).await.expect_problem(409);
        let person = manager.get(&house.path(&format!("/people/{id}"))).await.expect(200);
        assert_eq!(person["name"], name.as_str(), "nothing is half done");
    }
}

/// Every text in every table of the database.
fn db_texts(house: &House) -> Vec<String> {
    let mut texts = Vec::new();
    for (table, described) in crate::schema::catalogue::db_catalogue(house) {
        for column in described
            .columns
            .iter()
            .filter(|column| column.kind == "Text")
        {
            #[derive(QueryableByName)]
            struct Text {
                #[diesel(sql_type = diesel::sql_types::Nullable<diesel::sql_types::Text>)]
                text: Option<String>,
            }
            let query = diesel::sql_query(format!("SELECT {} AS text FROM {table}", column.name));
            let rows: Result<Vec<Text>, Error> = house.office.db.read(|conn| match conn {
                roundhand::store::Conn::Sqlite(conn) => Ok(query.load(conn)?),
                roundhand::store::Conn::Pg(conn) => Ok(query.load(conn)?),
            });
            texts.extend(rows.expect("texts").into_iter().filter_map(|row| row.text));
        }
    }
    assert!(texts.len() > 100, "{} texts", texts.len());
    texts
}
