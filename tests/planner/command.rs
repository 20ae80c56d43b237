//! The command itself: exit codes, the summary, the file it leaves.

use std::fs;

use super::referee::{own_days, plan};

#[test]
fn one_line_tells_what_was_planned() {
    let out = tempfile::tempdir().expect("a folder");
    let to = out.path().join("plan.json");
    let ran = plan(
        &own_days().join("tiny-1.json"),
        &to,
        &["--iterations", "500"],
    );
    assert_eq!(ran.status.code(), Some(0));
    let said = String::from_utf8(ran.stdout).expect("text");
    assert!(said.starts_with("cost=10118.67 lower_bound="), "{said}");
    assert!(said.contains(" served=7 unserved=0 ms="), "{said}");
    assert_eq!(said.lines().count(), 1);
    let names: Vec<_> = fs::read_dir(out.path())
        .expect("a folder")
        .map(|e| e.expect("an entry").file_name())
        .collect();
    assert_eq!(names, ["plan.json"], "nothing else is left behind");
}

#[test]
fn the_same_seed_and_steps_give_the_same_file_on_any_number_of_threads_but_for_the_time_spent() {
    let out = tempfile::tempdir().expect("a folder");
    let read = |name: &str, steps: &str, threads: &str| {
        let to = out.path().join(name);
        assert!(
            plan(
                &own_days().join("small-1.json"),
                &to,
                &["--seed", "7", "--iterations", steps, "--threads", threads]
            )
            .status
            .success()
        );
        let text = fs::read_to_string(to).expect("a plan");
        let mut plan: serde_json::Value = serde_json::from_str(&text).expect("a plan");
        plan["elapsed_ms"] = 0.into();
        plan
    };
    // Few steps make one leg, many make several that threads share.
    for steps in ["200", "7000"] {
        let alone = read("alone", steps, "1");
        assert_eq!(alone, read("again", steps, "1"));
        for threads in ["2", "3", "8"] {
            assert_eq!(alone, read("together", steps, threads), "{threads} threads");
        }
    }
}

#[test]
fn what_cannot_be_read_or_written_is_said() {
    let out = tempfile::tempdir().expect("a folder");
    let nowhere = out.path().join("missing/plan.json");
    let ran = plan(&nowhere, &out.path().join("plan"), &[]);
    assert_eq!(ran.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&ran.stderr).starts_with("cannot read "));
    let ran = plan(
        &own_days().join("tiny-1.json"),
        &nowhere,
        &["--iterations", "0"],
    );
    assert_eq!(ran.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&ran.stderr).starts_with("cannot write "));
}

#[test]
fn a_bad_problem_leaves_an_earlier_plan_as_it_was() {
    let out = tempfile::tempdir().expect("a folder");
    let (bad, to) = (out.path().join("bad.json"), out.path().join("plan.json"));
    fs::write(&bad, "{").expect("a file");
    fs::write(&to, "earlier").expect("a file");
    let ran = plan(&bad, &to, &[]);
    assert_eq!(ran.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&ran.stderr).starts_with("fault : not JSON"));
    assert_eq!(fs::read_to_string(to).expect("a file"), "earlier");
}
