//! The command itself: exit codes, the summary, the file it leaves.

use std::fs;
use std::path::{Path, PathBuf};

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

/// Files that hold no problem, and how what is said of each begins.
fn no_problems(folder: &Path) -> Vec<(PathBuf, &'static str)> {
    let file = |name: &str, bytes: &[u8]| {
        let path = folder.join(name);
        fs::write(&path, bytes).expect("a file");
        path
    };
    vec![
        (folder.join("missing"), "cannot read "),
        (folder.to_owned(), "cannot read "),
        (file("binary", &[0xff, 0xfe, 0]), "cannot read "),
        (file("empty", b""), "fault : not JSON"),
        (file("cut", b"{"), "fault : not JSON"),
        (file("words", b"Monday: all courts"), "fault : not JSON"),
        (file("list", b"[]"), "fault : must be an object"),
        (file("null", b"null"), "fault : must be an object"),
        (file("other", b"{}"), "fault /format: "),
    ]
}

#[test]
fn what_is_no_problem_is_said_and_an_earlier_plan_left_as_it_was() {
    let (folder, out) = (
        tempfile::tempdir().expect("a folder"),
        tempfile::tempdir().expect("a folder"),
    );
    let to = out.path().join("plan.json");
    fs::write(&to, "earlier").expect("a file");
    for (problem, said) in no_problems(folder.path()) {
        let ran = plan(&problem, &to, &["--iterations", "0"]);
        let told = String::from_utf8(ran.stderr).expect("text");
        assert_eq!(ran.status.code(), Some(2), "{}: {told}", problem.display());
        assert!(told.starts_with(said), "{}: {told}", problem.display());
        assert!(ran.stdout.is_empty());
    }
    assert_eq!(fs::read_to_string(&to).expect("a file"), "earlier");
    assert_eq!(fs::read_dir(out.path()).expect("a folder").count(), 1);
}

#[test]
fn a_plan_that_cannot_be_written_is_said_and_nothing_left_behind() {
    let out = tempfile::tempdir().expect("a folder");
    let problem = own_days().join("tiny-1.json");
    let folder = out.path().join("folder");
    fs::create_dir(&folder).expect("a folder");
    for to in [out.path().join("missing/plan.json"), folder.clone()] {
        let ran = plan(&problem, &to, &["--iterations", "0"]);
        assert_eq!(ran.status.code(), Some(1), "{}", to.display());
        let told = String::from_utf8(ran.stderr).expect("text");
        assert!(
            told.starts_with(&format!("cannot write {}: ", to.display())),
            "{told}"
        );
    }
    assert!(folder.is_dir());
    assert_eq!(fs::read_dir(out.path()).expect("a folder").count(), 1);
}

#[test]
fn switches_that_make_no_sense_are_refused() {
    let out = tempfile::tempdir().expect("a folder");
    let (problem, to) = (own_days().join("tiny-1.json"), out.path().join("plan.json"));
    for arg in [
        "--seconds=-1",
        "--seconds=soon",
        "--seconds=inf",
        "--iterations=-1",
        "--seed=x",
        "--threads=0",
        "--threads=many",
        "--bound-seconds=NaN",
        "--sconds=1",
    ] {
        let ran = plan(&problem, &to, &[arg]);
        let told = String::from_utf8(ran.stderr).expect("text");
        let (switch, _) = arg.split_once('=').expect("a value");
        assert_eq!(ran.status.code(), Some(2), "{arg}: {told}");
        assert!(told.contains(switch), "{arg}: {told}");
        assert!(!to.exists());
    }
}
