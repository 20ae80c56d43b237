//! A hot day: rests come into the rounds.

use chrono::TimeDelta;
use serde_json::json;

use super::yard::{DAY, Yard, instant, local, orders};
use crate::support::on_both_engines;

on_both_engines! {
    // Source: 89 FR 70698, a proposed US rule: at a heat index of 90 °F and above, 15 minutes of rest at least every two
    // hours. 34 °C (93.2 °F) at 60 % is an index of about 110 °F.
    async fn from_noon_to_six_at_110_degrees_nobody_works_over_two_hours_without_a_rest(house) {
        let yard = Yard::db_lay(house);
        let manager = house.manager().await;
        let reading = |time: &str, mc: i64| json!({ "read_at": local(DAY, time), "kind": "forecast", "temp_mc": mc, "humidity_permille": 600 });
        let hot: Vec<_> = ["12:00", "13:00", "14:00", "15:00", "16:00", "17:00"].map(|time| reading(time, 34_000)).to_vec();
        let mut readings = vec![reading("06:00", 20_000)];
        readings.extend(hot);
        readings.push(reading("18:00", 24_000));
        let body = json!({ "readings": readings });
        manager.post(&yard.path("/weather"), &body).await.expect(201);

        let day = yard.plan(&manager, DAY).await;
        // The late crew comes at noon: two rests and its own break lie between noon and six, so that it is free of work for
        // a quarter of an hour at least every two hours.
        let late: Vec<_> = orders(&day)
            .into_iter()
            .filter(|order| order["crew_id"] == yard.crews[1])
            .map(|order| (instant(&order["planned_start"]).utc(), instant(&order["planned_end"]).utc()))
            .filter(|(from, _)| *from < local(DAY, "18:00").utc())
            .collect();
        let mut since = local(DAY, "12:00").utc();
        for window in late.windows(2) {
            if window[1].0 - window[0].1 >= TimeDelta::minutes(15) {
                since = window[1].0;
            }
            assert!(window[1].1 - since <= TimeDelta::hours(2), "{late:?}");
        }
    }
}
