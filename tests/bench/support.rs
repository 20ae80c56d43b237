//! What the benches of the planner share: the days of `../shared`, and plans against the clock.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};

use planner::plan::Plan;
use planner::problem::Checked;
use planner::{Control, Options, Proof};

/// A part of the folder beside the checkout; says so where it is missing.
pub fn shared(part: &str) -> Option<PathBuf> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../shared")
        .join(part);
    if path.exists() {
        return Some(path);
    }
    println!("SKIPPED: {} is missing", path.display());
    None
}

/// What a script of the shared folder writes.
pub fn python(script: &Path, args: &[&str]) -> String {
    let ran = Command::new("python3")
        .arg(script)
        .args(args)
        .output()
        .expect("python3 runs");
    assert!(
        ran.status.success(),
        "{}: {}",
        script.display(),
        String::from_utf8_lossy(&ran.stderr)
    );
    String::from_utf8(ran.stdout).expect("the script writes UTF-8")
}

/// A plan made on one thread in so many seconds of wall time, divided between bound and search as the command
/// does it, and the time that it took.
pub fn planned(problem: &Checked, seed: u64, seconds: f64) -> (Plan, Duration) {
    let begun = Instant::now();
    let options = Options {
        seed,
        iterations: None,
        threads: 1,
        proof: Proof::usual(problem.problem().visits.len(), seconds),
    };
    let plan = planner::plan(problem, &options, &mut |_| {
        let spent = begun.elapsed().as_secs_f64() / seconds;
        if spent >= 1.0 {
            Control::Stop
        } else {
            Control::Continue { spent }
        }
    });
    let took = begun.elapsed();
    (sound(problem, plan), took)
}

/// The first plan of a day, and the time from the problem's text to it.
pub fn first_plan(text: &str, seed: u64) -> (Plan, Duration) {
    let begun = Instant::now();
    let problem = checked(text);
    let options = Options {
        seed,
        threads: 1,
        ..Options::default()
    };
    let plan = planner::plan(&problem, &options, &mut |progress| {
        if progress.iterations > 0 {
            Control::Stop
        } else {
            Control::Continue { spent: 0.0 }
        }
    });
    let took = begun.elapsed();
    (sound(&problem, plan), took)
}

/// Reads a day problem.
pub fn checked(text: &str) -> Checked {
    Checked::from_json(text).unwrap_or_else(|faults| panic!("not a sound problem: {faults:?}"))
}

/// The plan, which breaks no rule: a number for an unsound plan is worth nothing.
fn sound(problem: &Checked, plan: Plan) -> Plan {
    let violations = planner::judge::violations(problem, &plan);
    assert!(violations.is_empty(), "an unsound plan: {violations:?}");
    plan
}
