//! Running the command and the referee.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use planner::money::Total;
use planner::plan::Plan;
use planner::problem::Checked;

/// The folder with the contract's material, if it is there.
pub fn shared(part: &str) -> Option<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../shared")
        .join(part);
    if folder.is_dir() {
        return Some(folder);
    }
    crate::support::skip(&format!("{} is missing", folder.display()));
    None
}

/// The days copied into this repository.
pub fn own_days() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/planner/days")
}

/// Runs `roundhand plan`.
pub fn plan(problem: &Path, output: &Path, args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_roundhand"))
        .arg("plan")
        .args([problem, Path::new("-o"), output])
        .args(args)
        .output()
        .expect("the command runs")
}

/// Plans a day with so many steps; the plan breaks no rule by the planner's own judge.
pub fn planned(problem: &Path, output: &Path, seed: u64, iterations: u64) -> Plan {
    let (seed, iterations) = (seed.to_string(), iterations.to_string());
    let ran = plan(
        problem,
        output,
        &["--seed", &seed, "--iterations", &iterations],
    );
    let named = problem.display();
    assert!(
        ran.status.success(),
        "{named}: {}",
        String::from_utf8_lossy(&ran.stderr)
    );
    let text = std::fs::read_to_string(problem).expect("the problem can be read");
    let problem = Checked::from_json(&text).expect("a sound problem");
    let text = std::fs::read_to_string(output).expect("the plan can be read");
    let plan: Plan = serde_json::from_str(&text).expect("a plan");
    assert_eq!(
        planner::judge::violations(&problem, &plan),
        Vec::<String>::new(),
        "{named}"
    );
    plan
}

/// The lower bound, having been asked so often whether to go on.
pub fn bound_after(problem: &Checked, steps: usize) -> Total {
    let mut left = steps;
    planner::lower_bound(problem, &mut || {
        left = left.saturating_sub(1);
        left > 0
    })
}

/// Runs a script of the shared folder; its standard output, and whether it succeeded.
pub fn python<I: AsRef<std::ffi::OsStr>>(
    script: &Path,
    args: impl IntoIterator<Item = I>,
) -> (String, bool) {
    let ran = Command::new("python3")
        .arg(script)
        .args(args)
        .output()
        .expect("python3 runs");
    assert!(
        ran.stderr.is_empty(),
        "{}: {}",
        script.display(),
        String::from_utf8_lossy(&ran.stderr)
    );
    (
        String::from_utf8(ran.stdout).expect("text"),
        ran.status.success(),
    )
}

/// The referee finds nothing wrong with a plan.
pub fn accepts(planning: &Path, problem: &Path, plan: &Path) {
    let (said, ok) = python(&planning.join("referee.py"), [problem, plan]);
    assert!(ok, "{}: {said}", problem.display());
}
