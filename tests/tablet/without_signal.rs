//! A round closed on courts without signal: in a real browser, by taps, and not one of them is lost.

use serde_json::json;

use super::crew::Crew;
use super::line::Way;
use super::{hours_of, minutes_of, own_picture};
use crate::pictures::made;
use crate::support::{Engine, Ground, House, Place, TODAY};

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn six_orders_closed_without_signal_and_through_an_empty_battery_are_at_the_office_once_each()
{
    let house = House::open(Engine::Sqlite).unwrap();
    let ground = Ground::db_lay(&house);
    let courts = [ground.courts, ground.courts].concat();
    let orders: Vec<i64> = courts
        .iter()
        .map(|court| ground.db_issue(&house, Place::Court(*court), TODAY, 0))
        .collect();
    own_picture(&house).await;
    let Some(crew) = Crew::begin(&house, &house.base, ground.crew, ground.dear).await else {
        return;
    };
    let photos = tempfile::tempdir().unwrap();
    let photo = photos.path().join("photo.jpg");
    std::fs::write(&photo, made::jpeg_held_sideways()).unwrap();
    let own = "return document.querySelector('img.own')?.naturalWidth > 0";
    crew.open(orders[0]).await;
    crew.until(own).await;
    crew.line.be(Way::Cut);
    for (fives, order) in orders[..4].iter().enumerate() {
        crew.later(40).await;
        crew.close(*order, ground.dear, fives).await;
    }
    crew.see(ground.courts[0], "low_spot", &photo).await;
    assert_eq!(crew.waiting().await.len(), 5);
    let crew = crew.restart().await;
    let kept = crew.waiting().await.len();
    assert_eq!(kept, 5, "what was told is still there");
    crew.open(orders[4]).await;
    crew.until(own).await;
    assert!(crew.browser.text().await.contains("the wide mat"));
    for order in &orders[4..] {
        crew.later(40).await;
        crew.close(*order, ground.dear, 1).await;
    }
    let told = crew.waiting().await;
    assert_eq!(told.len(), 7, "{told:#?}");
    let closings: Vec<_> = told
        .iter()
        .filter(|event| event["happening"]["kind"] == "finish")
        .collect();
    // The first sending arrives, and its answer does not: it is sent again.
    crew.line.be(Way::LosesAnswers);
    while crew.line.lost() == 0 {
        crew.browser.look("roundhandOutbox.send()").await;
        tokio::time::sleep(std::time::Duration::from_millis(100)).await;
    }
    crew.line.be(Way::Clear);
    crew.until_all_is_sent().await;

    let all = crew.told().await;
    let refused: Vec<_> = all
        .iter()
        .filter(|event| event["state"] != "taken")
        .collect();
    assert!(refused.is_empty(), "{refused:#?}");
    let manager = house.manager().await;
    let booked = hours_of(&house, &manager).await;
    for (order, event) in orders.iter().zip(closings) {
        let closed = manager
            .get(&house.path(&format!("/orders/{order}")))
            .await
            .expect(200);
        assert_eq!(
            (&closed["state"], &closed["fit"]),
            (&json!("finished"), &json!("yes"))
        );
        let entries = booked.get(order).cloned().unwrap_or_default();
        let people = event["happening"]["people"].as_array().unwrap();
        assert_eq!(entries.len(), people.len(), "once each: {entries:#?}");
        for entry in &entries {
            let told = people
                .iter()
                .find(|one| one["person_id"] == entry["person_id"]);
            assert_eq!(minutes_of(entry), told.unwrap()["minutes"], "{entry:#?}");
            assert_eq!(entry["ends_at"], closed["ended_at"]);
        }
    }
    let [seen] = &manager.get(&house.path("/defects")).await.items()[..] else {
        panic!("one defect");
    };
    assert_eq!(
        (&seen["kind"], &seen["court_id"]),
        (&json!("low_spot"), &json!(ground.courts[0]))
    );
    let of = format!("/pictures?subject=defect&subject_id={}", seen["id"]);
    let mut pictures = Vec::new();
    while pictures.is_empty() {
        tokio::time::sleep(std::time::Duration::from_millis(100)).await;
        pictures = manager.get(&house.path(&of)).await.items();
    }
    assert_eq!(pictures.len(), 1, "{pictures:#?}");
    let complaints = crew.browser.complaints().await;
    let own = complaints
        .iter()
        .filter(|c| !c.contains("ERR_") && !c.contains("Failed to load resource"));
    assert_eq!(own.count(), 0, "{complaints:#?}");
    crew.browser.close().await;
}
