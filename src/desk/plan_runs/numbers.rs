//! Which numbered tools a round takes along.

use std::collections::HashMap;

use chrono::TimeDelta;
use planner::plan::{Plan, Round};

use crate::desk::Result;
use crate::desk::day_build::Built;
use crate::desk::wear::shares_of;
use crate::store::tools::tool_uses_since;
use crate::store::{Conn, Scope};

/// How far back the use of tools is counted: long enough to level the wear of a season's brushes.
const COUNTED: TimeDelta = TimeDelta::days(90);

/// The tool a crew takes of a class: by the crew's name in the day problem, then the class's code.
pub type Taken = HashMap<(String, String), i64>;

/// How often each tool was used of late, and how much of its class's use it is to take.
#[derive(Default)]
pub struct Uses {
    used: HashMap<i64, i64>,
    /// 1,000 is as much as any of its class, which one has that is not named.
    shares: HashMap<i64, i64>,
}

impl Uses {
    /// How far the use of a tool has come for its share: the least is to go out first. One whose share is nothing, as it
    /// is about to give out, goes last.
    fn rank(&self, tool: i64) -> i64 {
        let used = self.used.get(&tool).copied().unwrap_or(0);
        match self.shares.get(&tool) {
            Some(0) => i64::MAX,
            Some(share) => used.saturating_mul(1_000) / share,
            None => used,
        }
    }
}

/// How often each of the site's tools was used before a day, and how its class's use is to be shared.
pub fn uses(conn: &mut Conn, scope: &Scope, built: &Built) -> Result<Uses> {
    let from = built.inputs.date - COUNTED;
    let used = tool_uses_since(conn, scope, from)?;
    Ok(Uses {
        used: used
            .into_iter()
            .map(|(tool, uses)| (tool, uses.unwrap_or(0)))
            .collect(),
        shares: shares_of(conn, scope, built.inputs.date)?,
    })
}

/// Gives each round its numbered tools: of each class the one least used for its share, of equals the first by
/// number, that no crew holds whose shift overlaps. The plan holds no class more often than there
/// are tools, so there is one. What a round of the day will use counts for the next.
pub fn numbers(built: &Built, plan: &Plan, uses: Uses) -> Taken {
    numbers_held(built, plan, uses, &Taken::new())
}

/// The same where crews are out already: each keeps the tool it holds, while it is in service.
pub fn numbers_held(built: &Built, plan: &Plan, mut uses: Uses, held: &Taken) -> Taken {
    let mut rounds: Vec<_> = plan
        .rounds
        .iter()
        .filter_map(|round| {
            let on = built.crews.iter().find(|on| on.crew.id == round.crew)?;
            Some((on.crew.shift, on.crew_id, round))
        })
        .collect();
    // In order of their start, whichever free tool is taken leaves one for the next.
    rounds.sort_by_key(|(shift, crew, _)| (*shift, *crew));
    let mut free_from: HashMap<i64, i64> = HashMap::new();
    let mut taken = Taken::new();
    for (shift, _, round) in rounds {
        for class in &round.kit {
            let key = (round.crew.clone(), class.clone());
            let own = held.get(&key);
            let free = of_class(built, class).filter(|tool| {
                let free = free_from.get(tool).copied().unwrap_or(i64::MIN);
                free <= shift[0]
            });
            let in_other_hands = |tool: &i64| held.iter().any(|(of, id)| id == tool && *of != key);
            // The first of the least used: they come by number.
            let tool =
                free.min_by_key(|tool| (Some(tool) != own, in_other_hands(tool), uses.rank(*tool)));
            if let Some(tool) = tool {
                free_from.insert(tool, shift[1]);
                *uses.used.entry(tool).or_default() += uses_of(built, round, class);
                taken.insert(key, tool);
            }
        }
    }
    taken
}

/// On how many stops of a round a class is used.
fn uses_of(built: &Built, round: &Round, class: &String) -> i64 {
    let used = round.stops.iter().filter(|stop| {
        let visits = &built.problem.visits;
        let visit = visits.iter().find(|visit| visit.id == stop.visit);
        let way = visit.and_then(|visit| visit.ways.get(stop.way));
        way.is_some_and(|way| way.tools.contains(class))
    });
    i64::try_from(used.count()).unwrap_or(i64::MAX)
}

/// The tools of a class that may go out that day, by number.
fn of_class<'a>(built: &'a Built, code: &str) -> impl Iterator<Item = i64> + use<'a> {
    let class = built.inputs.classes.iter().find(|class| class.code == code);
    let class = class.map(|class| class.id);
    built
        .inputs
        .tools
        .iter()
        .filter(move |tool| Some(tool.tool_class_id) == class)
        .map(|tool| tool.id)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_tool_that_is_furthest_behind_its_share_goes_out_first_and_one_that_gives_out_last() {
        let uses = Uses {
            used: HashMap::from([(1, 30), (2, 24), (3, 2)]),
            shares: HashMap::from([(1, 1_500), (2, 1_000), (3, 0)]),
        };
        let mut tools = [3, 2, 1];
        tools.sort_by_key(|tool| uses.rank(*tool));
        assert_eq!(tools, [1, 2, 3], "30 of 1.5 is less than 24 of 1");
        assert_eq!(uses.rank(4), 0, "a class with one tool has no shares");
    }
}
