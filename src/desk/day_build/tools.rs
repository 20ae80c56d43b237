//! Which class of tool a piece of work takes.

use planner::problem::ToolClass;
use trade::grooming::{Condition, Fit, GroomingNeed, Strength, ToolAction, ToolKind, choose};
use trade::units::Millimetres;

use super::inputs::Inputs;
use crate::store::tools::{BrushAtLimit, ToolClassRow, ToolRow};

/// How many classes of grooming tool the planner may choose among for one court.
const CHOICES: usize = 3;

/// Lays aside the tools that groom with a brush at its limit: it no longer levels. A sweeper's brush
/// at its limit still clears lines until another is fitted.
pub fn worn_aside(tools: &mut Vec<ToolRow>, classes: &[ToolClassRow], worn: &[BrushAtLimit]) {
    tools.retain(|tool| {
        let class = classes.iter().find(|class| class.id == tool.tool_class_id);
        let grooms = class.is_some_and(|class| {
            use ToolAction::{Levels, Loosens, Smooths};
            matches!(class.action.0, Smooths | Levels | Loosens)
        });
        !grooms || worn.iter().all(|brush| brush.tool_id != tool.id)
    });
}

/// How many tools of each class there are.
pub fn counts(inputs: &Inputs) -> Vec<ToolClass> {
    let classes = inputs.classes.iter();
    classes
        .map(|class| ToolClass {
            class: class.code.clone(),
            count: i64::try_from(inputs.in_service(class.id)).unwrap_or(i64::MAX),
        })
        .collect()
}

/// The classes a court in this condition may be groomed with, the best first, each with what its
/// choice is taken to cost, cents. Where none that is in service will do, those that would; none
/// at all where the court is not to be groomed or the site has no such class.
pub fn grooming<'a>(inputs: &'a Inputs, condition: Condition) -> Vec<(&'a ToolClassRow, i64)> {
    let Some(need) = GroomingNeed::of(condition) else {
        return Vec::new();
    };
    let chosen_of = |classes: &[&'a ToolClassRow]| -> Vec<(&'a ToolClassRow, i64)> {
        let kinds: Vec<ToolKind> = classes.iter().map(|class| kind(class)).collect();
        let candidates = choose(need, &kinds);
        let mut softest = None;
        candidates
            .iter()
            .take(CHOICES)
            .filter_map(|candidate| {
                let class = classes.iter().find(|c| c.id == candidate.tool.id)?;
                let cents = match candidate.fit {
                    Fit::SofterThanNeeded => inputs.standards.softer_tool_cents,
                    Fit::OnlySmooths => inputs.standards.only_smoothed_cents,
                    Fit::DoesTheWork => {
                        let strength = candidate.tool.strength;
                        let from = *softest.get_or_insert(strength);
                        steps_between(from, strength) * inputs.standards.harder_tool_cents
                    }
                };
                Some((*class, cents))
            })
            .collect()
    };
    let all: Vec<&ToolClassRow> = inputs.classes.iter().collect();
    let at_hand: Vec<&ToolClassRow> = all
        .iter()
        .copied()
        .filter(|class| inputs.in_service(class.id) > 0)
        .collect();
    let chosen = chosen_of(&at_hand);
    if chosen.is_empty() {
        chosen_of(&all)
    } else {
        chosen
    }
}

fn kind(class: &ToolClassRow) -> ToolKind {
    ToolKind {
        id: class.id,
        action: class.action.0,
        strength: strength(class),
        width: Millimetres(class.width_mm.unwrap_or(0)),
    }
}

fn strength(class: &ToolClassRow) -> Strength {
    class.strength.map_or(Strength::Medium, |word| word.0)
}

fn steps_between(soft: Strength, hard: Strength) -> i64 {
    let rank = |strength: Strength| Strength::ALL.iter().position(|s| *s == strength);
    let steps = rank(hard)
        .unwrap_or(0)
        .saturating_sub(rank(soft).unwrap_or(0));
    i64::try_from(steps).unwrap_or(0)
}

/// The class that does what a care task's tool has to do: one in service before others, then the
/// softest, then the widest. The task names an action (`clears_lines`) or a class by its code.
pub fn of_task<'a>(inputs: &'a Inputs, wanted: &str) -> Option<&'a ToolClassRow> {
    inputs
        .classes
        .iter()
        .filter(|class| class.code == wanted || class.action.0.as_str() == wanted)
        .min_by_key(|class| {
            (
                class.code != wanted,
                inputs.in_service(class.id) == 0,
                strength(class),
                std::cmp::Reverse(class.width_mm.unwrap_or(0)),
                class.id,
            )
        })
}
