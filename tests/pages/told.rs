//! The office's pages of what crews told: what tablets sent, who was there when, and the site's own words.

use roundhand::store::Role;
use serde_json::json;

use super::visitor::Visitor;
use crate::pictures::made::jpeg;
use crate::support::{Ground, TODAY, on_both_engines, tablet_of};

fn key() -> String {
    uuid::Uuid::new_v4().to_string()
}

on_both_engines! {
    async fn what_a_tablet_sent_and_nobody_mended_stands_on_its_page_until_it_is_mended(house) {
        let ground = Ground::db_lay(house);
        let id = ground.db_issue_plain(house);
        let tablet = house.nobody().with_token(&tablet_of(house).await);
        let finish = |minutes: i64| json!({
            "kind": "finish", "order_id": id, "fit": { "is": "yes" }, "steps_done": [1, 2],
            "people": [{ "person_id": ground.dear, "minutes": minutes }],
        });
        let (wrong, right) = (key(), key());
        let at = "2031-06-10T09:00:00Z";
        let send = async |event: serde_json::Value| {
            let body = json!({ "sent_at": at, "events": [event] });
            tablet.post(&house.path("/tablet/events"), &body).await.expect(200)
        };
        let person = ground.dear;
        send(json!({ "key": wrong, "at": at, "person_id": person, "happening": finish(2_000) })).await;
        let visitor = Visitor::signed_in(house, Role::Manager).await;
        let here = format!("/sites/{}/sent", house.set_up.site_id);
        let page = visitor.get(&here).await;
        let waits = |page: &str| page.split("id=\"sent-came\"").next().unwrap().contains("2000 min");
        assert!(waits(page.page(200)), "{}", page.html);
        assert!(page.html.contains("1 to 960"), "with the mend: {}", page.html);

        send(json!({ "key": right, "at": at, "person_id": person, "happening": finish(20), "mends": wrong })).await;
        let page = visitor.get(&here).await;
        assert!(!waits(page.page(200)), "it was mended: {}", page.html);
        assert!(page.html.contains("2000 min"), "and stays in the day's list: {}", page.html);
        let other = visitor.get(&format!("{here}?date=2031-06-09")).await;
        assert!(!other.page(200).contains("2000 min"));
        let manager = house.manager().await;
        let refused = manager.get(&house.path("/tablet/events?outcome=refused")).await.items();
        assert_eq!(refused.len(), 1);
        let open = manager.get(&house.path("/tablet/events?outcome=refused&unmended=true")).await.items();
        assert_eq!(open.len(), 0);
        Visitor::signed_in(house, Role::CrewLead).await.get(&here).await.page(403);
    }

    async fn who_was_there_stands_on_the_day_and_what_was_forgotten_is_told_there(house) {
        let ground = Ground::db_lay(house);
        let lead = house.as_role(Role::CrewLead).await;
        let told = json!({ "person_id": ground.dear, "kind": "in", "happened_at": "2031-06-10T04:30:00Z" });
        lead.post(&house.path("/attendance"), &told).await.expect(201);
        let visitor = Visitor::signed_in(house, Role::Manager).await;
        let day = format!("/sites/{}/days/{TODAY}", house.set_up.site_id);
        let here = format!("{day}/attendance");
        assert!(visitor.get(&day).await.page(200).contains(&here));
        assert!(visitor.get(&here).await.page(200).contains("since 12:30"), "by the site's clock");
        let (first, second, person) = (key(), key(), ground.dear.to_string());
        let went = [("client_key", first.as_str()), ("person_id", &person), ("kind", "out"), ("time", "04:45")];
        visitor.send(&here, &went).await.leads_to(&here);
        assert!(visitor.get(&here).await.page(200).contains("4 h 15 min there without breaks"));
        // The house's clock stands at 5 in the morning there.
        let ahead = [("client_key", second.as_str()), ("person_id", &person), ("kind", "in"), ("time", "23:00")];
        visitor.send(&here, &ahead).await.page(422);
        let finance = Visitor::signed_in(house, Role::Finance).await;
        assert!(!finance.get(&here).await.page(200).contains("name=\"kind\""), "finance only reads");
    }

    async fn a_site_puts_its_own_word_and_picture_for_a_tool(house) {
        Ground::db_lay(house);
        let visitor = Visitor::signed_in(house, Role::Manager).await;
        let here = format!("/sites/{}/words", house.set_up.site_id);
        let first = key();
        let word = [("client_key", first.as_str()), ("subject", "tool_class:test_drag"), ("language", "es"),
            ("words", "la alfombra")];
        visitor.send(&here, &word).await.leads_to(&here);
        let page = visitor.get(&here).await.page(200).to_owned();
        assert!(page.contains("value=\"la alfombra\"") && page.contains("Español"), "{page}");
        let kept = house.manager().await.get(&house.path("/site-words")).await.items();
        let [kept] = &kept[..] else { panic!("one word") };

        let of_word = format!("{here}/{}", kept["id"]);
        let picture = format!("{of_word}/picture/{}", key());
        let no_picture = visitor.send_file(&picture, "BEGIN:VCALENDAR").await;
        assert!(no_picture.page(422).contains("role=\"alert\""));
        visitor.send_bytes(&picture, &jpeg(40, 30)).await.leads_to(&here);
        let page = visitor.get(&here).await.page(200).to_owned();
        let source = page.split("<img src=\"").nth(1).expect("its picture").split('"').next().unwrap();
        assert_eq!(visitor.get_bytes(source).await, 200);
        let none: [(&str, &str); 0] = [];
        visitor.send(&format!("{of_word}/picture/none"), &none).await.leads_to(&here);
        assert!(!visitor.get(&here).await.page(200).contains("<img src=\"/sites"));
        visitor.send(&format!("{of_word}/remove"), &none).await.leads_to(&here);
        visitor.send(&format!("{of_word}/remove"), &none).await.leads_to(&here);
        assert!(house.manager().await.get(&house.path("/site-words")).await.items().is_empty());
        Visitor::signed_in(house, Role::CrewLead).await.get(&here).await.page(403);
    }
}
