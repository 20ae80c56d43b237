//! Days of the set-up resort, whole: planned in one go, judged by the referee.

use chrono::NaiveDate;
use diesel::prelude::*;
use roundhand::desk::access::{PlanDay, scope};
use roundhand::desk::day_build::build;
use roundhand::desk::plan_runs::{Limit, PlannedDay, plan_day};
use roundhand::desk::{Office, Permit};
use roundhand::store::schema::users;
use roundhand::store::{Actor, Role};

use super::yard::{DAY, Yard, db};
use crate::planner::referee::{accepts, shared};
use crate::support::{Engine, House};

/// The manager's permit, as a command of the program has it.
fn permit(house: &House) -> Permit<PlanDay> {
    permit_at(house, house.set_up.site_id)
}

pub fn permit_at(house: &House, site: i64) -> Permit<PlanDay> {
    let accounts = &house.set_up.accounts;
    let manager = accounts.iter().find(|a| a.role == Role::Manager).unwrap();
    let user = db(house, |conn| {
        Ok(users::table
            .filter(users::email.eq(&manager.email))
            .select(users::id)
            .first(conn)?)
    });
    let office: &Office = &house.office;
    Permit::of(scope(office, Actor::of(user), site).unwrap()).unwrap()
}

fn planned(house: &House, permit: &Permit<PlanDay>, date: &str, steps: u64) -> PlannedDay {
    let date: NaiveDate = date.parse().unwrap();
    plan_day(&house.office, permit, date, 1, &Limit::Steps(steps)).unwrap()
}

fn house_on(noon: &str) -> House {
    House::open_at(Engine::Sqlite, noon.parse().unwrap()).unwrap()
}

#[test]
fn the_referee_accepts_the_days_of_the_resort() {
    let Some(planning) = shared("planning") else {
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    // A week with its weekend, and the days on which the clocks of America/New_York change.
    let days = [
        (
            "2031-06-10T09:00:00Z",
            vec!["2031-06-10", "2031-06-13", "2031-06-14", "2031-06-15"],
        ),
        ("2031-11-01T09:00:00Z", vec!["2031-11-01", "2031-11-02"]),
        ("2031-03-08T09:00:00Z", vec!["2031-03-08", "2031-03-09"]),
    ];
    for (now, dates) in days {
        let house = house_on(now);
        let permit = permit(&house);
        for date in dates {
            let planned = planned(&house, &permit, date, 400);
            let problem = folder.path().join(format!("{date}.problem.json"));
            let plan = folder.path().join(format!("{date}.plan.json"));
            std::fs::write(&problem, &planned.problem_text).unwrap();
            std::fs::write(&plan, &planned.plan_text).unwrap();
            accepts(&planning, &problem, &plan);
        }
    }
}

/// The day problem is read in a fixed number of queries, and so is the day that was planned.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_large_site_takes_as_many_queries_as_a_small_one() {
    let house = House::open(Engine::Sqlite).unwrap();
    let yard = Yard::db_lay(&house);
    let (large, small) = (house.set_up.site_id, yard.site);
    let manager = house.manager().await;
    let mut counts = Vec::new();
    for site in [large, small] {
        let permit = permit_at(&house, site);
        let day: NaiveDate = DAY.parse().unwrap();
        let now = house.office.now();
        let before = house.queries();
        let built = house
            .office
            .db
            .read(|conn| build(conn, &permit, day, now))
            .unwrap();
        let building = house.queries() - before;
        assert!(built.problem.visits.len() > 12);
        plan_day(&house.office, &permit, day, 1, &Limit::Steps(50)).unwrap();
        let before = house.queries();
        let path = format!("/api/v1/sites/{site}/days/{DAY}");
        manager.get(&path).await.expect(200);
        counts.push((building, house.queries() - before));
    }
    assert_eq!(counts[0], counts[1], "{counts:?}");
    let (building, reading) = counts[0];
    // Of those to build, two look for what checks of nets did. Of those to read, one proves the session, and two look for what changed since the day was planned.
    assert!(
        building <= 36 && reading <= 28,
        "{building} to build, {reading} to read"
    );
}
