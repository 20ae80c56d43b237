//! Faults of a problem whose form is sound: given kits that hold too much, pins that cannot be kept.

use crate::fault::Fault;
use crate::problem::{Problem, Span};
use crate::reasons::Lookup;
use crate::spans;

/// The given kits first; pins only where these are sound.
pub(crate) fn faults(problem: &Problem) -> Vec<Fault> {
    let kits = given_kits(problem);
    if kits.is_empty() { pins(problem) } else { kits }
}

/// Given kits that alone hold a class more often than there are tools of it.
fn given_kits(problem: &Problem) -> Vec<Fault> {
    let mut out = Vec::new();
    for tool in &problem.tools {
        let held: Vec<(usize, usize)> = problem
            .crews
            .iter()
            .enumerate()
            .filter_map(|(i, c)| Some((i, c.kit.as_ref()?.iter().position(|k| *k == tool.class)?)))
            .collect();
        let hours: Vec<Span> = held
            .iter()
            .map(|(i, _)| problem.crews[*i].kit_span())
            .collect();
        if i64::try_from(spans::most_at_once(&hours)).unwrap_or(i64::MAX) > tool.count {
            out.extend(held.iter().map(|(i, k)| Fault {
                pointer: format!("/crews/{i}/kit/{k}"),
                text: format!(
                    "the given kits hold {} more often than there are",
                    tool.class
                ),
            }));
        }
    }
    out
}

/// Pins that their crew could not keep even with nothing else to do.
fn pins(problem: &Problem) -> Vec<Fault> {
    let lookup = Lookup::new(problem);
    let mut out = Vec::new();
    for (i, visit) in problem.visits.iter().enumerate() {
        let Some(pin) = &visit.pinned else { continue };
        let Some(crew) = problem.crews.iter().find(|c| c.id == pin.crew) else {
            continue;
        };
        let why = if visit.load_g > crew.load_limit_g {
            Some("the load is over the crew's limit".to_owned())
        } else {
            lookup
                .first(visit, std::slice::from_ref(crew), pin.start_s)
                .map(|r| r.name().to_owned())
        };
        if let Some(why) = why {
            out.push(Fault {
                pointer: format!("/visits/{i}/pinned"),
                text: format!("contradictory pin: {why}"),
            });
        }
    }
    out
}
