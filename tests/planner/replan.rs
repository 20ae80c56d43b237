//! The `replan` command and the advice of `plan`, from outside.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use super::referee::{accepts, own_days, plan, planned, shared};

fn replan(problem: &Path, plan: &Path, output: &Path, args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_roundhand"))
        .arg("replan")
        .args([problem, plan, Path::new("-o"), output])
        .args(args)
        .output()
        .expect("the command runs")
}

#[test]
fn the_rest_of_a_day_is_planned_and_what_changes_is_told() {
    let out = tempfile::tempdir().expect("a folder");
    let at = |name: &str| out.path().join(name);
    let problem = own_days().join("small-1.json");
    planned(&problem, &at("plan"), 1, 200);
    let changes =
        r#"{"format": "day-changes/1", "changes": [{"kind": "rain", "from": 38400, "to": 41400}]}"#;
    fs::write(at("changes"), changes).expect("a file");
    let (changes, rest) = (at("changes"), at("rest"));
    let args = ["--at", "36000", "--iterations", "100", "--changes"];
    let mut args: Vec<&str> = args.to_vec();
    args.extend([
        changes.to_str().expect("text"),
        "--rest",
        rest.to_str().expect("text"),
    ]);
    let ran = replan(&problem, &at("plan"), &at("after"), &args);
    let told = String::from_utf8(ran.stdout).expect("text");
    assert_eq!(
        ran.status.code(),
        Some(0),
        "{}",
        String::from_utf8_lossy(&ran.stderr)
    );
    assert!(
        told.starts_with("cost=") && told.contains(" kept="),
        "{told}"
    );
    if let Some(planning) = shared("planning") {
        accepts(&planning, &rest, &at("after"));
    }
}

#[test]
fn bad_news_is_refused_whole_and_leaves_an_earlier_plan_as_it_was() {
    let out = tempfile::tempdir().expect("a folder");
    let at = |name: &str| out.path().join(name);
    let problem = own_days().join("tiny-1.json");
    planned(&problem, &at("plan"), 1, 50);
    fs::write(at("after"), "earlier").expect("a file");
    for (kind, text, fault) in [
        (
            "--changes",
            r#"{"format": "day-changes/2"}"#,
            "fault /format: ",
        ),
        (
            "--changes",
            r#"{"format": "day-changes/1", "changes": [{"kind": "crew_gone", "crew": "nobody", "from": 1}]}"#,
            "fault /changes/0/crew: unknown crew",
        ),
        (
            "--changes",
            r#"{"format": "day-changes/1", "changes": [{"kind": "snow"}]}"#,
            "fault /changes/0",
        ),
        ("--record", "{", "fault /record: not JSON"),
        (
            "--record",
            r#"{"format": "day-record/1", "visits": [{"visit": "x", "state": "gone"}]}"#,
            "fault /record/visits/0/state: ",
        ),
    ] {
        fs::write(at("news"), text).expect("a file");
        let news = at("news");
        let args = ["--at", "30000", kind, news.to_str().expect("text")];
        let ran = replan(&problem, &at("plan"), &at("after"), &args);
        let told = String::from_utf8_lossy(&ran.stderr).into_owned();
        assert_eq!(ran.status.code(), Some(2), "{text}: {told}");
        assert!(told.starts_with(fault), "{text}: {told}");
    }
    fs::write(at("list"), "[]").expect("a file");
    fs::write(at("cut"), "{").expect("a file");
    for (no_plan, said) in [
        (at("news"), "fault /plan: missing field `rounds`"),
        (at("cut"), "fault /plan: not JSON"),
        (at("list"), "fault /plan: "),
        (at("missing"), "cannot read "),
        (out.path().to_owned(), "cannot read "),
        (own_days().join("tiny-1.json"), "fault /plan: "),
    ] {
        let ran = replan(&problem, &no_plan, &at("after"), &["--at", "1"]);
        let told = String::from_utf8_lossy(&ran.stderr).into_owned();
        assert_eq!(ran.status.code(), Some(2), "{}: {told}", no_plan.display());
        assert!(told.starts_with(said), "{}: {told}", no_plan.display());
    }
    assert_eq!(fs::read_to_string(at("after")).expect("a file"), "earlier");
}

#[test]
fn advice_follows_the_summary_line_by_line() {
    let Some(planning) = shared("planning") else {
        return;
    };
    let out = tempfile::tempdir().expect("a folder");
    let ran = plan(
        &planning.join("days/small-3.json"),
        &out.path().join("plan"),
        &["--iterations", "300", "--advise", "--advise-seconds", "60"],
    );
    let told = String::from_utf8(ran.stdout).expect("text");
    assert_eq!(ran.status.code(), Some(0));
    let mut lines = told.lines();
    let summary = lines.next().expect("a summary");
    assert!(summary.starts_with("cost="), "{told}");
    // A machine too slow to try everything in time says so in a last line.
    let said = lines.filter(|l| !l.starts_with("untried="));
    let (advice, unserved): (Vec<&str>, Vec<&str>) =
        said.partition(|l| l.starts_with("advice kind="));
    assert!(!advice.is_empty(), "{told}");
    assert!(
        advice
            .iter()
            .all(|l| l.contains(" plus=") && l.contains(" saves=")),
        "{told}"
    );
    assert!(
        unserved.iter().all(|l| l.starts_with("unserved visit=")),
        "{told}"
    );
    assert!(
        summary.contains(&format!(" unserved={} ", unserved.len())),
        "{told}"
    );
}
