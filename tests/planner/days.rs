//! Whole days, planned with few steps and judged.

use std::fs;
use std::path::PathBuf;

use planner::problem::Checked;

use super::odd::odd;
use super::referee::{accepts, bound_after, own_days, planned, python, shared};

/// Days of a folder, with a name to call each by.
fn days_in(folder: PathBuf) -> Vec<(String, PathBuf)> {
    let entries = fs::read_dir(folder).expect("the folder can be read");
    let mut days: Vec<(String, PathBuf)> = entries
        .map(|e| e.expect("an entry").path())
        .filter(|p| p.extension().is_some_and(|x| x == "json"))
        .map(|p| {
            (
                p.file_stem()
                    .expect("a name")
                    .to_string_lossy()
                    .into_owned(),
                p,
            )
        })
        .collect();
    days.sort();
    assert!(!days.is_empty());
    days
}

/// Optimal costs in hundredths of a cent. Source: `days/reference.csv` beside the contract, rows with
/// `optimal` y.
const OPTIMAL: [(&str, i64); 3] = [
    ("tiny-1", 1_011_867),
    ("tiny-3", 1_875_700),
    ("small-1", 3_089_600),
];

#[test]
fn the_days_kept_here_are_planned_at_their_known_best() {
    let out = tempfile::tempdir().expect("a folder");
    for (name, problem) in days_in(own_days()) {
        let plan = planned(&problem, &out.path().join(&name), 1, 3000);
        let best = OPTIMAL.iter().find(|o| o.0 == name).expect("a known day").1;
        assert_eq!(plan.cost.total.hundredths(), best, "{name}");
        assert!(plan.lower_bound <= plan.cost.total);
    }
}

#[test]
fn the_referee_accepts_a_plan_of_every_day_beside_the_contract() {
    let Some(planning) = shared("planning") else {
        return;
    };
    let out = tempfile::tempdir().expect("a folder");
    for (name, problem) in days_in(planning.join("days")) {
        let to = out.path().join(&name);
        planned(&problem, &to, 1, 300);
        accepts(&planning, &problem, &to);
    }
}

/// Source of the costs: `days/reference.csv` beside the contract, the best that other solvers found, some of
/// them proved optimal.
#[test]
fn no_bound_of_a_day_beside_the_contract_is_above_the_best_cost_found_elsewhere() {
    let Some(planning) = shared("planning") else {
        return;
    };
    let days = planning.join("days");
    let costs = fs::read_to_string(days.join("reference.csv")).expect("the costs can be read");
    let mut compared = 0;
    for row in costs.lines().skip(1) {
        let columns: Vec<&str> = row.split(',').collect();
        let (name, cost) = (columns[0], columns[3].parse::<f64>().expect("a cost"));
        let text = fs::read_to_string(days.join(format!("{name}.json"))).expect("a day");
        let problem = Checked::from_json(&text).expect("a sound problem");
        for steps in [1, 300, 3000] {
            let bound = bound_after(&problem, steps).cents();
            assert!(
                bound <= cost + 1e-6,
                "{name}: {bound} after {steps} is above {cost}"
            );
        }
        compared += 1;
    }
    assert_eq!(compared, 10);
}

/// So many days are tried, or as many as `tests/run --full` tries.
fn how_many(usual: usize, full: usize) -> usize {
    let many = std::env::var("ROUNDHAND_TESTS_FULL").is_ok_and(|v| v == "1");
    if many { full } else { usual }
}

/// How a made-up day is asked for: all profiles, sizes and options, and from the 50th on now and then a day
/// of up to 90 courts and more than 240 visits.
fn made_up(i: usize) -> Vec<String> {
    let big = i >= 50 && i.is_multiple_of(25);
    let (courts, crews) = if big {
        ([40, 60, 90][i / 25 % 3], [8, 10, 12, 6][i / 25 % 4])
    } else {
        (
            [2, 3, 5, 8, 12, 18, 4, 6, 10, 30][i % 10],
            [1, 2, 2, 3, 4, 5, 3][i % 7],
        )
    };
    let mut args: Vec<String> = Vec::new();
    let mut add = |name: &str, value: String| args.extend([name.to_owned(), value]);
    add("--courts", courts.to_string());
    add("--crews", crews.to_string());
    add("--seed", (i + 1000).to_string());
    add(
        "--profile",
        ["resort", "club", "park"][(i + i / 75) % 3].to_owned(),
    );
    add(
        "--tight",
        [100, 80, 130, 180, 100][(i + i / 50) % 5].to_string(),
    );
    if i % 4 == 3 && !big {
        add("--visits", "25".to_owned());
    }
    if i % 2 == 1 {
        args.push("--balance".to_owned());
    }
    if i % 3 == 1 {
        args.push("--handover".to_owned());
    }
    args
}

#[test]
fn the_referee_accepts_plans_of_made_up_days() {
    let Some(planning) = shared("planning") else {
        return;
    };
    let out = tempfile::tempdir().expect("a folder");
    let (problem, plan) = (
        out.path().join("problem.json"),
        out.path().join("plan.json"),
    );
    let (mut visits, mut most, mut unserved) = (0, 0, 0);
    let days = how_many(50, 1000);
    for i in 0..days {
        let args = made_up(i);
        let (text, ok) = python(&planning.join("make_day.py"), &args);
        assert!(ok, "{args:?}");
        fs::write(&problem, text).expect("the problem can be written");
        println!("{args:?}");
        let seed = u64::try_from(i).expect("small");
        let planned = planned(&problem, &plan, seed, [0, 30, 200][i % 3]);
        accepts(&planning, &problem, &plan);
        assert!(planned.lower_bound <= planned.cost.total, "{args:?}");
        let served: usize = planned.rounds.iter().map(|r| r.stops.len()).sum();
        visits += served + planned.unserved.len();
        most = most.max(served + planned.unserved.len());
        unserved += planned.unserved.len();
    }
    println!("{days} days, {visits} visits, at most {most} on a day, {unserved} of them left out");
}

#[test]
fn the_referee_accepts_plans_of_days_on_which_the_way_round_is_shorter() {
    let Some(planning) = shared("planning") else {
        return;
    };
    let out = tempfile::tempdir().expect("a folder");
    let (problem, plan) = (
        out.path().join("problem.json"),
        out.path().join("plan.json"),
    );
    let days = how_many(30, 300);
    let (mut visits, mut unserved) = (0, 0);
    for i in 0..days {
        let [courts, crews, seed] = [2 + i % 5, 1 + i % 4, i + 5000].map(|n| n.to_string());
        let mut args = ["--courts", &courts, "--crews", &crews, "--seed", &seed].to_vec();
        args.extend(["--profile", ["resort", "club", "park"][i % 3]]);
        args.extend([["--balance"].as_slice(), &["--handover"], &[]][i / 2 % 3]);
        let (text, ok) = python(&planning.join("make_day.py"), &args);
        assert!(ok, "{args:?}");
        let seed = u64::try_from(i).expect("small");
        fs::write(&problem, odd(seed, &text)).expect("the problem can be written");
        println!("day {i}: {args:?}");
        let planned = planned(&problem, &plan, seed, [0, 30, 200][i / 5 % 3]);
        accepts(&planning, &problem, &plan);
        assert!(planned.lower_bound <= planned.cost.total, "{args:?}");
        let served: usize = planned.rounds.iter().map(|r| r.stops.len()).sum();
        visits += served + planned.unserved.len();
        unserved += planned.unserved.len();
    }
    println!("{days} days, {visits} visits, {unserved} of them left out");
}
