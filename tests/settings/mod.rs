//! What a site sets of how its office works.

use reqwest::Method;
use serde_json::{Value, json};

use crate::support::{Answer, Client, House, on_both_engines};

async fn patch(manager: &Client, house: &House, changes: &Value) -> Answer {
    let path = house.path("/settings");
    let read = manager.get(&path).await;
    let tag = read.header("etag").expect("an ETag").to_owned();
    manager
        .send(Method::PATCH, &path, &[("if-match", &tag)], Some(changes))
        .await
}

fn value(answer: &Value, key: &str) -> Value {
    let all = answer["settings"].as_array().expect("a list");
    let of_key = all.iter().find(|one| one["key"] == key);
    of_key.expect("known")["value"].clone()
}

on_both_engines! {
    async fn what_a_manager_sets_holds_until_the_usual_is_wanted_again(house) {
        let manager = house.manager().await;
        let set = patch(&manager, house, &json!({ "aim_before_play_s": 900, "night_water_from": "21:30" })).await;
        assert_eq!(value(&set.expect(200), "aim_before_play_s"), 900);
        let back = patch(&manager, house, &json!({ "aim_before_play_s": null })).await;
        let back = back.expect(200);
        assert_eq!(value(&back, "aim_before_play_s"), Value::Null);
        assert_eq!(value(&back, "night_water_from"), "21:30");
    }

    async fn each_wrong_value_is_named_with_its_mend_and_nothing_is_set(house) {
        let manager = house.manager().await;
        let before = manager.get(&house.path("/settings")).await;
        let wrong = json!({
            "aim_before_play_s": -1,
            "soak_around": "noon",
            "no_such_thing": 1,
            "night_pause_s": 1_800,
        });
        let refused = patch(&manager, house, &wrong).await;
        let fields: Vec<_> = refused.expect(422)["faults"]
            .as_array()
            .unwrap()
            .iter()
            .map(|fault| fault["field"].as_str().unwrap().to_owned())
            .collect();
        assert_eq!(fields, ["/aim_before_play_s", "/no_such_thing", "/soak_around"]);
        assert_eq!(manager.get(&house.path("/settings")).await.body, before.body);
    }

    async fn two_who_set_something_at_once_do_not_overwrite_each_other(house) {
        let manager = house.manager().await;
        let path = house.path("/settings");
        let tag = manager.get(&path).await.header("etag").unwrap().to_owned();
        let change = |seconds| json!({ "aim_before_play_s": seconds });
        let first = manager.send(Method::PATCH, &path, &[("if-match", &tag)], Some(&change(300))).await;
        first.expect(200);
        let second = manager.send(Method::PATCH, &path, &[("if-match", &tag)], Some(&change(301))).await;
        second.expect(412);
        assert_eq!(value(&manager.get(&path).await.expect(200), "aim_before_play_s"), 300);
    }
}
