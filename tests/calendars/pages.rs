//! The page of calendars, and what it says of them on the day's page.

use roundhand::store::Role;

use super::planned::{FIRST, LATER, db_plan};
use super::{calendar, counts, court, db_sessions, of_one_court};
use crate::pages::visitor::Visitor;
use crate::support::{House, on_both_engines};

fn site(house: &House, rest: &str) -> String {
    format!("/sites/{}{rest}", house.set_up.site_id)
}

on_both_engines! {
    async fn a_manager_adds_a_calendar_sends_its_file_and_reads_what_was_not_taken(house) {
        let (court_id, _) = court(&house.manager().await, house, 0).await;
        let manager = Visitor::signed_in(house, Role::Manager).await;
        let here = site(house, "/calendars");
        let key = uuid::Uuid::new_v4().to_string();
        let court = court_id.to_string();
        let fields = |name: &'static str, address: &'static str| {
            [("client_key", key.clone()), ("name", name.into()), ("court", court.clone()),
                ("makes", "sessions".into()), ("short", "yes".into()), ("address", address.into())]
        };
        let send = async |fields: [(&'static str, String); 6]| {
            let fields: Vec<(&str, &str)> = fields.iter().map(|(name, text)| (*name, text.as_str())).collect();
            manager.send(&here, &fields).await
        };
        let wrong = send(fields("Lessons", "http://example.org/a.ics")).await;
        assert!(wrong.page(422).contains("The calendar was not added."));
        send(fields("Lessons", "")).await.leads_to(&format!("{here}#calendar-1"));

        let file = calendar(&[FIRST, "UID:x\nDTSTART:20311001T100000Z\nDTEND:20311001T090000Z"]);
        let there = format!("{here}/1/import");
        manager.send_file(&there, &file).await.leads_to(&format!("{here}#calendar-1"));
        let shown = manager.get(&here).await;
        let html = shown.page(200);
        assert!(html.contains("1 new, 1 not taken."), "{html}");
        assert!(html.contains("Line 13, DTEND: an event ends after it starts"), "{html}");
        assert_eq!(db_sessions(house, court_id, "2031-10-01").len(), 1);
        assert!(manager.send_file(&there, "hello").await.page(422).contains("The file is no calendar"));

        // Who may not edit reads the page without its forms.
        let desk = Visitor::signed_in(house, Role::FrontDesk).await;
        let shown = desk.get(&here).await;
        let html = shown.page(200);
        assert!(html.contains("Lessons") && !html.contains("Send the file") && !html.contains("Add a calendar"), "{html}");
    }

    async fn a_change_that_waits_stands_on_the_day_and_is_taken_on_the_page(house) {
        let (court_id, name) = court(&house.manager().await, house, 0).await;
        let client = house.manager().await;
        let (id, _) = of_one_court(&client, house).await;
        counts(&client, house, id, &calendar(&[FIRST])).await;
        db_plan(house);
        counts(&client, house, id, &calendar(&[LATER])).await;
        let manager = Visitor::signed_in(house, Role::Manager).await;
        let here = site(house, "/calendars");
        let line = "A booking of this date changed: take it or leave it";
        assert!(manager.get(&site(house, "/days/2031-10-01")).await.page(200).contains(line));
        assert!(!manager.get(&site(house, "/days/2031-10-02")).await.page(200).contains(line));
        let html = manager.get(&here).await.html;
        assert!(html.contains(&format!("{name}</strong>: Match")) || html.contains(&format!("{name}: Match")), "{html}");
        assert!(html.contains("10:00") && html.contains("12:00"), "{html}");
        let key = uuid::Uuid::new_v4().to_string();
        let accept = site(house, "/calendar-changes/1/accept");
        manager.send(&accept, &[("client_key", &key)]).await.leads_to(&here);
        assert_eq!(db_sessions(house, court_id, "2031-10-01"), ["Match 10-01T16:00 10-01T17:00"]);
        assert!(!manager.get(&site(house, "/days/2031-10-01")).await.page(200).contains(line));
    }
}
