//! Which class of tool a court's condition asks for, in which direction it goes today, and how long it takes.

mod direction;
mod pace;

use serde::{Deserialize, Serialize};

pub use direction::{Direction, DirectionPer, direction_of, direction_today};
pub use pace::{
    Drag, GETTING_READY, LINE_MM_PER_S, OVERLAP, Pulled, grooming_time, line_time, watering_time,
};

use crate::units::Millimetres;

word_enum! {
    /// What a class of tool does to the court.
    ToolAction {
        /// Spreads loose material evenly: drags and brooms.
        Smooths = "smooths",
        /// Takes from the high and fills the low: lutes, levelling drags.
        Levels = "levels",
        /// Breaks a hard surface: steel bristles, tines, scarifiers.
        Loosens = "loosens",
        /// Clears the lines.
        ClearsLines = "clears_lines",
        /// Presses firm: rollers, tampers.
        Firms = "firms",
        /// Takes leaves off.
        ClearsLeaves = "clears_leaves",
        /// Soaks up standing water.
        TakesUpWater = "takes_up_water",
        /// Lays out dressing or salt.
        Spreads = "spreads",
        /// Shows whether something is level or at its height: straight edge, net stick.
        Measures = "measures",
        /// Waters by hand.
        Wets = "wets",
    }
}

word_enum! {
    /// How strongly a tool does it, the softest first.
    Strength {
        /// Light.
        Light = "light",
        /// Medium.
        Medium = "medium",
        /// Strong.
        Strong = "strong",
    }
}

word_enum! {
    /// How a court's surface is.
    Condition {
        /// As it should be.
        Sound = "sound",
        /// Dry and dusty on top.
        Powdery = "powdery",
        /// Uneven: water gathers.
        LowSpots = "low_spots",
        /// Hard and slick on top.
        Hardened = "hardened",
        /// Hard throughout, or material built up.
        Hardpan = "hardpan",
        /// Full of water: not firm underfoot.
        Soaked = "soaked",
        /// Top-dressed and not yet bound.
        NewlyDressed = "newly_dressed",
        /// New, or resurfaced this season and still settling.
        JustResurfaced = "just_resurfaced",
        /// Watered from below, and hardening as the water sinks.
        FirmingUp = "firming_up",
    }
}

/// One class of tool as a site describes it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct ToolKind {
    /// The site's own number of the class.
    pub id: i64,
    /// What it does.
    pub action: ToolAction,
    /// How strongly.
    pub strength: Strength,
    /// How wide it works.
    pub width: Millimetres,
}

/// What a court's condition asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct GroomingNeed {
    /// What is to be done.
    pub action: ToolAction,
    /// The softest that does it.
    pub least: Strength,
    /// The strongest that the court bears.
    pub most: Strength,
}

impl GroomingNeed {
    /// What the condition asks for; `None` where the court is not groomed until it is firm.
    ///
    /// Common practice, no source. The condition decides; how a court is watered never does by itself.
    pub const fn of(condition: Condition) -> Option<Self> {
        use Strength::{Light, Medium, Strong};
        use ToolAction::{Levels, Loosens, Smooths};
        let (action, least, most) = match condition {
            Condition::NewlyDressed | Condition::JustResurfaced => (Smooths, Light, Light),
            Condition::Powdery => (Smooths, Light, Medium),
            Condition::Sound => (Smooths, Medium, Medium),
            Condition::LowSpots => (Levels, Light, Medium),
            Condition::Hardened | Condition::FirmingUp => (Loosens, Light, Medium),
            Condition::Hardpan => (Loosens, Strong, Strong),
            Condition::Soaked => return None,
        };
        Some(Self {
            action,
            least,
            most,
        })
    }
}

word_enum! {
    /// How well a tool meets a need.
    Fit {
        /// It does the work.
        DoesTheWork = "does_the_work",
        /// The court bears it, but it does less than is needed.
        SofterThanNeeded = "softer_than_needed",
        /// It only smooths a court that should be levelled or loosened: better than leaving it rough.
        OnlySmooths = "only_smooths",
    }
}

/// A tool that may go on the court.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Candidate {
    /// The class.
    pub tool: ToolKind,
    /// How well it fits.
    pub fit: Fit,
}

/// The tools that the court bears, the best first: the softest that does the work, of equals the widest, then
/// the lowest number; after them those too soft to do it all, the least soft first; last those that only smooth where
/// more is needed. Never one stronger than it bears.
///
/// The softest brush that does the work: a public club's maintenance page; the rest common practice, no source.
pub fn choose(need: GroomingNeed, tools: &[ToolKind]) -> Vec<Candidate> {
    let fit = |tool: &ToolKind| match tool.action {
        _ if tool.strength > need.most => None,
        action if action == need.action && tool.strength >= need.least => Some(Fit::DoesTheWork),
        action if action == need.action => Some(Fit::SofterThanNeeded),
        ToolAction::Smooths => Some(Fit::OnlySmooths),
        _ => None,
    };
    let mut borne: Vec<Candidate> = tools
        .iter()
        .filter_map(|tool| {
            Some(Candidate {
                tool: *tool,
                fit: fit(tool)?,
            })
        })
        .collect();
    borne.sort_by(|a, b| {
        let by_strength = match a.fit {
            Fit::DoesTheWork => a.tool.strength.cmp(&b.tool.strength),
            Fit::SofterThanNeeded | Fit::OnlySmooths => b.tool.strength.cmp(&a.tool.strength),
        };
        a.fit
            .cmp(&b.fit)
            .then(by_strength)
            .then(b.tool.width.cmp(&a.tool.width))
            .then(a.tool.id.cmp(&b.tool.id))
    });
    borne
}

#[cfg(test)]
mod tests {
    use super::*;

    const fn tool(id: i64, action: ToolAction, strength: Strength) -> ToolKind {
        ToolKind {
            id,
            action,
            strength,
            width: Millimetres(1_829),
        }
    }

    const SOFT_DRAG: ToolKind = tool(1, ToolAction::Smooths, Strength::Light);
    const DRAG_BROOM: ToolKind = tool(2, ToolAction::Smooths, Strength::Medium);
    const LUTE: ToolKind = tool(3, ToolAction::Levels, Strength::Medium);
    const TINE_RAKE: ToolKind = tool(4, ToolAction::Loosens, Strength::Medium);
    const SCARIFIER: ToolKind = tool(5, ToolAction::Loosens, Strength::Strong);
    const SHED: [ToolKind; 5] = [SCARIFIER, DRAG_BROOM, LUTE, TINE_RAKE, SOFT_DRAG];

    fn first(condition: Condition) -> Option<ToolKind> {
        choose(GroomingNeed::of(condition)?, &SHED)
            .first()
            .map(|candidate| candidate.tool)
    }

    #[test]
    fn the_lightest_tool_goes_on_a_new_court() {
        assert_eq!(first(Condition::JustResurfaced), Some(SOFT_DRAG));
        assert_eq!(first(Condition::NewlyDressed), Some(SOFT_DRAG));
        let need = GroomingNeed::of(Condition::JustResurfaced).unwrap();
        assert_eq!(choose(need, &SHED).len(), 1, "nothing stronger is offered");
    }

    #[test]
    fn the_everyday_drag_goes_on_a_sound_court() {
        assert_eq!(first(Condition::Sound), Some(DRAG_BROOM));
    }

    #[test]
    fn a_site_with_only_a_soft_drag_is_told_that_it_is_too_soft() {
        let need = GroomingNeed::of(Condition::Sound).unwrap();
        let only = choose(need, &[SOFT_DRAG]);
        assert_eq!(
            only,
            [Candidate {
                tool: SOFT_DRAG,
                fit: Fit::SofterThanNeeded
            }]
        );
    }

    #[test]
    fn low_spots_are_levelled_and_hard_courts_loosened() {
        assert_eq!(first(Condition::LowSpots), Some(LUTE));
        assert_eq!(first(Condition::Hardened), Some(TINE_RAKE));
        assert_eq!(first(Condition::FirmingUp), Some(TINE_RAKE));
        assert_eq!(first(Condition::Hardpan), Some(SCARIFIER));
    }

    #[test]
    fn the_strongest_tool_stays_off_a_court_that_is_only_hardened() {
        let need = GroomingNeed::of(Condition::Hardened).unwrap();
        assert!(choose(need, &[SCARIFIER]).is_empty());
    }

    #[test]
    fn a_court_that_should_be_levelled_is_smoothed_where_nothing_levels() {
        for condition in [Condition::LowSpots, Condition::Hardened, Condition::Hardpan] {
            let need = GroomingNeed::of(condition).unwrap();
            let found = choose(need, &[SOFT_DRAG, DRAG_BROOM]);
            assert_eq!(
                found,
                [DRAG_BROOM, SOFT_DRAG].map(|tool| Candidate {
                    tool,
                    fit: Fit::OnlySmooths
                }),
                "{condition}"
            );
        }
        // And where something does, that comes first.
        assert_eq!(first(Condition::LowSpots), Some(LUTE));
    }

    #[test]
    fn a_soaked_court_asks_for_no_tool() {
        assert_eq!(GroomingNeed::of(Condition::Soaked), None);
    }

    #[test]
    fn the_softest_comes_first_then_the_widest_then_the_lowest_number() {
        let wide = ToolKind {
            width: Millimetres(2_438),
            ..tool(9, ToolAction::Smooths, Strength::Light)
        };
        let twin = tool(7, ToolAction::Smooths, Strength::Light);
        let need = GroomingNeed::of(Condition::Powdery).unwrap();
        let order: Vec<i64> = choose(need, &[DRAG_BROOM, twin, SOFT_DRAG, wide])
            .iter()
            .map(|c| c.tool.id)
            .collect();
        assert_eq!(order, [9, 1, 7, 2]);
    }
}
