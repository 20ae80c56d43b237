//! What is measured in the shed and on the courts: by taps, in a real browser, without signal.

use serde_json::{Value, json};

use super::crew::Crew;
use super::line::Way;
use crate::support::{Engine, Ground, House};

/// What waits of checks.
async fn checks(crew: &Crew) -> Vec<Value> {
    let waiting = crew.waiting().await.into_iter();
    waiting.map(|event| event["happening"].clone()).collect()
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn an_odd_reading_is_asked_about_and_never_forbidden() {
    let house = House::open(Engine::Sqlite).unwrap();
    let ground = Ground::db_lay(&house);
    let brush = ground.brush;
    // 3 1/8 in; new it is 100 mm, which is 3 7/8 in and a little.
    let first = json!({ "tool_id": ground.drag, "happened_at": "2031-06-10T08:30:00Z",
        "readings": [{ "wear_part_id": brush, "points_um": [79_375], "read_in": "in" }] });
    let manager = house.manager().await;
    manager
        .post(&house.path("/tool-checks"), &first)
        .await
        .expect(201);
    let Some(crew) =
        Crew::begin_at_a_standstill(&house, &house.base, ground.crew, ground.dear).await
    else {
        return;
    };
    crew.line.be(Way::Cut);
    let screen = format!("tool/t{}", ground.drag);
    let read = async |inches: i64, eighths: i64| {
        crew.tap(&format!("whole-{brush}"), inches).await;
        crew.tap(&format!("rest-{brush}"), eighths).await;
    };
    crew.show(&screen).await;
    read(3, 4).await;
    let asked = crew.browser.text().await;
    assert!(
        asked.contains("3 4/8 in is longer than last time, 3 1/8 in on Jun 10. Measured again?"),
        "{asked}"
    );
    crew.tap("odd-again", brush).await;
    // As long as last time: nothing is asked.
    read(3, 1).await;
    assert!(!crew.browser.text().await.contains("Measured again?"));
    crew.browser.find("[data-points='79375']").await;
    read(1, 0).await;
    crew.browser.find("[data-odd=odd-shorter]").await;
    crew.tap("odd-keep", brush).await;
    crew.browser.find("[data-points='79375,25400']").await;
    crew.tap_one("give-check").await;
    crew.browser.find("#screen[data-screen=tools]").await;
    let told = checks(&crew).await;
    assert_eq!(told[0]["readings"][0]["points_um"], json!([79_375, 25_400]));

    // What was told here is what the next reading is held against, signal or not: its mean is a little over 2 in.
    crew.show(&screen).await;
    read(2, 4).await;
    crew.browser.find("[data-odd=odd-longer]").await;
    crew.browser.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_net_is_gauged_by_taps_without_signal_and_what_is_out_of_the_rules_is_mended() {
    let house = House::open(Engine::Sqlite).unwrap();
    let ground = Ground::db_lay(&house);
    ground.db_issue_plain(&house);
    let Some(crew) =
        Crew::begin_at_a_standstill(&house, &house.base, ground.crew, ground.dear).await
    else {
        return;
    };
    crew.line.be(Way::Cut);
    crew.show("tools").await;
    crew.tap("tool", format!("c{}", ground.courts[0])).await;
    assert!(
        crew.browser
            .text()
            .await
            .contains("Release the tension before any work")
    );
    crew.tap("net-height", 35).await;
    crew.tap("net-height-rest", 4).await;
    assert!(
        crew.browser
            .text()
            .await
            .contains("This is not by the rules")
    );
    crew.tap("net-strap", 2).await;
    crew.tap("net-strap-rest", 0).await;
    crew.browser
        .find("[data-net='901700'][data-strap='50800']")
        .await;
    crew.tap_one("give-check").await;
    crew.browser.find("#screen[data-screen=tools]").await;
    let told = checks(&crew).await;
    assert_eq!(
        told[0]["net"],
        json!({ "height_um": 901_700, "strap_um": 50_800, "read_in": "in" })
    );
    crew.line.be(Way::Clear);
    crew.until_all_is_sent().await;
    let manager = house.manager().await;
    let [defect] = &manager.get(&house.path("/defects?open=true")).await.items()[..] else {
        panic!("one defect");
    };
    assert_eq!(
        (&defect["kind"], &defect["person_id"]),
        (&json!("loose_net_cable"), &json!(ground.dear))
    );
    let complaints = crew.browser.complaints().await;
    let own = complaints
        .iter()
        .filter(|c| !c.contains("ERR_") && !c.contains("Failed to load resource"));
    assert_eq!(own.count(), 0, "{complaints:#?}");
    crew.browser.close().await;
}
