//! A closing taken back: what it booked is reversed, never changed, and a new closing books afresh.

use std::collections::BTreeMap;

use proptest::collection::vec;
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use roundhand::store::Role;
use serde_json::{Value, json};

use crate::support::{Client, Ground, House, Place, TODAY, on_both_engines};

/// Sum of the cost lines by kind, of an order or of the whole day.
async fn cents(house: &House, client: &Client, order: Option<i64>) -> BTreeMap<String, i64> {
    let mut sums = BTreeMap::new();
    let mut after = String::new();
    loop {
        let of = order.map_or_else(String::new, |id| format!("&order_id={id}"));
        let path = format!("/cost-lines?from={TODAY}&to={TODAY}{of}&limit=200{after}");
        let page = client.get(&house.path(&path)).await.expect(200);
        for line in page["items"].as_array().unwrap() {
            *sums
                .entry(line["kind"].as_str().unwrap().to_owned())
                .or_insert(0) += line["cents"].as_i64().unwrap();
        }
        match page["next_cursor"].as_str() {
            Some(cursor) => after = format!("&cursor={cursor}"),
            None => return sums,
        }
    }
}

/// The hours entries of an order.
async fn hours(house: &House, client: &Client, order: i64) -> Vec<Value> {
    let path = house.path(&format!("/hours?from={TODAY}&to={TODAY}&limit=200"));
    let all = client.get(&path).await.items();
    all.into_iter().filter(|e| e["order_id"] == order).collect()
}

async fn bags(house: &House, client: &Client, ground: &Ground) -> (i64, i64) {
    let path = house.path(&format!("/materials/{}", ground.bags));
    let bags = client.get(&path).await.expect(200);
    (
        bags["on_hand"].as_i64().unwrap(),
        bags["value_cents"].as_i64().unwrap(),
    )
}

fn whole(ground: &Ground) -> Value {
    json!({
        "fit": { "is": "held", "hold_reason": "hole" },
        "steps_done": [1, 2],
        "people": [{ "person_id": ground.dear, "minutes": 25 }],
        "materials": [{ "material_id": ground.bags, "quantity": 3 }],
        "readings": [{ "wear_part_id": ground.brush, "length_um": 81_250 }],
    })
}

on_both_engines! {
    async fn everything_a_closing_booked_goes_back_and_nothing_is_changed(house) {
        let ground = Ground::db_lay(house);
        ground.db_receive(house, 10, 2_500);
        let (manager, crew) = (house.manager().await, house.as_role(Role::CrewMember).await);
        let id = ground.db_issue(house, Place::Court(ground.courts[0]), TODAY, 1_920_000);
        let of = |rest: &str| house.path(&format!("/orders/{id}{rest}"));
        crew.post(&of("/start"), &json!({ "happened_at": "2031-06-10T08:20:00Z" })).await.expect(200);
        let closed = crew.post(&of("/finish"), &whole(&ground)).await.expect(200);
        let booked = cents(house, &manager, Some(id)).await;
        assert_eq!(booked.len(), 4, "{booked:?}");

        let early = crew.post(&of("/take-back"), &json!({ "happened_at": "2031-06-10T08:59:00Z" })).await.expect(422);
        assert_eq!(early["faults"][0]["code"], "before_end");
        let open = crew.post(&of("/take-back"), &json!({ "note": "the wrong court" })).await.expect(200);
        assert_eq!((&open["state"], &open["started_at"]), (&json!("under_way"), &json!("2031-06-10T08:20:00Z")));
        for field in ["ended_at", "fit", "fit_hold_reason", "undone_reason"] {
            assert_eq!(open[field], Value::Null, "{field}");
        }
        assert!(open["steps"].as_array().unwrap().iter().all(|step| step["done"].is_null()));
        assert_eq!(open["tools"], closed["tools"]);
        let back = cents(house, &manager, Some(id)).await;
        assert!(back.values().all(|sum| *sum == 0), "{back:?}");
        let [entry, reversed] = &hours(house, &manager, id).await[..] else { panic!("an entry and its reversal") };
        assert_eq!(reversed["reverses_id"], entry["id"]);
        assert_eq!(bags(house, &manager, &ground).await, (10, 2_500));
        let readings = house.path(&format!("/wear-parts/{}/readings", ground.brush));
        let lengths: Vec<Value> = manager.get(&readings).await.items().iter().map(|r| r["length_um"].clone()).collect();
        assert!(!lengths.contains(&json!(81_250)), "{lengths:?}");
        assert!(manager.get(&house.path("/holds?on=true")).await.items().is_empty());

        // The same minutes may be told again: nobody is in two places by what was taken back.
        let again = crew.post(&of("/finish"), &whole(&ground)).await.expect(200);
        assert_eq!(again["state"], "finished");
        assert_eq!(cents(house, &manager, Some(id)).await, booked);
        assert_eq!(bags(house, &manager, &ground).await, (7, 1_750));
        assert_eq!(manager.get(&house.path("/holds?on=true")).await.items().len(), 1);
    }

    async fn an_order_that_was_never_started_waits_with_its_crew_again(house) {
        let ground = Ground::db_lay(house);
        let crew = house.as_role(Role::CrewMember).await;
        let id = ground.db_issue_plain(house);
        let of = |rest: &str| house.path(&format!("/orders/{id}{rest}"));
        let early = crew.post(&of("/take-back"), &json!({})).await.expect(409);
        assert_eq!(early["code"], "order_state");
        crew.post(&of("/leave-undone"), &json!({ "reason": "weather" })).await.expect(200);
        assert_eq!(crew.post(&of("/take-back"), &json!({})).await.expect(200)["state"], "issued");
        crew.post(&of("/start"), &json!({})).await.expect(200);
    }

    async fn what_an_order_left_goes_with_its_closing_unless_it_is_begun(house) {
        let ground = Ground::db_lay(house);
        let crew = house.as_role(Role::CrewMember).await;
        for begun in [false, true] {
            let id = ground.db_issue_plain(house);
            let of = |rest: &str| house.path(&format!("/orders/{id}{rest}"));
            crew.post(&of("/leave-undone"), &json!({ "reason": "no_time" })).await.expect(200);
            let all = crew.get(&house.path(&format!("/orders?date={TODAY}&limit=200"))).await.items();
            let next = all.iter().find(|order| order["follows_id"] == id).expect("what is left");
            let path = house.path(&format!("/orders/{}", next["id"]));
            if begun {
                crew.post(&format!("{path}/start"), &json!({})).await.expect(200);
                let refused = crew.post(&of("/take-back"), &json!({})).await.expect(409);
                assert_eq!((&refused["code"], &refused["values"]["order_id"]), (&json!("follow_up_begun"), &next["id"]));
            } else {
                crew.post(&of("/take-back"), &json!({})).await.expect(200);
                assert_eq!(crew.get(&path).await.expect(200)["state"], "withdrawn");
            }
        }
    }

    /// The crew until the end of its shift, overtime included: 20:00Z. The manager until the end of the next day: midnight
    /// in New York, in June, is at 04:00Z.
    async fn a_crew_takes_back_within_its_shift_and_the_manager_until_the_next_day_ends(house) {
        let ground = Ground::db_lay(house);
        let crew = house.as_role(Role::CrewMember).await;
        let mut orders = Vec::new();
        for _ in 0..4 {
            let id = ground.db_issue_plain(house);
            crew.post(&house.path(&format!("/orders/{id}/leave-undone")), &json!({ "reason": "weather" })).await.expect(200);
            orders.push(id);
        }
        for (at, role, status) in [
            ("2031-06-10T20:00:00Z", Role::CrewMember, 200),
            ("2031-06-10T20:00:01Z", Role::CrewMember, 409),
            ("2031-06-12T04:00:00Z", Role::Manager, 200),
            ("2031-06-12T04:00:01Z", Role::Manager, 409),
        ] {
            let later = house.on_day(at.parse().unwrap());
            let client = house.as_role_at(&later.base, role).await;
            let id = orders.pop().unwrap();
            let answer = client.post(&house.path(&format!("/orders/{id}/take-back")), &json!({})).await;
            if status == 409 {
                assert_eq!(answer.body["code"], "too_late_to_take_back", "{at} {role}");
            }
            answer.expect(status);
        }
    }

    /// Whatever was closed and taken back before, and in between whichever orders: the last closings alone are what
    /// everything sums to, to the cent.
    async fn any_sequence_of_closings_sums_to_the_last_alone(house) {
        let ground = Ground::db_lay(house);
        ground.db_receive(house, 1_000, 250_000);
        let manager = house.manager().await;
        let before = cents(house, &manager, None).await;
        // For each order: its closings, as minutes, bags, uses and whether the soak was started; how many are taken back
        // before the next order's, and how many after all.
        let one = (1..=9_i64, 0..=3_i64, 0..=3_i64, any::<bool>());
        let mut runner = TestRunner::deterministic();
        let cases = vec(vec(one, 1..=3), 12).new_tree(&mut runner).unwrap().current();
        let orders: Vec<i64> = cases.iter().enumerate().map(|(nth, _)| match nth % 4 {
            3 => ground.db_issue(house, Place::Bank(ground.bank), TODAY, 77_777),
            nth => ground.db_issue(house, Place::Court(ground.courts[nth]), TODAY, 77_777),
        }).collect();
        let close = async |nth: usize, (minutes, bags, uses, soak): (i64, i64, i64, bool)| {
            let materials = if bags > 0 { json!([{ "material_id": ground.bags, "quantity": bags }]) } else { json!([]) };
            let told = json!({
                "happened_at": format!("{TODAY}T{:02}:{:02}:00Z", 5 + nth / 6, nth % 6 * 10),
                "fit": { "is": "yes" },
                "steps_done": if soak { json!([1, 2]) } else { json!([1]) },
                "people": [{ "person_id": ground.cheap, "minutes": minutes }],
                "materials": materials,
                "tool_uses": [{ "tool_id": ground.drag, "uses": uses }],
            });
            manager.post(&house.path(&format!("/orders/{}/finish", orders[nth])), &told).await.expect(200);
        };
        let take_back = async |nth: usize| {
            let path = house.path(&format!("/orders/{}/take-back", orders[nth]));
            manager.post(&path, &json!({})).await.expect(200);
            let sums = cents(house, &manager, Some(orders[nth])).await;
            assert!(sums.values().all(|sum| *sum == 0), "order {nth}: {sums:?}");
        };
        // Round by round, so that other orders are booked between a closing and its being taken back.
        for round in 0..3 {
            for (nth, closings) in cases.iter().enumerate() {
                if let Some(closing) = closings.get(round) {
                    if round > 0 {
                        take_back(nth).await;
                    }
                    close(nth, *closing).await;
                }
            }
        }
        let last: Vec<_> = cases.iter().map(|closings| *closings.last().unwrap()).collect();
        let minutes: i64 = last.iter().map(|one| one.0).sum();
        let bags_out: i64 = last.iter().map(|one| one.1).sum();
        let uses: i64 = last.iter().map(|one| one.2).sum();
        let soaks = i64::try_from(last.iter().filter(|one| one.3).count()).unwrap();
        let half_even = |n: i64, d: i64| {
            let (whole, rest) = (n / d, n % d);
            whole + i64::from(2 * rest > d || (2 * rest == d && whole % 2 == 1))
        };
        let after = cents(house, &manager, None).await;
        let booked = |kind: &str| after.get(kind).copied().unwrap_or(0) - before.get(kind).copied().unwrap_or(0);
        assert_eq!(booked("labour"), half_even(minutes * 60 * 1_001, 3_600));
        assert_eq!(booked("tool_wear"), half_even(uses * 9_000, 400));
        assert_eq!(booked("water"), half_even(soaks * 77_777 * 130, 1_000_000));
        assert_eq!(booked("material"), bags_out * 250);
        assert_eq!(bags(house, &manager, &ground).await, (1_000 - bags_out, (1_000 - bags_out) * 250));

        let proved = crate::check::said(&crate::check::check(house.database_url(), &[]));
        assert!(proved.contains("running totals"), "{proved}");
        for broken in ["labour of", "wear of", "water of", "material ", "its lines"] {
            assert!(!proved.contains(broken), "{proved}");
        }
    }
}
