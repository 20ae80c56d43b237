//! A written week: what is due on each of its days by hand, held against the program's list.
//!
//! Court 1 and 2 are watered by sprinklers, 3 from below, 4 by hose; court 2 was resurfaced the week before. It rains
//! on Wednesday, a tournament is played on Friday, and the clocks go back on Sunday (IANA time zone database).

use chrono::{DateTime, Utc};
use diesel::prelude::*;
use roundhand::desk::plan_runs::{Limit, plan_day};
use roundhand::mail::Settings;
use roundhand::store::schema::{care_tasks, courts};
use serde_json::{Value, json};

use super::resort::permit_at;
use super::yard::{THREE, Yard, db, instant, local};
use crate::planner::referee::{accepts, shared};
use crate::support::{Client, Engine, House, on_both_engines};

const WEEK: [&str; 7] = [
    "2031-10-27",
    "2031-10-28",
    "2031-10-29",
    "2031-10-30",
    "2031-10-31",
    "2031-11-01",
    "2031-11-02",
];

/// One day by hand: each line is `place: work`, with its days late where it is late.
struct ByHand {
    due: Vec<String>,
    /// With why and, where that is known, until when.
    withheld: Vec<String>,
}

/// What every day asks for: the walk and the round of each bank, and three turnarounds a court.
fn every_day(without: &[usize]) -> Vec<String> {
    let mut due = Vec::new();
    for bank in ["North", "South"] {
        due.push(format!("{bank}: opening walk"));
        due.push(format!("{bank}: closing round"));
    }
    for court in (1..=4).filter(|court| !without.contains(court)) {
        for (session, ..) in THREE {
            due.push(format!("Court {court}: Turnaround after {session}"));
        }
    }
    due
}

fn by_hand(day: usize) -> ByHand {
    // What levels waits on a new surface until it has bound; the other courts were levelled on the Sunday before.
    let new = "Court 2: scrape high spots, newly_dressed".to_owned();
    let lines = |texts: &[&str]| {
        texts
            .iter()
            .map(|text| (*text).to_owned())
            .collect::<Vec<_>>()
    };
    let (due, mut withheld) = match day {
        0 => (lines(&["Court 1: roll"]), vec![]),
        1 => (lines(&["Court 2: roll"]), vec![]),
        // Water stood on court 4 when it should have drained: nobody knows until when.
        2 => (
            lines(&["Court 3: roll"]),
            THREE
                .iter()
                .map(|(session, ..)| format!("Court 4: Turnaround after {session}, standing_water"))
                .collect(),
        ),
        // Court 1 is shut, so that its weekly look at net and strap waits. The level of court 3 is looked at once, though
        // it rained yesterday and the week since the last look is over today as well.
        3 => (
            lines(&["Court 4: roll", "Court 3: water level after rain"]),
            lines(&["Court 1: net and strap, closed until 2031-10-31 06:00"]),
        ),
        // Nobody rolled court 4 on Thursday.
        4 => (
            lines(&["Court 4: roll, 1 late", "Court 1: net and strap, 1 late"]),
            vec![],
        ),
        5 => (
            lines(&[
                "Court 2: net and strap",
                "Court 3: net and strap",
                "Court 4: net and strap",
            ]),
            vec![],
        ),
        // The yard has no scraper, which is no matter of what is due: the plan says so.
        _ => (
            lines(&[
                "Court 1: scrape high spots",
                "Court 3: scrape high spots",
                "Court 4: scrape high spots",
            ]),
            vec![],
        ),
    };
    withheld.push(new);
    let without: &[usize] = match day {
        2 => &[4],
        3 => &[1],
        _ => &[],
    };
    let mut all = every_day(without);
    if day == 4 {
        // Between the matches of the tournament courts 1 and 2 get the short service.
        for line in &mut all {
            let in_it = line.starts_with("Court 1") || line.starts_with("Court 2");
            if in_it && !line.ends_with("Evening") {
                *line = line.replace("Turnaround", "Match service");
            }
        }
    }
    all.extend(due);
    all.sort();
    withheld.sort();
    ByHand { due: all, withheld }
}

fn due_lines(view: &Value) -> Vec<String> {
    let line = |one: &Value| {
        let late = one["late_days"].as_i64().unwrap();
        let late = if late > 0 {
            format!(", {late} late")
        } else {
            String::new()
        };
        format!(
            "{}: {}{late}",
            one["place"].as_str().unwrap(),
            one["title"].as_str().unwrap()
        )
    };
    let mut lines: Vec<_> = view["due"].as_array().unwrap().iter().map(line).collect();
    lines.sort();
    lines
}

fn withheld_lines(view: &Value) -> Vec<String> {
    let line = |one: &Value| {
        let until = if one["until"].is_null() {
            String::new()
        } else {
            let at = instant(&one["until"])
                .utc()
                .with_timezone(&super::yard::ZONE);
            format!(" until {}", at.format("%Y-%m-%d %H:%M"))
        };
        format!(
            "{}: {}, {}{until}",
            one["place"].as_str().unwrap(),
            one["title"].as_str().unwrap(),
            one["reason"].as_str().unwrap()
        )
    };
    let mut lines: Vec<_> = view["withheld"]
        .as_array()
        .unwrap()
        .iter()
        .map(line)
        .collect();
    lines.sort();
    lines
}

/// The yard of the week, with its work that levels.
fn db_lay(house: &House) -> Yard {
    let yard = Yard::db_lay_empty(house);
    db(house, |conn| {
        diesel::update(courts::table.find(yard.courts[1]))
            .set(courts::resurfaced_on.eq(Some("2031-10-20".parse::<chrono::NaiveDate>().unwrap())))
            .execute(conn)?;
        for (code, cadence, detail) in [
            ("water_level", "weekly", r#"{"watering":["subsurface"]}"#),
            (
                "water_level_after_rain",
                r#"{"day_after_rain_mm":8}"#,
                r#"{"watering":["subsurface"],"stands_for":["water_level"]}"#,
            ),
        ] {
            diesel::insert_into(care_tasks::table)
                .values((
                    care_tasks::site_id.eq(yard.site),
                    care_tasks::code.eq(code),
                    care_tasks::name.eq(code.replace('_', " ")),
                    care_tasks::position.eq(80),
                    care_tasks::done_at.eq("court"),
                    care_tasks::cadence.eq(cadence),
                    care_tasks::base_s.eq(300),
                    care_tasks::min_hands.eq(1),
                    care_tasks::ground.eq("any"),
                    care_tasks::skip_cents.eq(1_000),
                    care_tasks::source.eq("common_practice"),
                    care_tasks::detail.eq(detail),
                ))
                .execute(conn)?;
        }
        diesel::insert_into(care_tasks::table)
            .values((
                care_tasks::site_id.eq(yard.site),
                care_tasks::code.eq("scrape_high_spots"),
                care_tasks::name.eq("scrape high spots"),
                care_tasks::position.eq(90),
                care_tasks::done_at.eq("court"),
                care_tasks::cadence.eq("weekly"),
                care_tasks::base_s.eq(900),
                care_tasks::min_hands.eq(1),
                care_tasks::tool_action.eq(Some("levels")),
                care_tasks::ground.eq("firm"),
                care_tasks::skip_cents.eq(1_000),
                care_tasks::source.eq("common_practice"),
            ))
            .execute(conn)?;
        Ok(())
    });
    for (day, date) in WEEK.iter().enumerate() {
        yard.db_shift(house, 0, date, ("05:30", "14:00"), 3);
        yard.db_shift(house, 1, date, ("12:00", "22:00"), 2);
        for (nth, court) in yard.courts.iter().enumerate() {
            if (day, nth) != (3, 0) {
                yard.db_play(house, *court, date, THREE);
            }
        }
    }
    yard.db_close(
        house,
        yard.courts[0],
        local(WEEK[3], "00:00"),
        local(WEEK[4], "06:00"),
    );
    yard
}

/// Tells when work was last done on courts, numbered from 1.
async fn told(yard: &Yard, client: &Client, code: &str, done: &[(usize, &str)]) {
    let all = client
        .get(&yard.path("/care-tasks?limit=200"))
        .await
        .items();
    let task = all
        .iter()
        .find(|task| task["code"] == code)
        .expect("the task");
    let told: Vec<_> = done
        .iter()
        .map(|(court, on)| {
            json!({ "care_task_id": task["id"], "court_id": yard.courts[court - 1], "done_on": on })
        })
        .collect();
    client
        .post(&yard.path("/care-told"), &json!({ "told": told }))
        .await
        .expect(200);
}

/// What happens on a day before anybody looks at its list.
async fn morning(yard: &Yard, client: &Client, day: usize) {
    match day {
        0 => {
            let last = [
                (1, "2031-10-20"),
                (2, "2031-10-21"),
                (3, "2031-10-22"),
                (4, "2031-10-23"),
            ];
            told(yard, client, "roll", &last).await;
            let last = [
                (1, "2031-10-23"),
                (2, "2031-10-25"),
                (3, "2031-10-25"),
                (4, "2031-10-25"),
            ];
            told(yard, client, "net_and_strap", &last).await;
            let last = [
                (1, "2031-10-26"),
                (2, "2031-10-20"),
                (3, "2031-10-26"),
                (4, "2031-10-26"),
            ];
            told(yard, client, "scrape_high_spots", &last).await;
            told(yard, client, "water_level", &[(3, "2031-10-23")]).await;
            told(yard, client, "water_level_after_rain", &[(3, "2031-10-23")]).await;
        }
        2 => {
            let rain =
                json!({ "read_at": local(WEEK[2], "04:30"), "kind": "observed", "rain_um": 9_000 });
            client
                .post(&yard.path("/weather"), &json!({ "readings": [rain] }))
                .await
                .expect(201);
            let puddle = json!({ "seen_at": local(WEEK[2], "07:10"), "standing_water": true });
            let path = yard.path(&format!("/courts/{}/inspections", yard.courts[3]));
            client.post(&path, &puddle).await.expect(201);
        }
        3 => {
            let gone = json!({ "seen_at": local(WEEK[3], "05:00"), "standing_water": false, "firmness": "firm" });
            let path = yard.path(&format!("/courts/{}/inspections", yard.courts[3]));
            client.post(&path, &gone).await.expect(201);
        }
        4 => {
            let order = json!({ "court_ids": [yard.courts[1], yard.courts[0]] });
            let path = yard.path(&format!("/days/{}/tournament", WEEK[4]));
            client.post(&path, &order).await.expect(200);
        }
        _ => {}
    }
}

/// What was done by the evening.
async fn evening(yard: &Yard, client: &Client, day: usize) {
    let date = WEEK[day];
    match day {
        0..=2 => told(yard, client, "roll", &[(day + 1, date)]).await,
        3 => told(yard, client, "water_level_after_rain", &[(3, date)]).await,
        4 => {
            told(yard, client, "roll", &[(4, date)]).await;
            told(yard, client, "net_and_strap", &[(1, date)]).await;
        }
        5 => {
            told(
                yard,
                client,
                "net_and_strap",
                &[(2, date), (3, date), (4, date)],
            )
            .await;
        }
        _ => {}
    }
}

/// A quarter past seven, when the opening walk is over.
fn walked(date: &str) -> DateTime<Utc> {
    local(date, "07:15").utc()
}

on_both_engines! {
    async fn each_day_of_the_written_week_asks_for_what_is_due_by_hand_and_withholds_the_rest(house) {
        let yard = db_lay(house);
        for (day, date) in WEEK.iter().enumerate() {
            let open = house.on_day(walked(date));
            let client = house.manager_at(&open.base).await;
            morning(&yard, &client, day).await;
            let view = client.get(&yard.path(&format!("/days/{date}/due"))).await.expect(200);
            let hand = by_hand(day);
            assert_eq!(due_lines(&view), hand.due, "due on {date}");
            assert_eq!(withheld_lines(&view), hand.withheld, "withheld on {date}");
            for one in view["due"].as_array().unwrap() {
                // A turnaround can begin when play ends, by the site's own clock, also when that has changed.
                for (session, _, ends, _) in THREE {
                    if one["title"].as_str().unwrap().ends_with(&format!("after {session}")) {
                        assert_eq!(instant(&one["opens_at"]), local(date, ends), "{date}: {one}");
                    }
                }
                if one["title"] == "roll" && one["late_days"] == 0 {
                    // Two hours of draining after the rain of half past four.
                    let from = if day == 2 { "06:30" } else { "05:30" };
                    assert_eq!(instant(&one["opens_at"]), local(date, from), "{date}: {one}");
                }
            }
            evening(&yard, &client, day).await;
        }
    }
}

/// The office of the day plans it with what was told until then, and the referee of the day problem's contract takes
/// the plan.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_referee_accepts_each_day_of_the_written_week() {
    let Some(planning) = shared("planning") else {
        return;
    };
    let house = House::open(Engine::Sqlite).expect("SQLite is always at hand");
    let yard = db_lay(&house);
    let folder = tempfile::tempdir().unwrap();
    for (day, date) in WEEK.iter().enumerate() {
        let now = walked(date);
        let open = house.on_day(now);
        let client = house.manager_at(&open.base).await;
        morning(&yard, &client, day).await;
        let office = house.another_office(
            Settings::new(None, None, Some("https://courts.example.org")).unwrap(),
            now,
        );
        let permit = permit_at(&house, yard.site);
        let planned = plan_day(
            &office,
            &permit,
            date.parse().unwrap(),
            1,
            &Limit::Steps(200),
        )
        .unwrap();
        let problem = folder.path().join(format!("{date}.problem.json"));
        let plan = folder.path().join(format!("{date}.plan.json"));
        std::fs::write(&problem, &planned.problem_text).unwrap();
        std::fs::write(&plan, &planned.plan_text).unwrap();
        accepts(&planning, &problem, &plan);
        evening(&yard, &client, day).await;
    }
}
