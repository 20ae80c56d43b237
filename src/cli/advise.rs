//! What would help, in lines for people and programs.

use std::borrow::Cow;
use std::time::{Duration, Instant};

use planner::advice::{Limits, advise};
use planner::plan::Plan;
use planner::problem::Checked;

/// Prints `advice kind=tool class=roller plus=1 saves=1234.50 brings=c05-roll,c07-roll` for each thing that would
/// help, the most saving first, and `unserved visit=c09-roll reason=no_time_left binds=tool:roller+1` for each
/// visit left out. `plus` is in the thing's unit: tools, kit places, hands, percent of water, seconds of a window, a
/// shift or overtime, grams of load, cents of skip cost; 1 for a skill, a pin or a visit waited for. Where the time
/// is not enough, a last line says how many things are untried.
pub(super) fn print(problem: &Checked, plan: &Plan, (seed, threads): (u64, usize), time: Duration) {
    let begun = Instant::now();
    let limits = Limits {
        seed,
        threads,
        ..Limits::default()
    };
    let advice = advise(problem, plan, &limits, &|| begun.elapsed() < time);
    for help in &advice.helps {
        let more = &help.more;
        let of = more.thing.of().map_or(String::new(), |(field, name)| {
            format!(" {field}={}", word(name))
        });
        println!(
            "advice kind={}{of} plus={} saves={:.2} brings={}",
            more.thing.kind(),
            more.plus,
            help.saves.cents(),
            words(help.brings.iter().cloned())
        );
    }
    for missing in &advice.unserved {
        println!(
            "unserved visit={} reason={} binds={}",
            word(&missing.visit),
            missing.reason.name(),
            words(missing.binds.iter().map(ToString::to_string))
        );
    }
    if advice.untried > 0 {
        println!("untried={}", advice.untried);
    }
}

/// A name as it is, or, where a line could be misread, as a JSON text.
pub(super) fn word(name: &str) -> Cow<'_, str> {
    let plain = |c: char| c.is_alphanumeric() || "-_.:+/".contains(c);
    if name.chars().all(plain) {
        Cow::Borrowed(name)
    } else {
        Cow::Owned(serde_json::Value::from(name).to_string())
    }
}

fn words(names: impl Iterator<Item = String>) -> String {
    names
        .map(|n| word(&n).into_owned())
        .collect::<Vec<_>>()
        .join(",")
}
