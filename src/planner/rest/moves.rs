//! What a new plan of the rest changes for people who know the old one.

use std::collections::HashMap;

use super::Rest;
use crate::plan::Plan;

/// What becomes of a visit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Move {
    /// Its id.
    pub visit: String,
    /// What becomes of it.
    pub became: Became,
}

/// What becomes of a visit. Seconds later are below 0 where it is earlier.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Became {
    /// The same crew does it.
    Kept {
        /// Seconds later.
        later_s: i64,
    },
    /// Another crew does it.
    Moved {
        /// The crew so far.
        from: String,
        /// The crew now.
        to: String,
        /// Seconds later.
        later_s: i64,
    },
    /// It was planned and is left out now.
    Dropped,
    /// It was not planned and is now.
    BroughtIn {
        /// The crew.
        crew: String,
        /// When it starts.
        start_s: i64,
    },
}

/// Crew and start of every stop.
fn stops(plan: &Plan) -> HashMap<&str, (&str, i64)> {
    let all = plan.rounds.iter().flat_map(|r| {
        let at = |s: &crate::plan::Stop| s.start_s;
        r.stops
            .iter()
            .map(move |s| (s.visit.as_str(), (r.crew.as_str(), at(s))))
    });
    all.collect()
}

/// What becomes of every visit of the rest by a plan of it, in the problem's order; what is left out before
/// and after is not listed.
pub fn moves(rest: &Rest, plan: &Plan) -> Vec<Move> {
    let (before, after) = (stops(&rest.present), stops(plan));
    let visits = rest.problem.problem().visits.iter();
    visits
        .filter_map(|v| {
            let id = v.id.as_str();
            let became = match (before.get(id), after.get(id)) {
                (None, None) => return None,
                (Some(_), None) => Became::Dropped,
                (None, Some(&(crew, start_s))) => Became::BroughtIn {
                    crew: crew.to_owned(),
                    start_s,
                },
                (Some(&(from, was)), Some(&(to, is))) if from == to => {
                    Became::Kept { later_s: is - was }
                }
                (Some(&(from, was)), Some(&(to, is))) => Became::Moved {
                    from: from.to_owned(),
                    to: to.to_owned(),
                    later_s: is - was,
                },
            };
            let visit = id.to_owned();
            Some(Move { visit, became })
        })
        .collect()
}
