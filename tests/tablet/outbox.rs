//! What a tablet kept and sends later.

use roundhand::store::Role;
use serde_json::json;

use super::{NOW, event, finish, send, send_at, uuid};
use crate::pictures::{self, made};
use crate::support::{Ground, TODAY, on_both_engines, tablet_of};

on_both_engines! {
    async fn a_round_closed_without_signal_is_taken_in_order_with_its_own_times(house) {
        let ground = Ground::db_lay(house);
        let order = ground.db_issue_plain(house);
        let tablet = house.nobody().with_token(&tablet_of(house).await);
        let start = event("2031-06-10T08:05:00Z", &json!({ "kind": "start", "order_id": order }));
        let close = event("2031-06-10T08:30:00Z", &finish(order, ground.dear, 25));
        let answers = send(house, &tablet, &[start, close]).await;
        assert!(answers.iter().all(|a| a["outcome"] == "taken"), "{answers:#?}");
        assert_eq!(answers[1]["order"]["state"], "finished");
        let order = tablet.get(&house.path(&format!("/orders/{order}"))).await.expect(200);
        assert_eq!(order["started_at"], "2031-06-10T08:05:00Z");
        assert_eq!(order["ended_at"], "2031-06-10T08:30:00Z");
    }

    async fn what_is_sent_twice_is_taken_once_and_answered_alike(house) {
        let ground = Ground::db_lay(house);
        let order = ground.db_issue_plain(house);
        let tablet = house.nobody().with_token(&tablet_of(house).await);
        let close = event("2031-06-10T08:30:00Z", &finish(order, ground.dear, 25));
        let first = send(house, &tablet, std::slice::from_ref(&close)).await;
        // By then its clock says something else, and it stands twice in one sending.
        let again = send_at(house, &tablet, "2031-06-10T08:58:40Z", &[close.clone(), close]).await;
        assert_eq!(again["answers"], json!([first[0], first[0]]));
        assert_eq!(minutes_of(house, ground.dear).await, [25]);
    }

    async fn a_clock_that_is_wrong_is_reckoned_with(house) {
        let ground = Ground::db_lay(house);
        let order = ground.db_issue_plain(house);
        let tablet = house.nobody().with_token(&tablet_of(house).await);
        // The tablet lost its battery: its clock began anew in 1970, and is 40 minutes on.
        let mut close = finish(order, ground.dear, 25);
        close["people"] = json!([{ "person_id": ground.dear,
            "started_at": "1970-01-01T00:00:00Z", "ended_at": "1970-01-01T00:25:00Z" }]);
        let close = event("1970-01-01T00:25:00Z", &close);
        let taken = send_at(house, &tablet, "1970-01-01T00:40:00Z", &[close]).await;
        assert_eq!(taken["answers"][0]["outcome"], "taken", "{taken:#}");
        let order = tablet.get(&house.path(&format!("/orders/{order}"))).await.expect(200);
        assert_eq!(order["ended_at"], "2031-06-10T08:45:00Z");
        assert_eq!(minutes_of(house, ground.dear).await, [25]);
    }

    async fn of_two_tablets_that_close_one_order_the_first_stands_and_the_second_is_noted(house) {
        let ground = Ground::db_lay(house);
        let order = ground.db_issue_plain(house);
        let (one, other) = (house.nobody().with_token(&tablet_of(house).await), house.as_role(Role::CrewLead).await);
        let close = event("2031-06-10T08:30:00Z", &finish(order, ground.dear, 25));
        assert_eq!(send(house, &one, &[close]).await[0]["outcome"], "taken");
        let close = event("2031-06-10T08:20:00Z", &finish(order, ground.cheap, 15));
        let late_key = close["key"].as_str().unwrap().to_owned();
        let of = format!("?subject=order&of_key={late_key}");
        let early = pictures::send(&one, house, &of, "image/jpeg", made::jpeg(9, 9)).await.expect(201);
        assert!(early["subject_id"].is_null(), "its event has not come yet: {early}");
        let noted = send(house, &other, &[close]).await;
        assert_eq!(noted[0]["outcome"], "noted", "{noted:#?}");
        // What was photographed with it is of the same order, whichever comes first.
        let picture = pictures::send(&one, house, &of, "image/jpeg", made::jpeg(8, 8)).await.expect(201);
        assert_eq!(picture["subject_id"], order);
        let early = one.get(&house.path(&format!("/pictures/{}", early["id"]))).await.expect(200);
        assert_eq!(early["subject_id"], order);
        assert_eq!(minutes_of(house, ground.dear).await, [25]);
        assert!(minutes_of(house, ground.cheap).await.is_empty());
        // A start that comes after the other's closing is as little lost, and as little done.
        let start = event("2031-06-10T08:00:00Z", &json!({ "kind": "start", "order_id": order }));
        assert_eq!(send(house, &other, &[start]).await[0]["outcome"], "noted");
    }

    async fn what_cannot_be_is_refused_by_its_field_and_holds_nothing_up(house) {
        let ground = Ground::db_lay(house);
        let order = ground.db_issue_plain(house);
        let tablet = house.nobody().with_token(&tablet_of(house).await);
        let mut odd = finish(order, ground.dear, 25);
        odd["materials"] = json!([{ "material_id": 999_999, "quantity": 1 }]);
        let unknown = json!({ "kind": "fly", "order_id": order });
        let nothing = json!({ "kind": "start" });
        let elsewhere = json!({ "kind": "start", "order_id": 999_999 });
        let right = finish(order, ground.dear, 25);
        let events: Vec<_> = [odd, unknown, nothing, elsewhere, right]
            .iter()
            .map(|happening| event("2031-06-10T08:30:00Z", happening))
            .collect();
        let answers = send(house, &tablet, &events).await;
        let outcomes: Vec<_> = answers.iter().map(|a| a["outcome"].as_str().unwrap()).collect();
        assert_eq!(outcomes, ["refused", "refused", "refused", "refused", "taken"], "{answers:#?}");
        let fields: Vec<_> = answers[..3].iter().map(|a| a["errors"][0]["field"].as_str().unwrap()).collect();
        assert_eq!(fields, ["/materials/0/material_id", "/happening/kind", "/happening/order_id"]);
        assert_eq!(minutes_of(house, ground.dear).await, [25]);
    }

    async fn a_sending_is_of_one_to_a_hundred_events_of_years_that_are(house) {
        let lead = house.as_role(Role::CrewLead).await;
        let start = event(NOW, &json!({ "kind": "start", "order_id": 1 }));
        let many = vec![start.clone(); 101];
        for (sent_at, events, field) in [
            (NOW, vec![], "/events"),
            (NOW, many, "/events"),
            ("9999-01-01T00:00:00Z", vec![start.clone()], "/sent_at"),
            (NOW, vec![event("1066-10-14T00:00:00Z", &json!({ "kind": "lightning" }))], "/events/0/at"),
        ] {
            let body = json!({ "sent_at": sent_at, "events": events });
            let refused = lead.post(&house.path("/tablet/events"), &body).await;
            assert_eq!((refused.status.as_u16(), refused.fault()), (422, field));
        }
        let body = json!({ "sent_at": NOW, "events": [{ "key": uuid(), "at": NOW }] });
        assert_eq!(lead.post(&house.path("/tablet/events"), &body).await.status, 400);
    }

    async fn a_tablet_holds_a_court_and_tells_of_lightning(house) {
        let ground = Ground::db_lay(house);
        let tablet = house.nobody().with_token(&tablet_of(house).await);
        let hold = json!({ "kind": "hold", "court_id": ground.courts[0], "reason": "glass" });
        let events = [event("2031-06-10T08:30:00Z", &hold), event("2031-06-10T08:50:00Z", &json!({ "kind": "lightning" }))];
        let answers = send(house, &tablet, &events).await;
        assert!(answers.iter().all(|a| a["outcome"] == "taken"), "{answers:#?}");
        let day = tablet.get(&house.path("/tablet")).await.expect(200);
        let court = day["courts"].as_array().unwrap().iter().find(|c| c["id"] == ground.courts[0]).unwrap();
        assert_eq!(court["held"][0]["held_at"], "2031-06-10T08:30:00Z");
        assert_eq!(day["stop"]["last_thunder_at"], "2031-06-10T08:50:00Z");
    }
}

/// The minutes that are booked for somebody today.
async fn minutes_of(house: &crate::support::House, person: i64) -> Vec<i64> {
    let lead = house.as_role(Role::CrewLead).await;
    let of = format!("/hours?from={TODAY}&to={TODAY}&person_id={person}");
    let rows = lead.get(&house.path(&of)).await.items();
    rows.iter().map(super::minutes_of).collect()
}
