//! A request asks the database a fixed number of questions, however many rows it shows.

use crate::support::{Operation, db_planned_order, on_both_engines};

on_both_engines! {
    async fn a_list_takes_as_many_queries_for_one_row_as_for_many(house) {
        // What is below an order needs one.
        db_planned_order(house);
        let owner = house.owner().await;
        let mut with_rows = 0;
        for operation in Operation::all(&house.nobody()).await {
            if !operation.is_a_list() {
                continue;
            }
            let path = operation.path_at(house.set_up.site_id, |_| "1".to_owned());
            let mut counts = Vec::new();
            for limit in [1, 200] {
                let before = house.queries();
                let target = format!("{path}?{}&limit={limit}", operation.needed_query_text());
                let rows = owner.get(&target).await.expect(200)["items"].as_array().unwrap().len();
                counts.push((house.queries() - before, rows));
            }
            let [(few, one), (many, all)] = counts[..] else { unreachable!() };
            // An empty page may leave a further question out.
            if one > 0 {
                assert_eq!(few, many, "{}: {one} row, then {all}", operation.id);
            }
            assert!((1..=12).contains(&many), "{}: {many} queries", operation.id);
            with_rows += usize::from(all > 1);
        }
        assert!(with_rows > 5, "{with_rows} lists have rows");
    }

    async fn one_thing_takes_a_handful_of_queries(house) {
        let manager = house.manager().await;
        for operation in Operation::all(&house.nobody()).await {
            if operation.method != reqwest::Method::GET {
                continue;
            }
            let path = operation.path_at(house.set_up.site_id, |_| "1".to_owned());
            let before = house.queries();
            manager.get(&format!("{path}?{}", operation.needed_query_text())).await;
            let asked = house.queries() - before;
            // One of them proves that the session of the token was not ended. Looking ahead reads all that a day problem rests on: more, and no more for two weeks than for a day.
            let whole_day = ["get_sites_look_ahead", "get_sites_days_by_date_due"];
            let most = match operation.id.as_str() {
                id if whole_day.contains(&id) => 48,
                // All that a crew needs until it has signal again.
                "get_sites_tablet" => 18,
                // What parts did, what they are likely to do, what is on the shelf and what it costs.
                "get_sites_wear_outlook" => 24,
                // What is planned and what a year ago was are asked beside every reading.
                "get_sites_wear" | "get_sites_wear_parts_by_wear_part_id_wear" => 19,
                // Beside the week, all that the forecasts of the site's tools rest on.
                "get_sites_week_reports_by_iso_week" => 32,
                _ => 17,
            };
            assert!(asked <= most, "{}: {asked} queries", operation.id);
        }
    }
}
