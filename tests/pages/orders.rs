//! An order's own page: what happened to it, and what can still be done.

use roundhand::store::Role;
use serde_json::{Value, json};

use super::visitor::Visitor;
use crate::support::{Ground, House, TODAY, on_both_engines};

fn page_of(house: &House, order: i64) -> String {
    format!("/sites/{}/orders/{order}", house.set_up.site_id)
}

fn key() -> String {
    uuid::Uuid::new_v4().to_string()
}

async fn finished(house: &House, ground: &Ground, ended: &str) -> i64 {
    let id = ground.db_issue_plain(house);
    let lead = house.as_role(Role::CrewLead).await;
    let told = json!({
        "fit": { "is": "yes" }, "steps_done": [1, 2], "happened_at": ended,
        "people": [{ "person_id": ground.dear, "minutes": 5 }],
    });
    lead.post(&house.path(&format!("/orders/{id}/finish")), &told)
        .await
        .expect(200);
    id
}

async fn order(house: &House, id: i64) -> Value {
    let path = house.path(&format!("/orders/{id}"));
    house.manager().await.get(&path).await.expect(200)
}

on_both_engines! {
    async fn an_order_s_page_tells_who_did_what_when_and_when_the_office_knew(house) {
        let ground = Ground::db_lay(house);
        // The house's clock stands at 9 UTC, 5 in the morning there: it was told half an hour late.
        let id = finished(house, &ground, "2031-06-10T08:30:00Z").await;
        let lead = house.as_role(Role::CrewLead).await;
        let events = lead.get(&house.path(&format!("/orders/{id}/events"))).await.items();
        let last = events.last().expect("it was finished");
        assert_eq!((&last["kind"], &last["order_id"]), (&json!("finished"), &json!(id)));
        assert_eq!((&last["happened_at"], &last["learned_at"]),
            (&json!("2031-06-10T08:30:00Z"), &json!("2031-06-10T09:00:00Z")));
        lead.get(&house.path("/orders/999999/events")).await.expect_problem(404);

        let visitor = Visitor::signed_in(house, Role::Finance).await;
        let page = visitor.get(&page_of(house, id)).await;
        let page = page.page(200);
        let by = last["by"].as_str().unwrap();
        for part in ["Finished", by, "2031-06-10T08:30:00+00:00", "the office knew on"] {
            assert!(page.contains(part), "{part}: {page}");
        }
        assert!(!page.contains("<textarea"), "finance only reads: {page}");
        visitor.get(&page_of(house, 999_999)).await.page(404);
    }

    async fn the_manager_looks_finished_work_over_on_its_page(house) {
        let ground = Ground::db_lay(house);
        let id = finished(house, &ground, "2031-06-10T08:30:00Z").await;
        let visitor = Visitor::signed_in(house, Role::Manager).await;
        let here = page_of(house, id);
        let recheck = format!("{here}/recheck");
        let form = [("client_key", key()), ("grade", "poor".into()), ("note", " ridges by the net ".into())];
        let form = form.each_ref().map(|(name, value)| (*name, value.as_str()));
        visitor.send(&recheck, &form).await.leads_to(&here);
        visitor.send(&recheck, &form).await.leads_to(&here);
        let page = visitor.get(&here).await;
        assert_eq!(page.page(200).matches("ridges by the net").count(), 2, "with its facts, and once in what happened");
        assert_eq!(order(house, id).await["recheck"]["grade"], "poor");
        let none = [("client_key", key()), ("grade", "splendid".into())];
        let none = none.each_ref().map(|(name, value)| (*name, value.as_str()));
        visitor.send(&recheck, &none).await.page(400);
        let lead = Visitor::signed_in(house, Role::CrewLead).await;
        assert!(!lead.get(&here).await.page(200).contains("/recheck"), "a crew does not look its own work over");
        lead.send(&recheck, &form).await.page(403);
    }

    async fn a_closing_is_taken_back_and_the_order_handed_over_on_its_page(house) {
        let ground = Ground::db_lay(house);
        let id = finished(house, &ground, "2031-06-10T08:30:00Z").await;
        let visitor = Visitor::signed_in(house, Role::Manager).await;
        let here = page_of(house, id);
        let (first, second, third) = (key(), key(), key());
        let back = [("client_key", first.as_str()), ("note", "the wrong court")];
        visitor.send(&format!("{here}/take-back"), &back).await.leads_to(&here);
        assert_eq!(order(house, id).await["state"], "issued");

        let page = visitor.get(&here).await.page(200).to_owned();
        let option = page.split("<option value=\"").nth(1).expect("another crew is on shift");
        let crew = option.split('"').next().unwrap().to_owned();
        let over = [("client_key", second.as_str()), ("crew_id", crew.as_str())];
        visitor.send(&format!("{here}/hand-over"), &over).await.leads_to(&here);
        assert_eq!(order(house, id).await["crew_id"].to_string(), crew);
        // What the desk refuses is said on the page itself.
        let again = [("client_key", third.as_str()), ("crew_id", crew.as_str())];
        let refused = visitor.send(&format!("{here}/hand-over"), &again).await;
        assert!(refused.page(422).contains("this crew has the order already"));
    }

    async fn the_day_leads_to_each_order_and_a_note_on_it_is_kept(house) {
        let ground = Ground::db_lay(house);
        let id = ground.db_issue_plain(house);
        let visitor = Visitor::signed_in(house, Role::CrewLead).await;
        let here = page_of(house, id);
        let day = visitor.get(&format!("/sites/{}/days/{TODAY}", house.set_up.site_id)).await;
        assert!(day.page(200).contains(&format!("href=\"{here}\"")));
        let (full, empty) = (key(), key());
        let note = [("client_key", full.as_str()), ("note", "the gate sticks")];
        visitor.send(&format!("{here}/notes"), &note).await.leads_to(&here);
        assert!(visitor.get(&here).await.page(200).contains("the gate sticks"));
        let nothing = [("client_key", empty.as_str()), ("note", " ")];
        let refused = visitor.send(&format!("{here}/notes"), &nothing).await;
        assert!(refused.page(422).contains("say what is to be noted"));
    }
}
