//! How time and memory grow with a day: 60 visits to 2,000.
//!
//! `cargo bench --bench growth -- [VISITS...] [--seconds 10]`. One thread, wall time, and for each size a process of
//! its own, whose peak resident memory is read from Linux's `/proc`. A library that only the tests need makes
//! `serde_json` keep the order of keys, so that a value being read takes 72 bytes here and 32 in the program: of
//! 2,000 visits the peak after reading is 31 MB here, and 27 MB without it.
//!
//! Without it, after a search of 3 s, the peak less the matrix and the program before was 26, 13, 13.5 and 20 KB a
//! visit on the four days; of the last, 10 KB while it is read. What grows faster than the visits is the offers, pairs
//! of a visit and a crew: 40 bytes for each way of each, once for the search and once while the lower bound is found.

mod args;
mod support;

use std::fs;
use std::process::Command;
use std::time::Instant;

use args::Args;
use support::{checked, first_plan, planned, python, shared};

/// Visits and crews. Two courts in five visits give a day that is full enough to be cut to so many.
const SIZES: [(u32, u32); 4] = [(60, 2), (240, 10), (1000, 30), (2000, 60)];
/// Tells the process of one size from the one that starts it.
const CHILD: &str = "GROWTH_OF_THE_DAY";
const LEGEND: &str = "\
read, first: milliseconds from the problem's text to a checked problem, and (again from the text) to the first plan.
whole: seconds from the checked problem to the plan. left: visits left out.
read MB, peak MB: most resident memory after reading, and at the end, with the text and the program.
matrix: the travel times, eight bytes each. a visit: the peak less the matrix and the program before, by the visits; on days of
up to 120 visits the lower bound has a part of time and memory, on larger ones nothing to speak of.";
const HEAD: &str = "\
visits crews places    read   first   first cost left  whole         cost left  read MB  peak MB   matrix   a visit";

fn main() {
    let Some(mut args) = Args::read() else {
        return;
    };
    let seconds: f64 = args.one("--seconds", 10.0);
    if let Ok(day) = std::env::var(CHILD) {
        one(&day, seconds);
        return;
    }
    let words = args.words();
    let Some(make) = shared("planning/make_day.py") else {
        return;
    };
    println!(
        "Wall time on this machine, one thread, one seed; {seconds} s for the search; costs are cents."
    );
    println!("{LEGEND}\n{HEAD}");
    let own = std::env::current_exe().expect("the bench knows where it is");
    let file = std::env::temp_dir().join(format!("growth-{}.json", std::process::id()));
    for (visits, crews) in SIZES {
        if !words.is_empty() && !words.contains(&visits.to_string()) {
            continue;
        }
        let courts = (visits * 2 / 5).to_string();
        let (visits, crews) = (visits.to_string(), crews.to_string());
        let wanted = [
            "--courts", &courts, "--crews", &crews, "--seed", "1", "--visits", &visits,
        ];
        fs::write(&file, python(&make, &wanted)).expect("the day can be written");
        let ran = Command::new(&own)
            .args(["--bench", "--seconds", &seconds.to_string()])
            .env(CHILD, &file)
            .status();
        assert!(
            ran.expect("the bench runs itself").success(),
            "{visits} visits failed"
        );
    }
    fs::remove_file(&file).expect("the day can be removed");
}

/// Plans one day and prints its row.
fn one(day: &str, seconds: f64) {
    let program = peak_kb() * 1024.0;
    let text = fs::read_to_string(day).expect("the day can be read");
    let begun = Instant::now();
    let problem = checked(&text);
    let read = begun.elapsed();
    let read_peak = peak_kb() * 1024.0;
    let (first, first_took) = first_plan(&text, 1);
    let (plan, whole) = planned(&problem, 1, seconds);
    let counted = |n: usize| f64::from(u32::try_from(n).expect("a count of a day"));
    let visits = problem.problem().visits.len();
    let places = problem.problem().travel_s.len();
    let matrix = counted(places) * counted(places) * 8.0;
    let peak = peak_kb() * 1024.0;
    println!(
        "{visits:>6} {:>5} {places:>6} {:>7.1} {:>7.1} {:>12.2} {:>4} {:>6.2} {:>12.2} {:>4} {:>8.1} {:>8.1} {:>5.1} MB {:>6.1} KB",
        problem.problem().crews.len(),
        read.as_secs_f64() * 1000.0,
        first_took.as_secs_f64() * 1000.0,
        first.cost.total.cents(),
        first.unserved.len(),
        whole.as_secs_f64(),
        plan.cost.total.cents(),
        plan.unserved.len(),
        read_peak / 1e6,
        peak / 1e6,
        matrix / 1e6,
        (peak - program - matrix) / counted(visits) / 1e3
    );
}

/// The most memory that was resident, in units of 1,024 bytes.
fn peak_kb() -> f64 {
    let status = fs::read_to_string("/proc/self/status").expect("Linux tells of the process");
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    let size = line.and_then(|line| line.split_whitespace().next()?.parse().ok());
    size.expect("the peak of resident memory")
}
