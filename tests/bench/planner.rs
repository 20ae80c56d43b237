//! What plans of the public days and of the open routing instances cost after so many seconds.
//!
//! `cargo bench --bench planner -- [NAME...] [--seconds 1,2,10] [--seeds 3] [--bound-seconds 30]`. One thread,
//! wall time, medians over the seeds. Costs of days are cents. Those of the routing instances are in the
//! published convention (total distance, truncated to one decimal, fleet free): a tenth of `cost.travel` where
//! all are served; their references are the published values.

mod args;
mod support;

use std::fs;
use std::path::Path;
use std::time::Instant;

use args::Args;
use planner::plan::Plan;
use planner::problem::Checked;
use support::{checked, first_plan, planned, python, shared};

/// How the published value is computed; values of the other convention of the file cannot be compared.
const CONVENTION: &str = "total distance; distances and times truncated to one decimal; fleet free";
/// Target times in seconds, by the beginning of a day's name; those of the routing instances are the last.
const TARGETS: [(&str, f64); 5] = [
    ("tiny", 0.5),
    ("small", 2.0),
    ("medium", 2.0),
    ("large", 5.0),
    ("", 10.0),
];

fn main() {
    let Some(mut args) = Args::read() else {
        return;
    };
    let seconds = args.list("--seconds", vec![1.0, 2.0, 10.0]);
    let seeds: u64 = args.one("--seeds", 3);
    let bound_seconds = args.one("--bound-seconds", 30.0);
    assert!(seeds > 0, "--seeds is at least 1");
    let bench = Bench {
        seconds,
        seeds,
        bound_seconds,
    };
    let names = args.words();
    println!("Wall time on this machine, one thread, medians over {seeds} seeds.");
    println!(
        "first: milliseconds from the problem's text to the first plan. +%: above the reference."
    );
    println!("target: the cost after the time that a day of this size is to be planned in.");
    println!(
        "bound: no plan is cheaper; seconds spent on it; -%: below the own cost at the longest time."
    );
    bench.head();
    for case in days().into_iter().chain(instances()) {
        if names.is_empty() || names.iter().any(|name| case.name.contains(name)) {
            bench.row(&case);
        }
    }
}

/// A day with something to hold its plans against.
struct Case {
    name: String,
    text: String,
    reference: f64,
    /// Values are in the published convention of the routing instances.
    routing: bool,
}

/// The public days.
fn days() -> Vec<Case> {
    let Some(folder) = shared("planning/days") else {
        return Vec::new();
    };
    let cases = lines(&folder.join("reference.csv")).into_iter().skip(1);
    cases
        .map(|row| {
            // name, visits, crews, best_cost, and who found it
            let columns: Vec<&str> = row.split(',').collect();
            Case {
                name: columns[0].to_owned(),
                text: fs::read_to_string(folder.join(format!("{}.json", columns[0])))
                    .expect("the day can be read"),
                reference: columns[3].parse().expect("a cost"),
                routing: false,
            }
        })
        .collect()
}

/// The open routing instances as days.
fn instances() -> Vec<Case> {
    let (Some(folder), Some(convert)) = (shared("vrptw"), shared("planning/vrptw_to_day.py"))
    else {
        return Vec::new();
    };
    let rows = lines(&folder.join("best_known.csv")).into_iter();
    rows.filter(|row| row.contains(CONVENTION))
        .map(|row| {
            // name, customers, convention, vehicles, value, and where it was published
            let columns: Vec<&str> = row.split(',').collect();
            let file = folder.join(format!("{}.txt", columns[0]));
            Case {
                name: columns[0].to_owned(),
                text: python(&convert, &[&file.to_string_lossy()]),
                reference: columns[4].parse().expect("a value"),
                routing: true,
            }
        })
        .collect()
}

fn lines(file: &Path) -> Vec<String> {
    let text = fs::read_to_string(file).expect("the references can be read");
    text.lines().map(ToOwned::to_owned).collect()
}

struct Bench {
    seconds: Vec<f64>,
    seeds: u64,
    bound_seconds: f64,
}

impl Bench {
    fn head(&self) {
        print!(
            "{:<9} {:>6} {:>6} {:>10}",
            "name", "visits", "first", "reference"
        );
        for seconds in &self.seconds {
            print!(" {:>18}", format!("{seconds} s"));
        }
        println!(" {:>24} {:>27}", "target", "bound");
    }

    fn row(&self, case: &Case) {
        let problem = checked(&case.text);
        let first = (1..=self.seeds.max(3)).map(|seed| first_plan(&case.text, seed).1);
        let first = median(first.map(|took| took.as_secs_f64() * 1000.0).collect());
        print!(
            "{:<9} {:>6} {first:>6.1} {:>10.2}",
            case.name,
            problem.problem().visits.len(),
            case.reference
        );
        let mut costs = Vec::new();
        for &seconds in &self.seconds {
            let cost = self.cost(case, &problem, seconds);
            print!(" {cost:>10.2} {:>+6.2}%", over(cost, case.reference));
            costs.push((seconds, cost));
        }
        let target = target(&case.name);
        let known = costs
            .iter()
            .find(|(seconds, _)| seconds.to_bits() == target.to_bits());
        let at_target = known.map_or_else(|| self.cost(case, &problem, target), |known| known.1);
        let gap = over(at_target, case.reference);
        print!(
            " {:>5} {at_target:>10.2} {gap:>+6.2}%",
            format!("{target}s")
        );
        let (bound, took) = self.bound(case, &problem);
        costs.push((target, at_target));
        costs.sort_by(|a, b| a.0.total_cmp(&b.0));
        let own = costs[costs.len() - 1].1;
        println!(
            " {:>6} {bound:>10.2} {:>7.2}%",
            format!("{took:.1}s"),
            over(bound, own)
        );
    }

    /// The median cost after so many seconds.
    fn cost(&self, case: &Case, problem: &Checked, seconds: f64) -> f64 {
        let seeds = 1..=self.seeds;
        let costs = seeds.map(|seed| case.value(problem, &planned(problem, seed, seconds).0));
        median(costs.collect())
    }

    /// The lower bound, and the seconds until it was as high as it gets or the time was up.
    fn bound(&self, case: &Case, problem: &Checked) -> (f64, f64) {
        let begun = Instant::now();
        let bound = planner::lower_bound(problem, &mut || {
            begun.elapsed().as_secs_f64() < self.bound_seconds
        });
        let took = begun.elapsed().as_secs_f64();
        (case.published(problem, bound.cents()), took)
    }
}

impl Case {
    /// What a plan is held against the reference by.
    fn value(&self, problem: &Checked, plan: &Plan) -> f64 {
        self.published(problem, plan.cost.total.cents())
    }

    /// A total in the convention of the reference. A skipped customer is worth more than any detour, and so
    /// keeps a value far above the published one.
    fn published(&self, problem: &Checked, total: f64) -> f64 {
        if !self.routing {
            return total;
        }
        let visits = problem.problem().visits.iter();
        let services: i64 = visits.map(|v| v.ways[0].service_s[0]).sum();
        // A second of work costs a cent, and a unit of distance is ten seconds.
        (total - f64::from(i32::try_from(services).expect("a day's seconds"))) / 10.0
    }
}

fn target(name: &str) -> f64 {
    let found = TARGETS.iter().find(|(start, _)| name.starts_with(start));
    found.map_or(10.0, |found| found.1)
}

/// Per cent above the other.
fn over(value: f64, other: f64) -> f64 {
    (value / other - 1.0) * 100.0
}

/// The middle one, of an even number the upper one of the two.
fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}
