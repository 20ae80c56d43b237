//! The page of courts as they are.

use roundhand::store::Role;
use serde_json::json;

use super::visitor::Visitor;
use crate::days::yard::{Yard, local};
use crate::support::on_both_engines;

fn key() -> String {
    uuid::Uuid::new_v4().to_string()
}

/// What the page says of a court.
fn card(html: &str, court: i64) -> &str {
    let card = html.split(&format!("id=\"court-{court}\"")).nth(1);
    let card = card.unwrap_or_else(|| panic!("no court {court}: {html}"));
    card.split("</li>").next().unwrap()
}

on_both_engines! {
    // Common practice, no source: while water stands, nobody plays.
    async fn a_look_at_two_courts_is_told_and_each_says_how_it_is_and_why(house) {
        let yard = Yard::db_lay(house);
        let here = format!("/sites/{}/courts", yard.site);
        let member = Visitor::signed_in(house, Role::CrewMember).await;
        let html = member.get(&here).await.page(200).to_owned();
        let before = card(&html, yard.courts[0]);
        assert!(before.contains("Sound") && before.contains("none in the last 60 days"), "{before}");
        let (first, second) = (format!("court-{}", yard.courts[0]), format!("court-{}", yard.courts[1]));
        let fields = [
            ("client_key", &*key()), (first.as_str(), "yes"), (second.as_str(), "yes"), ("seen_at", "2031-06-10T04:40"),
            ("firmness", ""), ("moisture", "wet"), ("standing_water", "yes"), ("algae", "no"), ("low-baseline_north", "yes"),
            ("note", "by the gate"),
        ];
        let there = format!("{here}/looks");
        member.send(&there, &fields).await.leads_to(&here);
        member.send(&there, &fields).await.leads_to(&here);
        let html = member.get(&here).await.page(200).to_owned();
        for court in &yard.courts[..2] {
            let card = card(&html, *court);
            for words in ["Soaked", "Seen Tue, June 10, 04:40", "No play: standing water"] {
                assert!(card.contains(words), "{words}: {card}");
            }
        }
        assert!(card(&html, yard.courts[2]).contains("Sound"));
        let history = member.get(&format!("{here}/{}", yard.courts[0])).await.page(200).to_owned();
        for words in ["Tue, June 10, 04:40", "at the north baseline", "by the gate"] {
            assert_eq!(history.matches(words).count(), 1, "{words}: {history}");
        }
    }

    async fn a_look_that_tells_nothing_is_not_kept_and_the_page_says_so(house) {
        let yard = Yard::db_lay(house);
        let here = format!("/sites/{}/courts", yard.site);
        let lead = Visitor::signed_in(house, Role::CrewLead).await;
        let there = format!("{here}/looks");
        let court = format!("court-{}", yard.courts[0]);
        let refused = lead.send(&there, &[("client_key", &key()), ("moisture", "dry")]).await;
        assert!(refused.page(422).contains("Tick at least one court."));
        let refused = lead.send(&there, &[("client_key", &key()), (&court, "yes")]).await;
        assert!(refused.page(422).contains("tell at least one thing that was seen"));
        let refused = lead.send(&there, &[("client_key", &key()), (&court, "yes"), ("seen_at", "today"), ("moisture", "dry")]).await;
        assert!(refused.page(422).contains("Give the time as date, hours and minutes"));
        lead.send(&there, &[("client_key", &key()), (&court, "yes"), ("moisture", "soggy")]).await.page(400);
        lead.send(&there, &[("client_key", &key()), ("court-999999", "yes"), ("moisture", "dry")]).await.page(404);
        let history = lead.get(&format!("{here}/{}", yard.courts[0])).await;
        assert!(history.page(200).contains("Nobody has told of a look at this court."));
    }

    async fn the_condition_is_the_one_the_day_is_planned_with(house) {
        let yard = Yard::db_lay(house);
        yard.db_found(house, yard.courts[2], local("2031-06-09", "18:00"), "hardpan");
        let api = house.manager().await;
        let now = api.get(&yard.path("/conditions")).await.expect(200);
        let court = now["courts"].as_array().unwrap().iter().find(|one| one["court_id"] == yard.courts[2]).unwrap();
        assert_eq!((&court["condition"], &court["because"]), (&json!("hardpan"), &json!("word")));
        let look = json!({ "hardpan": false, "firmness": "firm" });
        api.post(&yard.path(&format!("/courts/{}/inspections", yard.courts[2])), &look).await.expect(201);
        let now = api.get(&yard.path("/conditions")).await.expect(200);
        let court = now["courts"].as_array().unwrap().iter().find(|one| one["court_id"] == yard.courts[2]).unwrap();
        assert_eq!((&court["condition"], &court["because"]), (&json!("sound"), &json!("look")));
    }

    async fn a_court_that_drains_says_when_it_is_expected_to_be_fit(house) {
        let yard = Yard::db_lay(house);
        let api = house.manager().await;
        let rain = json!({ "readings": [{ "read_at": local("2031-06-10", "04:30"), "kind": "observed", "rain_um": 9_000 }] });
        api.post(&yard.path("/weather"), &rain).await.expect(201);
        let desk = Visitor::signed_in(house, Role::FrontDesk).await;
        let html = desk.get(&format!("/sites/{}/courts", yard.site)).await.page(200).to_owned();
        // Two hours of draining: the site's setting where it has no record of its own.
        let said = "Draining after rain; expected to be fit at Tue, June 10, 06:30";
        assert!(card(&html, yard.courts[0]).contains(said), "{html}");
        assert!(!html.contains("Tell what you saw"), "the front desk tells no look");
    }
}
