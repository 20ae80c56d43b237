//! `roundhand replan`: the rest of a day from its problem, its plan and what changed.

use std::path::PathBuf;
use std::process::ExitCode;
use std::time::{Duration, Instant};

use planner::plan::Plan;
use planner::problem::Checked;
use planner::rest::{Became, News, Record, Rest, changes_from_json, moves, plan_from_json, replan};
use planner::{Control, Fault, Options};

use super::advise::word;
use super::plan::{BAD_INPUT, closing, read, say, seconds, write};

/// Plan the rest of a day.
///
/// What the plan says up to the moment has happened, but where the record says otherwise (`day-record/1`). The
/// changes are a `day-changes/1` file. Faults are named on standard error as `fault /json/pointer: text`, those of
/// the plan and the record with `/plan` and `/record` in front, those of the changes by their place in that file; the
/// command then exits with 2. After the summary a line says of each visit whose crew or time changes what
/// becomes of it, and a note what could not be kept.
#[derive(Debug, clap::Args)]
pub struct ReplanArgs {
    /// The day problem.
    problem: PathBuf,
    /// The day plan.
    plan: PathBuf,
    /// The moment, seconds since the date's first instant.
    #[arg(long)]
    at: i64,
    /// What has happened.
    #[arg(long)]
    record: Option<PathBuf>,
    /// What changed.
    #[arg(long)]
    changes: Option<PathBuf>,
    /// Where the plan of the rest goes.
    #[arg(short, long)]
    output: PathBuf,
    /// Where the rest as a day problem goes.
    #[arg(long)]
    rest: Option<PathBuf>,
    /// Cents for giving a visit to another crew than the plan does.
    #[arg(long, default_value_t = 200)]
    change_cost: i64,
    /// Wall time of the whole command; 0.3, if no iterations are given.
    #[arg(long, value_parser = seconds)]
    seconds: Option<Duration>,
    /// Chooses among the searches.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Steps of the search.
    #[arg(long)]
    iterations: Option<u64>,
}

/// Runs the command.
pub fn run(args: &ReplanArgs) -> ExitCode {
    let begun = Instant::now();
    let Some((problem, plan, news)) = read_all(args) else {
        return BAD_INPUT.into();
    };
    let (rest, after) = match planned(args, &problem, &plan, &news, begun) {
        Ok(both) => both,
        Err(faults) => {
            say(&faults);
            return BAD_INPUT.into();
        }
    };
    let problem = rest.problem.problem();
    let mut written = args
        .rest
        .iter()
        .try_for_each(|to| write(to, problem).map_err(|e| (to, e)));
    if written.is_ok() {
        written = write(&args.output, &after).map_err(|e| (&args.output, e));
    }
    if let Err((path, e)) = written {
        eprintln!("cannot write {}: {e}", path.display());
        return ExitCode::FAILURE;
    }
    tell(&rest, &after);
    ExitCode::SUCCESS
}

fn read_all(args: &ReplanArgs) -> Option<(Checked, Plan, News)> {
    let problem = read(&args.problem, Checked::from_json)?;
    let plan = read(&args.plan, plan_from_json)?;
    let record = match &args.record {
        Some(path) => read(path, Record::from_json)?,
        None => Record::default(),
    };
    let changes = match &args.changes {
        Some(path) => read(path, changes_from_json)?,
        None => Vec::new(),
    };
    let news = News {
        at: args.at,
        record,
        changes,
        change_cost: args.change_cost,
    };
    Some((problem, plan, news))
}

fn planned(
    args: &ReplanArgs,
    problem: &Checked,
    plan: &Plan,
    news: &News,
    begun: Instant,
) -> Result<(Rest, Plan), Vec<Fault>> {
    let wall = match (args.seconds, args.iterations) {
        (None, Some(_)) => None,
        (seconds, _) => Some(seconds.unwrap_or(Duration::from_millis(300))),
    };
    // Two days are finished: the one begun from the plan, and the one the search comes to.
    let closing = closing(2 * problem.problem().visits.len());
    let budget = wall.map(|wall| wall.saturating_sub(closing));
    let options = Options {
        seed: args.seed,
        iterations: args.iterations,
        ..Options::default()
    };
    let (rest, mut after) = replan(problem, plan, news, &options, &mut |_| match budget {
        None => Control::Continue { spent: 0.0 },
        Some(budget) if begun.elapsed() >= budget => Control::Stop,
        Some(budget) => Control::Continue {
            spent: begun.elapsed().as_secs_f64() / budget.as_secs_f64(),
        },
    })?;
    after.elapsed_ms = u64::try_from(begun.elapsed().as_millis()).unwrap_or(u64::MAX);
    Ok((rest, after))
}

/// The summary, a line for each visit that does not stay as it was, and the notes.
fn tell(rest: &Rest, after: &Plan) {
    let served: usize = after.rounds.iter().map(|r| r.stops.len()).sum();
    let moves = moves(rest, after);
    let count = |of: fn(&Became) -> bool| moves.iter().filter(|m| of(&m.became)).count();
    println!(
        "cost={:.2} lower_bound={:.2} served={served} unserved={} kept={} moved={} dropped={} brought_in={} ms={}",
        after.cost.total.cents(),
        after.lower_bound.cents(),
        after.unserved.len(),
        count(|b| matches!(b, Became::Kept { .. })),
        count(|b| matches!(b, Became::Moved { .. })),
        count(|b| matches!(b, Became::Dropped)),
        count(|b| matches!(b, Became::BroughtIn { .. })),
        after.elapsed_ms
    );
    for one in &moves {
        let visit = word(&one.visit);
        match &one.became {
            Became::Kept { later_s: 0 } => {}
            Became::Kept { later_s } => println!("kept visit={visit} later_s={later_s}"),
            Became::Moved { from, to, later_s } => println!(
                "moved visit={visit} from={} to={} later_s={later_s}",
                word(from),
                word(to)
            ),
            Became::Dropped => println!("dropped visit={visit}"),
            Became::BroughtIn { crew, start_s } => {
                println!(
                    "brought_in visit={visit} crew={} start_s={start_s}",
                    word(crew)
                );
            }
        }
    }
    for note in &rest.notes {
        let about = note.about();
        let about: Vec<String> = about
            .iter()
            .map(|(field, value)| format!("{field}={}", word(value)))
            .collect();
        println!("note kind={} {}", note.kind(), about.join(" "));
    }
}
