//! The page of the weather.

use roundhand::store::Role;

use super::visitor::Visitor;
use crate::days::yard::Yard;
use crate::support::on_both_engines;

fn key() -> String {
    uuid::Uuid::new_v4().to_string()
}

on_both_engines! {
    // 32.2 °C and 60 % give a heat index of 99.7 °F, 37.6 °C, by the US National Weather Service's formula.
    async fn a_reading_is_told_by_hand_in_the_site_s_own_units_and_read_with_its_heat(house) {
        let yard = Yard::db_lay(house);
        let here = format!("/sites/{}/weather", yard.site);
        let lead = Visitor::signed_in(house, Role::CrewLead).await;
        let html = lead.get(&here).await.page(200).to_owned();
        assert!(html.contains("Nothing was read off in the last two days.") && html.contains("Temperature, °C"), "{html}");
        let there = format!("{here}/readings");
        let fields = [
            ("client_key", &*key()), ("kind", "observed"), ("read_at", "2031-06-10T04:30"), ("temp_c", "32.2"), ("humidity_pct", "60"),
            ("wind_mps", "4.5"), ("gust_mps", ""), ("rain_mm", "6.35"), ("solar_w_m2", ""), ("frost", "no"),
        ];
        lead.send(&there, &fields).await.leads_to(&here);
        lead.send(&there, &[("client_key", &*key()), ("kind", "forecast"), ("read_at", "2031-06-10T14:00"), ("temp_c", "20")])
            .await.leads_to(&here);
        let html = lead.get(&here).await.page(200).to_owned();
        for words in ["Tue, June 10, 04:30", "32 °C", "60\u{a0}%", "38 °C, extreme caution", "4.5 m/s", "6.4 mm", "Tue, June 10, 14:00"] {
            assert!(html.contains(words), "{words}: {html}");
        }
        let kept = house.manager().await.get(&yard.path("/weather")).await.items();
        assert_eq!((kept[0]["temp_mc"].as_i64(), kept[0]["rain_um"].as_i64()), (Some(32_200), Some(6_350)));
    }

    async fn a_reading_that_cannot_be_is_refused_in_the_words_and_units_of_the_page(house) {
        let here = format!("/sites/{}/weather", house.set_up.site_id);
        let manager = Visitor::signed_in(house, Role::Manager).await;
        let there = format!("{here}/readings");
        assert!(manager.get(&here).await.page(200).contains("Temperature, °F"));
        for (fields, words) in [
            (vec![("temp_f", "warm")], "Temperature: give a number of at most three decimals"),
            (vec![("temp_f", "200")], "Temperature: no instrument at a court could read that. Give -130 °F to 140 °F."),
            (vec![("humidity_pct", "120")], "Give 0\u{a0}% to 100\u{a0}%."),
            (vec![("wind_mph", "30"), ("gust_mph", "20")], "a gust is at least as strong as the wind"),
            (vec![("temp_f", "60"), ("read_at", "2031-06-11T08:00")], "what was read off lies in the past"),
            (vec![("temp_f", "60"), ("read_at", "tomorrow")], "Give the time as date, hours and minutes"),
            (vec![], "give at least one thing that was read"),
        ] {
            let key = key();
            let mut all = vec![("client_key", key.as_str()), ("kind", "observed")];
            all.extend(fields);
            let refused = manager.send(&there, &all).await;
            assert!(refused.page(422).contains(words), "{words}: {}", refused.html);
        }
        assert!(house.manager().await.get(&house.path("/weather")).await.items().is_empty());
    }

    async fn a_file_is_taken_line_by_line_and_the_page_says_what_was_refused(house) {
        let here = format!("/sites/{}/weather", house.set_up.site_id);
        let lead = Visitor::signed_in(house, Role::CrewLead).await;
        let there = format!("{here}/files/{}", key());
        let file = "at,temp_f,humidity_pct\n2031-06-10T08:00:00Z,61,70\n2031-06-10T08:30:00Z,warm,70\n2031-06-10T08:40:00Z,61,170\n";
        let taken = lead.send_file(&there, file).await;
        let html = taken.page(200);
        assert!(html.contains("One line was kept, 2 refused:"), "{html}");
        assert!(html.contains("Line 3, temp_f: give a number of at most three decimals"), "{html}");
        assert!(html.contains("Line 4, humidity: no instrument at a court could read that. Give 0\u{a0}% to 100\u{a0}%."), "{html}");
        assert!(html.contains("61 °F"), "{html}");
        assert_eq!(house.manager().await.get(&house.path("/weather")).await.items().len(), 1);
        let wrong = lead.send_file(&format!("{here}/files/{}", key()), "temp_f\n61\n").await;
        assert!(wrong.page(422).contains("name the column `at`"), "{}", wrong.html);

        let member = Visitor::signed_in(house, Role::CrewMember).await;
        let html = member.get(&here).await.page(200).to_owned();
        assert!(html.contains("61 °F") && !html.contains("Tell one reading") && !html.contains("Send a file"), "{html}");
        member.send_file(&there, file).await.page(403);
    }
}
