//! What can be looked up: crews, people and shifts, tools and what wears of them, the stores. The
//! lists are held against each other.

use std::collections::BTreeSet;

use serde_json::Value;

use crate::support::{Client, House, db_run, on_both_engines};

/// The rows at a path of the site, over all pages; some must be there.
async fn rows(house: &House, client: &Client, rest: &str) -> Vec<Value> {
    let joint = if rest.contains('?') { '&' } else { '?' };
    let first = house.path(&format!("{rest}{joint}limit=200"));
    let (mut rows, mut target) = (Vec::new(), first.clone());
    loop {
        let page = client.get(&target).await.expect(200);
        rows.extend(page["items"].as_array().unwrap().clone());
        match page["next_cursor"].as_str() {
            Some(cursor) => target = format!("{first}&cursor={cursor}"),
            None => break,
        }
    }
    assert!(!rows.is_empty(), "{rest} has rows");
    rows
}

/// What stands under `name` in these rows.
fn each(rows: &[Value], name: &str) -> BTreeSet<String> {
    rows.iter().map(|row| row[name].to_string()).collect()
}

on_both_engines! {
    async fn a_crew_shows_who_is_in_it_and_from_when(house) {
        let manager = house.manager().await;
        let names = each(&rows(house, &manager, "/people").await, "name");
        for crew in rows(house, &manager, "/crews").await {
            let answer = manager.get(&house.path(&format!("/crews/{}", crew["id"]))).await;
            assert_eq!(answer.header("etag"), Some(format!("\"{}\"", crew["version"]).as_str()));
            let one = answer.expect(200);
            assert_eq!(one["name"], crew["name"]);
            let members = one["members"].as_array().unwrap();
            assert!(!members.is_empty(), "{crew} has people");
            for member in members {
                assert!(names.contains(&member["name"].to_string()), "{member}");
                assert!(member["from_date"].is_string(), "{member}");
            }
        }
    }

    async fn a_person_is_shown_with_skills_and_without_pay(house) {
        let manager = house.manager().await;
        for person in rows(house, &manager, "/people").await {
            let path = house.path(&format!("/people/{}", person["id"]));
            assert_eq!(manager.get(&path).await.expect(200), person);
            assert!(person["skills"].is_array(), "{person}");
            let text = person.to_string();
            assert!(!text.contains("cents") && !text.contains("rate"), "{text}");
        }
    }

    async fn a_days_shifts_are_those_of_that_date_with_their_people(house) {
        let manager = house.manager().await;
        let all = rows(house, &manager, "/shifts").await;
        let people = each(&rows(house, &manager, "/people").await, "id");
        let crews = each(&rows(house, &manager, "/crews").await, "id");
        let mut with_people = 0;
        for date in each(&all, "work_date") {
            let date = date.trim_matches('"');
            let of_the_day: Vec<_> = all.iter().filter(|shift| shift["work_date"] == date).cloned().collect();
            assert_eq!(rows(house, &manager, &format!("/shifts?date={date}")).await, of_the_day);
            for shift in of_the_day {
                assert!(crews.contains(&shift["crew_id"].to_string()), "{shift}");
                for person in shift["people"].as_array().unwrap() {
                    assert!(people.contains(&person["person_id"].to_string()), "{shift}");
                    with_people += 1;
                }
            }
        }
        assert!(with_people > 0, "somebody is on a shift");
        let none = manager.get(&house.path("/shifts?date=1999-01-01")).await.items();
        assert_eq!(none, [Value::Null; 0]);
    }

    async fn a_tool_is_of_a_class_of_the_site(house) {
        let manager = house.manager().await;
        let classes = each(&rows(house, &manager, "/tool-classes").await, "id");
        for tool in rows(house, &manager, "/tools").await {
            assert!(classes.contains(&tool["tool_class_id"].to_string()), "{tool}");
            let path = house.path(&format!("/tools/{}", tool["id"]));
            assert_eq!(manager.get(&path).await.expect(200), tool);
        }
    }

    async fn a_wear_part_shows_its_newest_reading(house) {
        // Two on one day: what was booked last stands.
        db_run(house, "
            INSERT INTO readings (site_id, wear_part_id, measured_on, length_um, booked_at)
                SELECT site_id, id, '2031-06-09', 71000, '2031-06-09 12:00:00' FROM wear_parts
                WHERE id = (SELECT MIN(id) FROM wear_parts);
            INSERT INTO readings (site_id, wear_part_id, measured_on, length_um, booked_at)
                SELECT site_id, id, '2031-06-09', 70000, '2031-06-09 13:00:00' FROM wear_parts
                WHERE id = (SELECT MIN(id) FROM wear_parts);
            INSERT INTO readings (site_id, wear_part_id, measured_on, length_um, booked_at)
                SELECT site_id, id, '2001-01-01', 99000, '2031-06-09 14:00:00' FROM wear_parts
                WHERE id = (SELECT MIN(id) FROM wear_parts);
        ").expect("readings are taken");
        let manager = house.manager().await;
        let parts = rows(house, &manager, "/wear-parts").await;
        let first = &parts[0]["newest_reading"];
        assert_eq!((&first["measured_on"], &first["length_um"]), (&"2031-06-09".into(), &70000.into()));
        for part in parts {
            let path = house.path(&format!("/wear-parts/{}/readings?limit=200", part["id"]));
            let readings = manager.get(&path).await.items();
            let newest = readings.iter().max_by_key(|reading| {
                (reading["measured_on"].to_string(), reading["id"].as_i64())
            });
            assert_eq!(&part["newest_reading"], newest.unwrap_or(&Value::Null), "{part}");
            let path = house.path(&format!("/readings?wear_part_id={}&limit=200", part["id"]));
            assert_eq!(manager.get(&path).await.items(), readings);
        }
    }

    async fn a_materials_moves_add_up_to_what_is_there_and_what_it_is_worth(house) {
        let manager = house.manager().await;
        let all = rows(house, &manager, "/stock-moves").await;
        for material in rows(house, &manager, "/materials").await {
            let path = house.path(&format!("/materials/{}", material["id"]));
            assert_eq!(manager.get(&path).await.expect(200), material);
            let path = house.path(&format!("/stock-moves?material_id={}&limit=200", material["id"]));
            let moves = manager.get(&path).await.items();
            let of_it: Vec<_> = all.iter().filter(|row| row["material_id"] == material["id"]).cloned().collect();
            assert_eq!(moves, of_it, "{material}");
            let sum = |name: &str| moves.iter().map(|row| row[name].as_i64().unwrap()).sum::<i64>();
            assert_eq!(material["on_hand"], sum("quantity"), "{material}");
            assert_eq!(material["value_cents"], sum("value_cents"), "{material}");
        }
    }

    async fn a_chemical_shows_what_its_label_says_and_that_the_label_comes_first(house) {
        let manager = house.manager().await;
        let all = rows(house, &manager, "/materials").await;
        let labelled: Vec<_> = all.iter().filter(|material| material["label"].is_object()).collect();
        let codes: Vec<_> = labelled.iter().map(|material| material["code"].as_str().unwrap()).collect();
        assert_eq!(codes, ["calcium_chloride", "algaecide"]);
        for material in labelled {
            let label = &material["label"];
            assert!(label["sheet"].as_str().unwrap().contains("it comes first"), "{label}");
            assert!(!label["gear"].as_array().unwrap().is_empty(), "{label}");
        }
    }
}
