//! A small site laid straight into the tables, so that a test knows everything of its day: two
//! banks of two courts, two crews, three sessions of play.

use chrono::{NaiveDate, NaiveTime};
use diesel::prelude::*;
use roundhand::store::schema::{
    banks, care_tasks, closures, condition_observations, courts, crews, memberships, pay_rates,
    people, play_sessions, shift_people, shifts, tool_classes, tools, users,
};
use roundhand::store::sites::{SiteRow, Units, site_found};
use roundhand::store::{Conn, Instant, Result, Role};
use serde_json::{Value, json};

use crate::support::{Client, House};

/// The yard's zone.
pub const ZONE: chrono_tz::Tz = chrono_tz::America::New_York;
/// A Tuesday in June.
pub const DAY: &str = "2031-06-10";

/// The yard.
pub struct Yard {
    /// The site.
    pub site: i64,
    /// Two courts of the north bank, watered by sprinklers; one of the south bank watered from
    /// below, one by hose.
    pub courts: [i64; 4],
    /// The early crew of three and the late crew of two.
    pub crews: [i64; 2],
}

/// The sessions of a day: name, from, until, whether the short turnaround will do after it.
pub type Sessions<'a> = &'a [(&'a str, &'a str, &'a str, bool)];

/// Play in the morning, the afternoon and the evening.
pub const THREE: Sessions<'static> = &[
    ("Morning", "08:00", "11:30", false),
    ("Afternoon", "13:00", "17:00", true),
    ("Evening", "18:30", "20:30", false),
];

/// A local time of the yard.
pub fn local(date: &str, time: &str) -> Instant {
    let date: NaiveDate = date.parse().expect("a date");
    let time = NaiveTime::parse_from_str(time, "%H:%M").expect("a time");
    trade::calendar::local_to_instant(ZONE, date, time).into()
}

impl Yard {
    /// Lays the yard, with three sessions and both shifts on [`DAY`]; the house's accounts have
    /// their roles there too.
    pub fn db_lay(house: &House) -> Self {
        let yard = Self::db_lay_empty(house);
        yard.db_day(house, DAY, THREE);
        yard
    }

    /// The yard without play and shifts.
    pub fn db_lay_empty(house: &House) -> Self {
        db(house, |conn| {
            let now = house.office.now();
            let site = lay_site(conn, now)?;
            for account in &house.set_up.accounts {
                let user: i64 = users::table
                    .filter(users::email.eq(&account.email))
                    .select(users::id)
                    .first(conn)?;
                member(conn, site, user, account.role, now)?;
            }
            let courts = lay_courts(conn, site)?;
            lay_tools(conn, site)?;
            lay_care(conn, site)?;
            let crews = lay_crews(conn, site)?;
            Ok(Self {
                site,
                courts,
                crews,
            })
        })
    }

    /// Sessions on every court, and both shifts: 05:30 to 14:00 and 12:00 to 22:00.
    pub fn db_day(&self, house: &House, date: &str, sessions: Sessions<'_>) {
        for court in self.courts {
            self.db_play(house, court, date, sessions);
        }
        self.db_shift(house, 0, date, ("05:30", "14:00"), 3);
        self.db_shift(house, 1, date, ("12:00", "22:00"), 2);
    }

    /// Sessions on one court.
    pub fn db_play(&self, house: &House, court: i64, date: &str, sessions: Sessions<'_>) {
        db(house, |conn| {
            for (name, from, until, short) in sessions {
                diesel::insert_into(play_sessions::table)
                    .values((
                        play_sessions::site_id.eq(self.site),
                        play_sessions::court_id.eq(court),
                        play_sessions::name.eq(*name),
                        play_sessions::starts_at.eq(local(date, from)),
                        play_sessions::ends_at.eq(local(date, until)),
                        play_sessions::short_turnaround.eq(*short),
                    ))
                    .execute(conn)?;
            }
            Ok(())
        });
    }

    /// A shift of one of the crews, an hour of overtime allowed, half an hour of break.
    pub fn db_shift(
        &self,
        house: &House,
        crew: usize,
        date: &str,
        (from, until): (&str, &str),
        people: usize,
    ) {
        db(house, |conn| {
            let ends = local(date, until);
            let overtime: Instant = (ends.utc() + chrono::TimeDelta::hours(1)).into();
            let shift: i64 = diesel::insert_into(shifts::table)
                .values((
                    shifts::site_id.eq(self.site),
                    shifts::crew_id.eq(self.crews[crew]),
                    shifts::work_date.eq(date.parse::<NaiveDate>().expect("a date")),
                    shifts::starts_at.eq(local(date, from)),
                    shifts::ends_at.eq(ends),
                    shifts::overtime_until.eq(overtime),
                    shifts::break_s.eq(1_800),
                ))
                .returning(shifts::id)
                .get_result(conn)?;
            let hands: Vec<i64> = people::table
                .filter(
                    people::site_id
                        .eq(self.site)
                        .and(people::name.like(format!("Crew {crew} %"))),
                )
                .order(people::name)
                .select(people::id)
                .load(conn)?;
            for person in hands.into_iter().take(people) {
                diesel::insert_into(shift_people::table)
                    .values((
                        shift_people::site_id.eq(self.site),
                        shift_people::shift_id.eq(shift),
                        shift_people::person_id.eq(person),
                    ))
                    .execute(conn)?;
            }
            Ok(())
        });
    }

    /// Shuts a court.
    pub fn db_close(&self, house: &House, court: i64, from: Instant, until: Instant) {
        db(house, |conn| {
            diesel::insert_into(closures::table)
                .values((
                    closures::site_id.eq(self.site),
                    closures::court_id.eq(court),
                    closures::starts_at.eq(from),
                    closures::ends_at.eq(until),
                    closures::reason.eq("resurfacing"),
                ))
                .execute(conn)?;
            Ok(())
        });
    }

    /// Notes how a court was found.
    pub fn db_found(&self, house: &House, court: i64, at: Instant, condition: &str) {
        db(house, |conn| {
            diesel::insert_into(condition_observations::table)
                .values((
                    condition_observations::site_id.eq(self.site),
                    condition_observations::court_id.eq(court),
                    condition_observations::observed_at.eq(at),
                    condition_observations::condition.eq(condition),
                ))
                .execute(conn)?;
            Ok(())
        });
    }

    /// Puts a tool out of service.
    pub fn db_retire(&self, house: &House, number: &str) {
        db(house, |conn| {
            let rows = diesel::update(
                tools::table.filter(tools::site_id.eq(self.site).and(tools::number.eq(number))),
            )
            .set(tools::state.eq("out_of_service"))
            .execute(conn)?;
            assert_eq!(rows, 1, "{number} is a tool of the yard");
            Ok(())
        });
    }

    /// Path of something of the yard.
    pub fn path(&self, rest: &str) -> String {
        format!("/api/v1/sites/{}{rest}", self.site)
    }

    /// Asks for a plan of a date; gives the run as it was asked for.
    pub async fn ask(&self, client: &Client, date: &str, seconds: i64) -> Value {
        let path = self.path(&format!("/days/{date}/plan-runs"));
        let asked = client.post(&path, &json!({ "seconds": seconds })).await;
        let location = asked.header("location").map(str::to_owned);
        let run = asked.expect(202);
        assert_eq!(
            location,
            Some(self.path(&format!("/plan-runs/{}", run["id"])))
        );
        run
    }

    /// Watches a run until it has ended.
    pub async fn ended(&self, client: &Client, run: &Value) -> Value {
        let path = self.path(&format!("/plan-runs/{}", run["id"]));
        for _ in 0..3_000 {
            let now = client.get(&path).await.expect(200);
            if now["state"] != "waiting" && now["state"] != "running" {
                return now;
            }
            tokio::time::sleep(std::time::Duration::from_millis(100)).await;
        }
        panic!("the run does not end: {run}");
    }

    /// Plans a date and takes the plan; gives the day.
    pub async fn plan(&self, client: &Client, date: &str) -> Value {
        let run = self.ask(client, date, 1).await;
        let run = self.ended(client, &run).await;
        assert_eq!(run["state"], "ready", "{run}");
        let path = self.path(&format!("/plan-runs/{}/take", run["id"]));
        let taken = client.post(&path, &json!({})).await.expect(200);
        assert_eq!(taken["state"], "taken");
        self.day(client, date).await
    }

    /// A day as it is planned.
    pub async fn day(&self, client: &Client, date: &str) -> Value {
        let path = self.path(&format!("/days/{date}"));
        client.get(&path).await.expect(200)
    }
}

/// The orders of a day, of all rounds.
pub fn orders(day: &Value) -> Vec<&Value> {
    let rounds = day["rounds"].as_array().expect("rounds");
    rounds
        .iter()
        .flat_map(|round| round["orders"].as_array().expect("orders"))
        .collect()
}

/// An instant of an answer.
pub fn instant(value: &Value) -> Instant {
    let text = value.as_str().expect("an instant");
    text.parse::<chrono::DateTime<chrono::Utc>>()
        .expect("RFC 3339")
        .into()
}

/// Works on the tables.
pub fn db<T>(house: &House, work: impl FnOnce(&mut Conn) -> Result<T>) -> T {
    house.office.db.write_shared(work).expect("the tables")
}

fn lay_site(conn: &mut Conn, now: Instant) -> Result<i64> {
    let site = SiteRow {
        id: 0,
        name: "The Yard".into(),
        zone: ZONE.to_string(),
        units: Units::Metric,
        currency: "USD".into(),
        walk_mm_per_s: 1_200,
        shed_x_mm: 0,
        shed_y_mm: 0,
        pay_week_starts_on: 7,
        water_cents_per_m3: 130,
        second_factor_required: false,
        version: 1,
    };
    site_found(conn, &site, now)
}

fn member(conn: &mut Conn, site: i64, user: i64, role: Role, now: Instant) -> Result<()> {
    diesel::insert_into(memberships::table)
        .values((
            memberships::site_id.eq(site),
            memberships::user_id.eq(user),
            memberships::role.eq(role),
            memberships::created_at.eq(now),
        ))
        .execute(conn)?;
    Ok(())
}

fn lay_courts(conn: &mut Conn, site: i64) -> Result<[i64; 4]> {
    let (mut of_banks, mut of_courts) = ([0; 2], [0; 4]);
    for (at, name) in [(0, "North"), (1, "South")] {
        let place = i64::try_from(at).expect("small");
        of_banks[at] = diesel::insert_into(banks::table)
            .values((
                banks::site_id.eq(site),
                banks::name.eq(name),
                banks::position.eq(place),
                banks::line_name.eq(format!("{name} line")),
                banks::line_capacity_mlps.eq(4_000),
                banks::x_mm.eq(40_000 + 80_000 * place),
                banks::y_mm.eq(10_000),
                banks::version.eq(1),
            ))
            .returning(banks::id)
            .get_result(conn)?;
    }
    let watered = ["sprinkler", "sprinkler", "subsurface", "hand"];
    for (at, watering) in watered.into_iter().enumerate() {
        let place = i64::try_from(at).expect("small");
        of_courts[at] = diesel::insert_into(courts::table)
            .values((
                courts::site_id.eq(site),
                courts::bank_id.eq(of_banks[at / 2]),
                courts::name.eq(format!("Court {}", at + 1)),
                courts::position.eq(place),
                courts::length_mm.eq(36_576),
                courts::width_mm.eq(18_288),
                courts::watering.eq(watering),
                courts::lines.eq("tape"),
                courts::sprinkler_flow_mlps.eq(if watering == "sprinkler" { 3_000 } else { 0 }),
                courts::soak_s.eq(480),
                courts::night_cycles.eq(2),
                courts::night_cycle_s.eq(900),
                courts::x_mm.eq(50_000 + 20_000 * place),
                courts::y_mm.eq(20_000),
                courts::version.eq(1),
            ))
            .returning(courts::id)
            .get_result(conn)?;
    }
    Ok(of_courts)
}

fn lay_tools(conn: &mut Conn, site: i64) -> Result<()> {
    let classes = [
        ("soft_drag", "smooths", Some("light"), Some(1_829), 1),
        ("drag_broom", "smooths", Some("medium"), Some(1_829), 2),
        ("line_sweeper", "clears_lines", None, None, 2),
        ("roller", "firms", None, Some(1_000), 1),
    ];
    for (code, action, strength, width, count) in classes {
        let class: i64 = diesel::insert_into(tool_classes::table)
            .values((
                tool_classes::site_id.eq(site),
                tool_classes::code.eq(code),
                tool_classes::name.eq(code.replace('_', " ")),
                tool_classes::action.eq(action),
                tool_classes::strength.eq(strength),
                tool_classes::width_mm.eq(width),
                tool_classes::wear_cents.eq(9_000),
                tool_classes::wear_uses.eq(400),
            ))
            .returning(tool_classes::id)
            .get_result(conn)?;
        for number in 1..=count {
            diesel::insert_into(tools::table)
                .values((
                    tools::site_id.eq(site),
                    tools::tool_class_id.eq(class),
                    tools::number.eq(format!("{code} {number}")),
                    tools::state.eq("in_service"),
                    tools::in_service_from.eq("2031-01-01".parse::<NaiveDate>().expect("a date")),
                    tools::version.eq(1),
                ))
                .execute(conn)?;
        }
    }
    Ok(())
}

fn lay_care(conn: &mut Conn, site: i64) -> Result<()> {
    let lines = Some("clears_lines");
    let tasks = [
        (
            "look_over",
            "turnaround",
            "after_each_session",
            270,
            "any",
            None,
        ),
        (
            "raise_net",
            "turnaround",
            "after_each_session",
            60,
            "firm",
            None,
        ),
        (
            "groom",
            "turnaround",
            "after_each_session",
            600,
            "damp",
            Some("smooths"),
        ),
        (
            "clear_lines",
            "turnaround",
            "after_each_session",
            480,
            "not_wet",
            lines,
        ),
        (
            "lower_net",
            "turnaround",
            "after_each_session",
            180,
            "firm",
            None,
        ),
        (
            "soak",
            "turnaround",
            "after_each_session",
            60,
            "drained",
            None,
        ),
        (
            "hand_watering",
            "turnaround",
            "after_each_session",
            600,
            "drained",
            None,
        ),
        ("opening_walk", "bank", "daily", 600, "any", None),
        ("closing_round", "bank", "daily", 600, "any", None),
        ("roll", "court", "weekly", 1_500, "damp", Some("firms")),
        ("net_and_strap", "court", "weekly", 300, "firm", None),
    ];
    for (place, (code, done_at, cadence, base_s, ground, action)) in (1..).zip(tasks) {
        diesel::insert_into(care_tasks::table)
            .values((
                care_tasks::site_id.eq(site),
                care_tasks::code.eq(code),
                care_tasks::name.eq(code.replace('_', " ")),
                care_tasks::position.eq(place),
                care_tasks::done_at.eq(done_at),
                care_tasks::cadence.eq(cadence),
                care_tasks::base_s.eq(base_s),
                care_tasks::min_hands.eq(1),
                care_tasks::tool_action.eq(action),
                care_tasks::ground.eq(ground),
                care_tasks::skip_cents.eq(4_000),
                care_tasks::source.eq("common_practice"),
            ))
            .execute(conn)?;
    }
    Ok(())
}

fn lay_crews(conn: &mut Conn, site: i64) -> Result<[i64; 2]> {
    let mut of_crews = [0; 2];
    for (at, (name, people)) in [("Early", 3), ("Late", 2)].into_iter().enumerate() {
        of_crews[at] = diesel::insert_into(crews::table)
            .values((
                crews::site_id.eq(site),
                crews::name.eq(name),
                crews::position.eq(i64::try_from(at).expect("small")),
                crews::kit_limit.eq(4),
                crews::load_limit_g.eq(100_000),
                crews::version.eq(1),
            ))
            .returning(crews::id)
            .get_result(conn)?;
        for nth in 0..people {
            lay_person(conn, site, &format!("Crew {at} person {nth}"))?;
        }
    }
    Ok(of_crews)
}

fn lay_person(conn: &mut Conn, site: i64, name: &str) -> Result<()> {
    let person: i64 = diesel::insert_into(people::table)
        .values((
            people::site_id.eq(site),
            people::name.eq(name),
            people::skills.eq("[]"),
            people::version.eq(1),
        ))
        .returning(people::id)
        .get_result(conn)?;
    diesel::insert_into(pay_rates::table)
        .values((
            pay_rates::site_id.eq(site),
            pay_rates::person_id.eq(person),
            pay_rates::from_date.eq("2031-01-01".parse::<NaiveDate>().expect("a date")),
            pay_rates::cents_per_h.eq(1_800),
        ))
        .execute(conn)?;
    Ok(())
}
