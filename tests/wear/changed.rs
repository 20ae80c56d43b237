//! Changing parts: what each cost is borne by the courts it served, to the cent.

use std::sync::atomic::{AtomicU32, Ordering};

use roundhand::store::Role;
use serde_json::{Value, json};

use crate::check::{check, said};
use crate::support::{Client, Ground, House, Place, TODAY, on_both_engines};

/// Lines of the wear of tools, of a part where it is given.
async fn lines(house: &House, client: &Client, part: Option<i64>) -> Vec<Value> {
    let first = house.path(&format!(
        "/cost-lines?from={TODAY}&to={TODAY}&kind=tool_wear&limit=200"
    ));
    let (mut all, mut path) = (Vec::new(), Some(first.clone()));
    while let Some(next) = path {
        let page = client.get(&next).await;
        let cursor = page.body["next_cursor"].as_str();
        path = cursor.map(|cursor| format!("{first}&cursor={cursor}"));
        all.extend(page.items());
    }
    all.retain(|line| part.is_none_or(|part| line["wear_part_id"] == part));
    all
}

fn sum(lines: &[Value]) -> i64 {
    lines.iter().filter_map(|line| line["cents"].as_i64()).sum()
}

async fn change(house: &House, client: &Client, part: i64, cents: i64) -> Value {
    let path = house.path(&format!("/wear-parts/{part}/change"));
    let told = json!({ "why": "worn_out", "cost_cents": cents });
    client.post(&path, &told).await.expect(200)
}

/// A minute of its own for each closing: nobody is in two places.
static MINUTE: AtomicU32 = AtomicU32::new(0);

async fn finish(house: &House, client: &Client, order: i64, person: i64) {
    let minute = MINUTE.fetch_add(1, Ordering::Relaxed) % 500;
    let at = format!("2031-06-10T{:02}:{:02}:00Z", 5 + minute / 60, minute % 60);
    let told = json!({
        "fit": { "is": "yes" }, "steps_done": [1], "people": [{ "person_id": person, "minutes": 1 }],
        "happened_at": at,
    });
    let path = house.path(&format!("/orders/{order}/finish"));
    client.post(&path, &told).await.expect(200);
}

async fn take_back(house: &House, client: &Client, order: i64) {
    let path = house.path(&format!("/orders/{order}/take-back"));
    client.post(&path, &json!({})).await.expect(200);
}

fn proved(house: &House) {
    let ran = check(house.database_url(), &[]);
    // Orders that are laid into the tables have no events: what they booked is proved all the same.
    for proof in [
        "keys",
        "closings",
        "running totals",
        "stock",
        "wear",
        "sources",
    ] {
        assert!(
            said(&ran).contains(&format!("{proof}: ok (")),
            "{proof}\n{}",
            said(&ran)
        );
    }
}

/// The part that took the place of the ground's brush, at a cost.
async fn fitted(house: &House, client: &Client, ground: &Ground, cents: i64) -> i64 {
    let changed = change(house, client, ground.brush, cents).await;
    changed["new"]["id"].as_i64().unwrap()
}

on_both_engines! {
    async fn a_new_brush_costs_each_court_by_how_far_it_was_pulled_there_and_in_the_end_all_that_it_cost(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let brush = fitted(house, &manager, &ground, 9_000).await;
        let [first, second, _] = ground.courts;
        for court in [first, second, first] {
            let order = ground.db_issue(house, Place::Court(court), TODAY, 0);
            finish(house, &manager, order, ground.dear).await;
        }
        let used = lines(house, &manager, Some(brush)).await;
        let courts: Vec<i64> = used.iter().filter_map(|line| line["court_id"].as_i64()).collect();
        assert_eq!(courts, [first, second, first]);
        assert!(used.iter().all(|line| line["order_id"].is_i64() && line["tool_id"] == ground.drag), "{used:?}");
        // 9,000 cents over 400 uses of the site's courts, which differ a little: 22.5 each.
        let booked = sum(&used);
        assert!((65..=71).contains(&booked), "{used:?}");
        assert_eq!(lines(house, &manager, None).await.len(), 3, "no flat rate beside it");

        let changed = change(house, &manager, brush, 9_500).await;
        assert_eq!((&changed["settled_cents"], &changed["old"]["retired_why"]), (&json!(9_000 - booked), &json!("worn_out")));
        let all = lines(house, &manager, Some(brush)).await;
        assert_eq!(sum(&all), 9_000);
        let of = |court: i64| -> i64 {
            let lines = all.iter().filter(|line| line["court_id"] == court);
            lines.filter_map(|line| line["cents"].as_i64()).sum()
        };
        // Two uses of three on the first court.
        assert!((of(first) - 6_000).abs() <= 2 && (of(second) - 3_000).abs() <= 2, "{all:?}");
        proved(house);
    }

    async fn a_bank_bears_a_brush_court_by_court(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let brush = fitted(house, &manager, &ground, 40_000).await;
        let order = ground.db_issue(house, Place::Bank(ground.bank), TODAY, 0);
        finish(house, &manager, order, ground.dear).await;
        let lines = lines(house, &manager, Some(brush)).await;
        let courts: Vec<i64> = lines.iter().filter_map(|line| line["court_id"].as_i64()).collect();
        assert_eq!(courts, ground.courts);
        assert!((290..=310).contains(&sum(&lines)), "three uses of 400 of 400 dollars: {lines:?}");
        proved(house);
    }

    async fn what_is_taken_back_after_the_change_goes_to_the_courts_that_were_served(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let brush = fitted(house, &manager, &ground, 9_000).await;
        let [first, second, _] = ground.courts;
        let orders = [first, second].map(|court| ground.db_issue(house, Place::Court(court), TODAY, 0));
        for order in orders {
            finish(house, &manager, order, ground.dear).await;
        }
        change(house, &manager, brush, 9_500).await;
        take_back(house, &manager, orders[0]).await;
        let all = lines(house, &manager, Some(brush)).await;
        assert_eq!(sum(&all), 9_000, "{all:?}");
        proved(house);
        // Told again, with the old brush: it bears its share of what the other court had.
        finish(house, &manager, orders[0], ground.dear).await;
        assert_eq!(sum(&lines(house, &manager, Some(brush)).await), 9_000);
        proved(house);
    }

    async fn a_part_comes_from_the_shelf_at_what_it_is_worth_there(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let class = manager.get(&house.path(&format!("/tools/{}", ground.drag))).await.expect(200)["tool_class_id"].clone();
        let supply = json!({ "kind": "brush", "tool_class_id": class, "supply": { "supplier": "Brushes by post",
            "material_id": ground.bags, "lead_days": 10, "cover_days": 60, "life_days": null } });
        manager.post(&house.path("/part-supplies"), &supply).await.expect(201);
        let path = house.path(&format!("/wear-parts/{}/change", ground.brush));
        let empty = manager.post(&path, &json!({ "why": "broke" })).await;
        empty.expect_problem(422);
        assert_eq!(empty.fault(), "/cost_cents", "none is in store");

        ground.db_receive(house, 3, 10_000);
        let changed = manager.post(&path, &json!({ "why": "broke" })).await.expect(200);
        assert_eq!((&changed["from_shelf"], &changed["new"]["cost_cents"]), (&json!(true), &json!(3_333)));
        let material = manager.get(&house.path(&format!("/materials/{}", ground.bags))).await.expect(200);
        assert_eq!((&material["on_hand"], &material["value_cents"]), (&json!(2), &json!(6_667)));
        let again = manager.post(&path, &json!({ "why": "broke" })).await;
        again.expect_problem(409);
        proved(house);
    }

    async fn a_part_below_what_the_site_sets_is_booked_at_once_over_the_courts_its_tool_is_planned_on(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let [first, second, _] = ground.courts;
        ground.db_issue(house, Place::Court(first), TODAY, 0);
        ground.db_issue(house, Place::Court(first), TODAY, 0);
        ground.db_issue(house, Place::Court(second), TODAY, 0);
        let changed = change(house, &manager, ground.brush, 1_000).await;
        assert_eq!(changed["expensed"], true);
        let brush = changed["new"]["id"].as_i64().unwrap();
        let all = lines(house, &manager, Some(brush)).await;
        let told: Vec<_> = all.iter().map(|line| (line["court_id"].clone(), line["cents"].clone())).collect();
        assert_eq!(told, [(json!(first), json!(667)), (json!(second), json!(333))]);
        assert!(all.iter().all(|line| line["order_id"].is_null() && line["source_kind"] == "wear_part"), "{all:?}");
        let order = ground.db_issue(house, Place::Court(second), TODAY, 0);
        finish(house, &manager, order, ground.dear).await;
        assert_eq!(lines(house, &manager, None).await.len(), 2, "its use costs no more");
        proved(house);
    }

    async fn a_reading_spreads_what_is_left_of_a_brush_over_what_it_can_still_do(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let brush = fitted(house, &manager, &ground, 20_000).await;
        let wear = house.path(&format!("/wear-parts/{brush}/wear"));
        let life = manager.get(&wear).await.expect(200)["left_m"][1].as_i64().unwrap();
        // Half of its life, and it is worn down by three quarters: the other half of its cost is spread over a third as much.
        let uses = house.path(&format!("/wear-parts/{brush}/uses"));
        let told = json!({ "metres": life / 2, "on": TODAY, "court_id": ground.courts[0] });
        manager.post(&uses, &told).await.expect(201);
        let booked = sum(&lines(house, &manager, Some(brush)).await);
        assert!((booked - 10_000).abs() < 200, "{booked}");
        let check = json!({ "tool_id": ground.drag, "readings": [
            { "wear_part_id": brush, "points_um": [70_000], "read_in": "mm" }] });
        manager.post(&house.path("/tool-checks"), &check).await.expect(201);
        let left = manager.get(&wear).await.expect(200)["left_m"][1].as_i64().unwrap();
        assert!(left < life * 2 / 5, "{left} of {life}");
        let told = json!({ "metres": left, "on": TODAY, "court_id": ground.courts[1] });
        manager.post(&uses, &told).await.expect(201);
        let all = sum(&lines(house, &manager, Some(brush)).await);
        assert!((all - 20_000).abs() <= 1, "all of it is booked at its limit: {all}");
        proved(house);
    }

    async fn a_court_s_strap_costs_it_day_by_day(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let court = ground.courts[0];
        let strap = ground.db_fit(house, court, "centre_strap");
        let changed = change(house, &manager, strap, 5_400).await;
        let strap = changed["new"]["id"].as_i64().unwrap();
        let order = ground.db_issue(house, Place::Court(court), TODAY, 0);
        finish(house, &manager, order, ground.dear).await;
        let again = ground.db_issue(house, Place::Court(court), TODAY, 0);
        finish(house, &manager, again, ground.dear).await;
        let all = lines(house, &manager, Some(strap)).await;
        // 54 dollars over the 540 days that the site says, however many orders the day has.
        let told: Vec<_> = all.iter().map(|line| (line["court_id"].clone(), line["cents"].clone())).collect();
        assert_eq!(told, [(json!(court), json!(10))]);
        take_back(house, &manager, order).await;
        assert_eq!(sum(&lines(house, &manager, Some(strap)).await), 10, "its days pass without the order");
        change(house, &manager, strap, 5_400).await;
        assert_eq!(sum(&lines(house, &manager, Some(strap)).await), 5_400);
        proved(house);
    }

    async fn whatever_happens_to_a_brush_its_lines_sum_to_what_it_cost(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let mut brush = fitted(house, &manager, &ground, 7_777).await;
        let mut gone = Vec::new();
        let mut done = Vec::new();
        // A fixed row of dice: each run is the same.
        let mut dice = 2_463_534_242_u32;
        let mut throw = |sides: u32| {
            dice ^= dice << 13;
            dice ^= dice >> 17;
            dice ^= dice << 5;
            dice % sides
        };
        for _ in 0..40 {
            match throw(8) {
                0..=3 => {
                    let place = match throw(4) {
                        3 => Place::Bank(ground.bank),
                        nth => Place::Court(ground.courts[usize::try_from(nth).unwrap()]),
                    };
                    let order = ground.db_issue(house, place, TODAY, 0);
                    finish(house, &manager, order, ground.dear).await;
                    done.push(order);
                }
                4 | 5 if !done.is_empty() => {
                    let nth = usize::try_from(throw(100)).unwrap() % done.len();
                    take_back(house, &manager, done[nth]).await;
                    if throw(2) == 0 {
                        finish(house, &manager, done[nth], ground.cheap).await;
                    } else {
                        done.swap_remove(nth);
                    }
                }
                6 => {
                    let uses = house.path(&format!("/wear-parts/{brush}/uses"));
                    let court = ground.courts[usize::try_from(throw(3)).unwrap()];
                    let told = json!({ "metres": 1 + throw(20_000), "on": TODAY, "court_id": court });
                    manager.post(&uses, &told).await.expect(201);
                }
                _ => {
                    let cents = 2_500 + i64::from(throw(20_000));
                    let changed = change(house, &manager, brush, cents).await;
                    gone.push((brush, changed["old"]["cost_cents"].as_i64().unwrap()));
                    brush = changed["new"]["id"].as_i64().unwrap();
                }
            }
        }
        assert!(gone.len() > 2, "{gone:?}");
        for (part, cost) in gone {
            assert_eq!(sum(&lines(house, &manager, Some(part)).await), cost, "part {part}");
        }
        proved(house);
    }

    async fn a_change_that_cannot_be_is_refused_with_field_and_mend(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let strap = ground.db_fit(house, ground.courts[0], "centre_strap");
        let used = house.path(&format!("/wear-parts/{}/uses", ground.brush));
        manager.post(&used, &json!({ "metres": 500, "on": TODAY })).await.expect(201);
        for (part, told, field) in [
            (ground.brush, json!({ "why": "broke" }), "/cost_cents"),
            (ground.brush, json!({ "why": "broke", "cost_cents": -1 }), "/cost_cents"),
            (ground.brush, json!({ "why": "tool_retired", "cost_cents": 1 }), "/why"),
            (ground.brush, json!({ "why": "broke", "cost_cents": 1, "on": "2031-06-11" }), "/on"),
            (ground.brush, json!({ "why": "broke", "cost_cents": 1, "on": "2031-06-09" }), "/on"),
            (ground.brush, json!({ "why": "broke", "cost_cents": 1, "start_um": 0 }), "/start_um"),
            (ground.brush, json!({ "why": "broke", "cost_cents": 1, "start_um": 60_000 }), "/start_um"),
            (ground.brush, json!({ "why": "broke", "cost_cents": 1, "limit_um": 100_000 }), "/limit_um"),
            (strap, json!({ "why": "broke", "cost_cents": 1, "start_um": 50_000 }), "/start_um"),
            (strap, json!({ "why": "broke", "cost_cents": 1, "limit_um": 50_000 }), "/limit_um"),
        ] {
            let path = house.path(&format!("/wear-parts/{part}/change"));
            let refused = manager.post(&path, &told).await;
            refused.expect_problem(422);
            assert_eq!(refused.fault(), field, "{told}");
        }
        let missing = house.path("/wear-parts/999999/change");
        manager.post(&missing, &json!({ "why": "broke", "cost_cents": 1 })).await.expect_problem(404);
    }

    async fn two_who_change_one_brush_at_a_time_fit_one(house) {
        let ground = Ground::db_lay(house);
        let (manager, lead) = (house.manager().await, house.as_role(Role::CrewLead).await);
        let path = house.path(&format!("/wear-parts/{}/change", ground.brush));
        let told = json!({ "why": "worn_out", "cost_cents": 9_000 });
        let (one, other) = tokio::join!(manager.post(&path, &told), lead.post(&path, &told));
        let mut statuses = [one.status, other.status].map(|status| status.as_u16());
        statuses.sort_unstable();
        assert_eq!(statuses, [200, 409]);
    }

    async fn a_reading_of_a_brush_that_was_changed_before_is_refused(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        change(house, &manager, ground.brush, 9_000).await;
        let next = house.on_day("2031-06-11T14:00:00Z".parse().unwrap());
        let manager = house.manager_at(&next.base).await;
        let check = json!({ "tool_id": ground.drag, "readings": [
            { "wear_part_id": ground.brush, "points_um": [90_000], "read_in": "mm" }] });
        let refused = manager.post(&house.path("/tool-checks"), &check).await;
        refused.expect_problem(422);
        assert_eq!(refused.fault(), "/readings/0/wear_part_id");
    }

    async fn a_retired_tool_is_planned_no_more_and_its_brush_is_settled(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let brush = fitted(house, &manager, &ground, 9_000).await;
        let order = ground.db_issue_plain(house);
        finish(house, &manager, order, ground.dear).await;
        let path = house.path(&format!("/tools/{}/retire", ground.drag));
        let refused = manager.post(&path, &json!({ "on": "2031-06-09" })).await;
        refused.expect_problem(422);
        let tool = manager.post(&path, &json!({})).await.expect(200);
        assert_eq!((&tool["state"], &tool["retired_on"]), (&json!("out_of_service"), &json!(TODAY)));
        assert_eq!(sum(&lines(house, &manager, Some(brush)).await), 9_000);
        manager.post(&path, &json!({})).await.expect_problem(409);
        proved(house);
    }

    async fn a_strap_is_tightened_each_time_the_net_goes_up_and_by_hand(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let strap = ground.db_fit(house, ground.courts[0], "centre_strap");
        let net = ground.db_fit(house, ground.courts[0], "net");
        let order = ground.db_issue_net(house);
        finish(house, &manager, order, ground.dear).await;
        let uses = house.path(&format!("/wear-parts/{strap}/uses"));
        let told = manager.get(&uses).await.items();
        assert_eq!(told.len(), 1, "{told:?}");
        assert_eq!((&told[0]["tightenings"], &told[0]["use_mm"]), (&json!(1), &json!(0)));
        manager.post(&uses, &json!({ "tightenings": 2, "on": TODAY })).await.expect(201);
        for (part, told, field) in [
            (strap, json!({ "tightenings": -4, "on": TODAY }), "/tightenings"),
            (strap, json!({ "tightenings": 1, "metres": 4, "on": TODAY }), "/metres"),
            (strap, json!({ "tightenings": 0, "on": TODAY }), "/tightenings"),
            (net, json!({ "tightenings": 1, "on": TODAY }), "/metres"),
            (ground.brush, json!({ "metres": 1, "tightenings": 1, "on": TODAY }), "/tightenings"),
        ] {
            let path = house.path(&format!("/wear-parts/{part}/uses"));
            let refused = manager.post(&path, &told).await;
            refused.expect_problem(422);
            assert_eq!(refused.fault(), field, "{told}");
        }
        take_back(house, &manager, order).await;
        let all = manager.get(&uses).await.items();
        let times: i64 = all.iter().filter_map(|one| one["tightenings"].as_i64()).sum();
        assert_eq!(times, 2);
        proved(house);
    }

    async fn on_the_day_of_its_change_the_tablet_shows_the_new_brush_alone(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let brush = fitted(house, &manager, &ground, 9_000).await;
        let day = manager.get(&house.path(&format!("/tablet?crew_id={}", ground.crew))).await.expect(200);
        let tools = day["tools"].as_array().unwrap();
        let drag = tools.iter().find(|tool| tool["id"] == ground.drag).expect("the drag");
        let parts: Vec<_> = drag["parts"].as_array().unwrap().iter().map(|part| part["id"].clone()).collect();
        assert_eq!(parts, [json!(brush)], "{drag}");
    }
}
