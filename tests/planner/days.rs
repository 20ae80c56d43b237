//! Whole days, planned with few steps and judged.

use std::fs;
use std::path::PathBuf;

use super::referee::{accepts, own_days, planned, python, shared};

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

#[test]
fn the_referee_accepts_plans_of_made_up_days() {
    let Some(planning) = shared("planning") else {
        return;
    };
    let out = tempfile::tempdir().expect("a folder");
    let many = std::env::var("ROUNDHAND_TESTS_FULL").is_ok_and(|v| v == "1");
    for i in 0_usize..if many { 200 } else { 50 } {
        let seed = i + 1000;
        let courts = [2, 3, 5, 8, 12, 18, 4, 6, 10, 30][i % 10];
        let crews = [1, 2, 2, 3, 4, 5, 3][i % 7];
        let mut args: Vec<String> = [
            "--courts",
            &courts.to_string(),
            "--crews",
            &crews.to_string(),
            "--seed",
            &seed.to_string(),
        ]
        .map(str::to_owned)
        .into();
        let mut add = |more: &[&str]| args.extend(more.iter().map(|&s| s.to_owned()));
        add(&["--profile", ["resort", "club", "park"][i % 3]]);
        add(&["--tight", ["100", "80", "130", "180", "100"][i % 5]]);
        if i % 2 == 1 {
            add(&["--balance"]);
        }
        if i % 3 == 1 {
            add(&["--handover"]);
        }
        if i % 4 == 3 {
            add(&["--visits", "25"]);
        }
        let (text, ok) = python(&planning.join("make_day.py"), &args);
        assert!(ok, "{args:?}");
        let (problem, plan) = (
            out.path().join("problem.json"),
            out.path().join("plan.json"),
        );
        fs::write(&problem, text).expect("the problem can be written");
        planned(
            &problem,
            &plan,
            u64::try_from(i).expect("small"),
            [0, 30, 200][i % 3],
        );
        println!("{args:?}");
        accepts(&planning, &problem, &plan);
    }
}
