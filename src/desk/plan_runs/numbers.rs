//! Which numbered tools a round takes along.

use std::collections::HashMap;

use planner::plan::Plan;

use crate::desk::day_build::Built;

/// The tool a crew takes of a class: by the crew's name in the day problem, then the class's code.
pub type Taken = HashMap<(String, String), i64>;

/// Gives each round its numbered tools: of each class the first by number that no crew holds whose
/// shift overlaps. The plan holds no class more often than there are tools, so there is one.
pub fn numbers(built: &Built, plan: &Plan) -> Taken {
    let mut rounds: Vec<_> = plan
        .rounds
        .iter()
        .filter_map(|round| {
            let on = built.crews.iter().find(|on| on.crew.id == round.crew)?;
            Some((on.crew.shift, on.crew_id, round))
        })
        .collect();
    // In order of their start, the first free tool always leaves one for the next.
    rounds.sort_by_key(|(shift, crew, _)| (*shift, *crew));
    let mut free_from: HashMap<i64, i64> = HashMap::new();
    let mut taken = Taken::new();
    for (shift, _, round) in rounds {
        for class in &round.kit {
            let tool = of_class(built, class).find(|tool| {
                let free = free_from.get(tool).copied().unwrap_or(i64::MIN);
                free <= shift[0]
            });
            if let Some(tool) = tool {
                free_from.insert(tool, shift[1]);
                taken.insert((round.crew.clone(), class.clone()), tool);
            }
        }
    }
    taken
}

/// The tools of a class in service, by number.
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
