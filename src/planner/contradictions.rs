//! Faults of a problem whose form is sound: costs that cannot be added up, given kits that hold too much, pins
//! that cannot be kept.

use crate::fault::Fault;
use crate::money::{CENT, PER_HOUR};
use crate::problem::{Problem, Span};
use crate::reasons::Lookup;
use crate::spans;

/// Where the fault of the sums is.
pub(crate) const SUMS: &str = "/visits";
/// What a plan may cost, so that every sum the planner forms is inside 64 bits.
const MOST_UNITS: i128 = i64::MAX as i128 / 8;

/// The sums first, then the given kits; pins only where these are sound.
pub(crate) fn faults(problem: &Problem) -> Vec<Fault> {
    if dearest(problem) > MOST_UNITS {
        return vec![Fault {
            pointer: SUMS.to_owned(),
            text: "all costs of the day together come to over 30 billion dollars: give lower ones"
                .to_owned(),
        }];
    }
    let kits = given_kits(problem);
    if kits.is_empty() { pins(problem) } else { kits }
}

/// More units than any plan of the problem costs.
fn dearest(problem: &Problem) -> i128 {
    let wide = i128::from;
    let (cent, per_hour) = (wide(CENT), wide(PER_HOUR));
    let until = problem.crews.iter().map(|c| c.overtime_until).max();
    let until = wide(until.unwrap_or(0));
    let visits = problem.visits.iter().map(|v| {
        let extra = v.ways.iter().map(|way| way.extra_cost).max();
        let change = v.prefer.as_ref().map_or(0, |p| p.change_cost);
        let cents = wide(v.skip_cost) + wide(extra.unwrap_or(0)) + wide(change);
        cents * cent + wide(v.late_cost_per_h) * per_hour * until
    });
    let crews = problem.crews.iter().map(|c| {
        let day = wide(c.overtime_until) - wide(c.shift[0]);
        let over = wide(c.over_load_cost_per_h.unwrap_or(0));
        let premium = wide(c.cost_per_h) * (wide(c.overtime_pct) - 100) / 100;
        (wide(c.cost_per_h) + over + premium) * per_hour * day
    });
    visits.chain(crews).sum()
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
