//! `roundhand plan`: a day problem from a file, a day plan to a file.

use std::fs::{self, File};
use std::io::{self, Write as _};
use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::thread;
use std::time::{Duration, Instant};

use planner::plan::Plan;
use planner::problem::Checked;
use planner::{Control, Fault, Options, Proof};
use serde::Serialize;

use super::advise;

/// Exit code where the problem is bad input or cannot be read.
pub(super) const BAD_INPUT: u8 = 2;
/// See [`closing`].
const CLOSING: Duration = Duration::from_millis(40);
const CLOSING_A_VISIT: Duration = Duration::from_micros(250);
/// Steps of the bound where the search counts steps as well: enough to lift it on a small day.
const BOUND_STEPS: u64 = 200;

/// Plan one site's day from a file.
///
/// The problem is a `day-problem/1` file; each of its faults is named on standard error as
/// `fault /json/pointer: text`, and the command then exits with 2.
#[derive(Debug, clap::Args)]
pub struct PlanArgs {
    /// The day problem.
    problem: PathBuf,
    /// Where the day plan goes.
    #[arg(short, long)]
    output: PathBuf,
    /// Wall time of the whole command; 10, if no iterations are given.
    #[arg(long, value_parser = seconds)]
    seconds: Option<Duration>,
    /// Chooses among the searches; with iterations given, the same seed gives the same plan.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Steps of the search.
    #[arg(long)]
    iterations: Option<u64>,
    /// Say after the summary what would help: a line for each scarce thing and for each visit left out.
    #[arg(long)]
    advise: bool,
    /// Wall time for that, beside the command's other time.
    #[arg(long, value_parser = seconds, default_value = "10")]
    advise_seconds: Duration,
    /// Threads to search with, all that the machine has if not given; with iterations given, the plan is the
    /// same on any number.
    #[arg(long)]
    threads: Option<NonZeroUsize>,
    /// Of the wall time, so much at most for the lower bound, before the search; if not given, a part that
    /// depends on the size of the day. It ends sooner where the bound is as high as it gets.
    #[arg(long, value_parser = seconds, conflicts_with = "iterations")]
    bound_seconds: Option<Duration>,
}

pub(super) fn seconds(text: &str) -> Result<Duration, String> {
    let seconds: f64 = text.parse().map_err(|e| format!("{e}"))?;
    Duration::try_from_secs_f64(seconds).map_err(|e| e.to_string())
}

/// Runs the command.
pub fn run(args: &PlanArgs) -> ExitCode {
    let begun = Instant::now();
    let Some(problem) = read(&args.problem, Checked::from_json) else {
        return BAD_INPUT.into();
    };
    let (plan, bound_took) = plan(args, &problem, begun);
    if let Err(e) = write(&args.output, &plan) {
        eprintln!("cannot write {}: {e}", args.output.display());
        return ExitCode::FAILURE;
    }
    let served: usize = plan.rounds.iter().map(|r| r.stops.len()).sum();
    println!(
        "cost={:.2} lower_bound={:.2} served={served} unserved={} ms={} bound_ms={}",
        plan.cost.total.cents(),
        plan.lower_bound.cents(),
        plan.unserved.len(),
        plan.elapsed_ms,
        bound_took.as_millis()
    );
    if args.advise {
        let threads = threads(args.threads);
        advise::print(&problem, &plan, (args.seed, threads), args.advise_seconds);
    }
    ExitCode::SUCCESS
}

/// Reads a file; what is wrong with it is said on standard error.
pub(super) fn read<T>(path: &Path, parse: impl FnOnce(&str) -> Result<T, Vec<Fault>>) -> Option<T> {
    match fs::read_to_string(path).map(|text| parse(&text)) {
        Ok(Ok(it)) => Some(it),
        Ok(Err(faults)) => {
            say(&faults);
            None
        }
        Err(e) => {
            eprintln!("cannot read {}: {e}", path.display());
            None
        }
    }
}

/// Names faults on standard error.
pub(super) fn say(faults: &[Fault]) {
    for fault in faults {
        eprintln!("{fault}");
    }
}

/// The plan, and how much of the time went by from the first report to the search's first step: the first plan's,
/// which is short, and the bound's.
fn plan(args: &PlanArgs, problem: &Checked, begun: Instant) -> (Plan, Duration) {
    let wall = match (args.seconds, args.iterations) {
        (None, Some(_)) => None,
        (seconds, _) => Some(seconds.unwrap_or(Duration::from_secs(10))),
    };
    let visits = problem.problem().visits.len();
    let budget = wall.map(|wall| wall.saturating_sub(closing(visits)));
    let options = Options {
        seed: args.seed,
        iterations: args.iterations,
        threads: threads(args.threads),
        proof: proof(args, visits, wall),
    };
    let mut bound_took = Duration::ZERO;
    let mut first_plan = None;
    let mut plan = planner::plan(problem, &options, &mut |progress| {
        let elapsed = begun.elapsed();
        if progress.iterations == 0 {
            bound_took = elapsed.saturating_sub(*first_plan.get_or_insert(elapsed));
        }
        match budget {
            Some(budget) if elapsed >= budget => Control::Stop,
            Some(budget) => Control::Continue {
                spent: elapsed.as_secs_f64() / budget.as_secs_f64(),
            },
            None => Control::Continue { spent: 0.0 },
        }
    });
    plan.elapsed_ms = u64::try_from(begun.elapsed().as_millis()).unwrap_or(u64::MAX);
    (plan, bound_took)
}

/// Kept back from the wall time for finishing and writing a plan of so many visits.
pub(super) fn closing(visits: usize) -> Duration {
    CLOSING + CLOSING_A_VISIT.saturating_mul(u32::try_from(visits).unwrap_or(u32::MAX))
}

fn threads(asked: Option<NonZeroUsize>) -> usize {
    let all = || thread::available_parallelism().ok();
    asked.or_else(all).map_or(1, usize::from)
}

fn proof(args: &PlanArgs, visits: usize, wall: Option<Duration>) -> Proof {
    match (wall, args.bound_seconds) {
        (Some(wall), Some(bound)) => Proof::Share(bound.as_secs_f64() / wall.as_secs_f64()),
        (Some(wall), None) => Proof::usual(visits, wall.as_secs_f64()),
        (None, _) => Proof::Steps(BOUND_STEPS),
    }
}

/// Writes a plan, or the like, beside its place and then moves it there, so that nobody reads half of it.
pub(super) fn write(path: &Path, plan: &impl Serialize) -> io::Result<()> {
    let name = path
        .file_name()
        .ok_or_else(|| io::Error::other("no file name"))?;
    let beside = path.with_file_name(format!(
        ".{}.{}",
        name.to_string_lossy(),
        std::process::id()
    ));
    let written = write_whole(&beside, plan).and_then(|()| fs::rename(&beside, path));
    if written.is_err() {
        // Best effort: what counts is why the plan could not be written.
        let _ = fs::remove_file(&beside);
    }
    written
}

fn write_whole(path: &Path, plan: &impl Serialize) -> io::Result<()> {
    let mut file = File::create(path)?;
    serde_json::to_writer_pretty(&mut file, plan)?;
    file.write_all(b"\n")?;
    file.sync_all()
}
