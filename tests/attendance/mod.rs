//! Clocks and crew changes: whatever is told is kept, and told in any order it comes to the same.

use reqwest::Method;
use roundhand::store::Role;
use serde_json::{Value, json};

use crate::support::{Client, Ground, House, TODAY, on_both_engines, tablet_of};

async fn tell(client: &Client, house: &House, person: i64, kind: &str, at: &str) {
    let told = json!({ "person_id": person, "kind": kind, "happened_at": at });
    client
        .post(&house.path("/attendance"), &told)
        .await
        .expect(201);
}

/// What a date says of one person.
async fn day(house: &House, date: &str, person: i64) -> Value {
    let path = house.path(&format!("/days/{date}/attendance"));
    let day = house
        .as_role(Role::Finance)
        .await
        .get(&path)
        .await
        .expect(200);
    let people = day["people"].as_array().unwrap();
    people
        .iter()
        .find(|one| one["person_id"] == person)
        .cloned()
        .unwrap_or_default()
}

/// The ids of who is on a shift.
async fn on_shift(house: &House, shift: &Value) -> Vec<i64> {
    let shifts = house
        .manager()
        .await
        .get(&house.path(&format!("/shifts?date={TODAY}&limit=200")))
        .await
        .items();
    let shift = shifts.iter().find(|one| one["id"] == *shift).unwrap();
    shift["people"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| one["person_id"].as_i64().unwrap())
        .collect()
}

/// Two shifts of today, of two crews, and somebody of the first.
async fn two_shifts(house: &House) -> (Value, Value, i64) {
    let shifts = house
        .manager()
        .await
        .get(&house.path(&format!("/shifts?date={TODAY}&limit=200")))
        .await
        .items();
    let manned: Vec<&Value> = shifts
        .iter()
        .filter(|one| !one["people"].as_array().unwrap().is_empty())
        .collect();
    let person = manned[0]["people"][0]["person_id"].as_i64().unwrap();
    (manned[0]["id"].clone(), manned[1]["id"].clone(), person)
}

on_both_engines! {
    async fn a_day_told_out_of_order_is_one_stay_with_its_break(house) {
        let ground = Ground::db_lay(house);
        let tablet = house.nobody().with_token(&tablet_of(house).await);
        // June 9, by a tablet that finds signal the next morning. The site is four hours behind UTC.
        for (kind, at) in [
            ("out", "2031-06-09T20:00:00Z"),
            ("break_end", "2031-06-09T16:30:00Z"),
            ("in", "2031-06-09T12:00:00Z"),
            ("break_start", "2031-06-09T16:00:00Z"),
        ] {
            tell(&tablet, house, ground.dear, kind, at).await;
        }
        let one = day(house, "2031-06-09", ground.dear).await;
        assert_eq!(one["odd"], json!([]));
        let stay = &one["stays"][0];
        assert_eq!((&stay["from"], &stay["to"]), (&json!("2031-06-09T12:00:00Z"), &json!("2031-06-09T20:00:00Z")));
        assert_eq!((&stay["there_s"], &stay["no_out"]), (&json!(7 * 3600 + 1800), &json!(false)));
        assert_eq!(day(house, "2031-06-10", ground.dear).await, Value::Null);
    }

    async fn what_does_not_fit_is_kept_and_called_odd(house) {
        let ground = Ground::db_lay(house);
        let member = house.as_role(Role::CrewMember).await;
        tell(&member, house, ground.dear, "out", "2031-06-10T08:00:00Z").await;
        tell(&member, house, ground.dear, "in", "2031-06-10T08:10:00Z").await;
        tell(&member, house, ground.dear, "in", "2031-06-10T08:20:00Z").await;
        let one = day(house, TODAY, ground.dear).await;
        let why: Vec<&Value> = one["odd"].as_array().unwrap().iter().map(|odd| &odd["why"]).collect();
        assert_eq!(why, [&json!("out_without_in"), &json!("in_again")]);
        // They may go yet: the date is not over.
        assert_eq!((&one["stays"][0]["to"], &one["stays"][0]["no_out"]), (&Value::Null, &json!(false)));
        tell(&member, house, ground.cheap, "in", "2031-06-09T12:00:00Z").await;
        assert_eq!(day(house, "2031-06-09", ground.cheap).await["stays"][0]["no_out"], true);
    }

    /// A night's work belongs to the date on which it began, and is as long as it was where clocks change: 2031-03-09 has no
    /// two o'clock in New York (IANA time zone database).
    async fn a_night_over_the_change_of_clocks_is_as_long_as_it_was(house) {
        let ground = Ground::db_lay(house);
        let member = house.as_role(Role::CrewMember).await;
        // Ten in the evening to six in the morning: an hour less than the clocks say.
        tell(&member, house, ground.dear, "in", "2031-03-09T03:00:00Z").await;
        tell(&member, house, ground.dear, "out", "2031-03-09T10:00:00Z").await;
        let stay = day(house, "2031-03-08", ground.dear).await["stays"][0].clone();
        assert_eq!((&stay["there_s"], &stay["no_out"]), (&json!(7 * 3600), &json!(false)));
        assert_eq!(day(house, "2031-03-09", ground.dear).await, Value::Null);
    }

    async fn clocks_are_for_those_who_see_hours(house) {
        let path = house.path(&format!("/days/{TODAY}/attendance"));
        for role in [Role::CrewMember, Role::FrontDesk] {
            house.as_role(role).await.get(&path).await.expect_problem(403);
        }
        let front_desk = house.as_role(Role::FrontDesk).await;
        let told = json!({ "person_id": 1, "kind": "in" });
        front_desk.post(&house.path("/attendance"), &told).await.expect_problem(403);
        let manager = house.manager().await;
        let nobody = json!({ "person_id": 999_999, "kind": "in" });
        let refused = manager.post(&house.path("/attendance"), &nobody).await;
        refused.expect_problem(422);
        assert_eq!(refused.fault(), "/person_id");
    }

    async fn who_joins_a_crew_leaves_the_other_and_the_day_names_them_there(house) {
        let (from, to, person) = two_shifts(house).await;
        let lead = house.as_role(Role::CrewLead).await;
        let join = json!({ "person_id": person, "joins": true });
        let changed = lead.post(&house.path(&format!("/shifts/{to}/people")), &join).await.expect(201);
        assert_eq!(changed["holds"], true);
        assert!(!on_shift(house, &from).await.contains(&person));
        assert!(on_shift(house, &to).await.contains(&person));
        let leave = json!({ "person_id": person, "joins": false });
        lead.post(&house.path(&format!("/shifts/{to}/people")), &leave).await.expect(201);
        assert!(!on_shift(house, &to).await.contains(&person));
    }

    async fn of_two_changes_the_one_that_happened_last_holds_whichever_comes_first(house) {
        let (from, to, person) = two_shifts(house).await;
        let lead = house.as_role(Role::CrewLead).await;
        let change = async |shift: &Value, at: &str| {
            let told = json!({ "person_id": person, "joins": true, "happened_at": at });
            lead.post(&house.path(&format!("/shifts/{shift}/people")), &told).await.expect(201)
        };
        change(&to, "2031-06-10T08:50:00Z").await;
        let late = change(&from, "2031-06-10T08:30:00Z").await;
        assert_eq!(late["holds"], false);
        assert!(on_shift(house, &to).await.contains(&person));
        assert!(!on_shift(house, &from).await.contains(&person));
    }

    async fn a_change_names_a_shift_and_a_person_that_are_there(house) {
        let (from, _, person) = two_shifts(house).await;
        let lead = house.as_role(Role::CrewLead).await;
        let nobody = json!({ "person_id": 999_999, "joins": true });
        let refused = lead.post(&house.path(&format!("/shifts/{from}/people")), &nobody).await;
        refused.expect_problem(422);
        assert_eq!(refused.fault(), "/person_id");
        let nowhere = json!({ "person_id": person, "joins": true });
        lead.post(&house.path("/shifts/999999/people"), &nowhere).await.expect_problem(404);
        let member = house.as_role(Role::CrewMember).await;
        member.send(Method::POST, &house.path(&format!("/shifts/{from}/people")), &[], None).await.expect_problem(403);
    }

    async fn what_is_known_of_a_person_holds_their_clocks_their_time_alone_and_their_changes(house) {
        let (_, to, person) = two_shifts(house).await;
        let manager = house.manager().await;
        tell(&manager, house, person, "in", "2031-06-10T08:10:00Z").await;
        let join = json!({ "person_id": person, "joins": true });
        manager.post(&house.path(&format!("/shifts/{to}/people")), &join).await.expect(201);
        manager.post(&house.path("/alone"), &json!({ "person_id": person })).await.expect(201);
        let near = json!({ "kind": "near_miss", "what": "heat", "place": "shed", "anyone_hurt": "no", "person_id": person });
        manager.post(&house.path("/incidents"), &near).await.expect(201);
        let path = house.path(&format!("/people/{person}/export"));
        let all = manager.post(&path, &json!({})).await.expect(200);
        for (list, count) in [("attendance", 1), ("shift_changes", 1), ("alone", 1), ("incidents_told", 1)] {
            assert_eq!(all[list].as_array().unwrap().len(), count, "{list}: {all}");
        }
    }
}
