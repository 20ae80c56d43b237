//! How far a tool is pulled on a court, and what that counts on what it was pulled over.

use crate::court::{CourtError, CourtSurface, Lines};
use crate::grooming::{Condition, Direction, Drag, ToolAction};
use crate::units::Millimetres;
use crate::whole::{Overflow, half_even, narrow};

/// Baselines of a court.
const BASELINES: i64 = 2;
/// Strips along each of them, there and back, where only they are loosened. Common practice, no source.
const STRIPS: i64 = 2;
/// A thousand thousandths.
const WHOLE: i64 = 1_000;

/// What a tool is used for on an order.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum UsedFor {
    /// The whole court is gone over with it, in this direction.
    Grooming(Direction),
    /// Something beside that: the lines are cleared, the baselines loosened.
    Beside,
}

/// How far one use on a court pulls the tool: over both halves where the court is groomed with it, along the baselines
/// where it only loosens those, along all lines where it clears them. Nothing for a tool that does neither.
pub fn pulled(
    action: ToolAction,
    drag: &Drag,
    surface: &CourtSurface,
    used: UsedFor,
) -> Result<Millimetres, CourtError> {
    Ok(match (action, used) {
        (ToolAction::ClearsLines, _) => Lines::Doubles.to_sweep(),
        (_, UsedFor::Grooming(direction)) => drag.passes(surface, direction)?.dragged,
        (ToolAction::Loosens, UsedFor::Beside) => {
            surface.width().checked_mul(BASELINES * STRIPS)?
        }
        (_, UsedFor::Beside) => Millimetres(0),
    })
}

/// What a metre counts on a court as it is, thousandths of one on a sound court: dry grit and hard ground wear bristles
/// more. Common practice, no source.
const fn weight(condition: Condition) -> i64 {
    match condition {
        Condition::Sound | Condition::LowSpots | Condition::JustResurfaced => WHOLE,
        Condition::Soaked => 900,
        Condition::FirmingUp => 1_100,
        Condition::Powdery => 1_200,
        Condition::Hardened | Condition::NewlyDressed => 1_300,
        Condition::Hardpan => 1_500,
    }
}

/// So far on a court as it is, as if it had been sound; to the nearest, half a millimetre to the even one.
pub fn weighed(far: Millimetres, condition: Condition) -> Result<Millimetres, Overflow> {
    let counted = i128::from(far.0) * i128::from(weight(condition));
    narrow(half_even(counted, i128::from(WHOLE))).map(Millimetres)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grooming::Pulled;

    fn court() -> CourtSurface {
        CourtSurface::new(Millimetres(36_576), Millimetres(18_288)).unwrap()
    }

    fn drag() -> Drag {
        Drag::new(Millimetres(2_134), Pulled::OnFoot)
    }

    #[test]
    fn a_court_that_is_groomed_pulls_the_drag_over_both_halves() {
        let along = UsedFor::Grooming(Direction::Along);
        let far = pulled(ToolAction::Smooths, &drag(), &court(), along).unwrap();
        let passes = drag().passes(&court(), Direction::Along).unwrap();
        assert_eq!(far, passes.dragged);
        // Ten strips of half a court and four edges: some 440 m.
        assert!((400_000..480_000).contains(&far.0), "{far:?}");
    }

    /// Source: Rules of Tennis, rule 1, as `court` reckons with them: 485 ft of lines, and two marks of 4 in.
    #[test]
    fn a_sweeper_goes_along_every_line_whatever_else_is_done() {
        for used in [UsedFor::Beside, UsedFor::Grooming(Direction::Across)] {
            let far = pulled(ToolAction::ClearsLines, &drag(), &court(), used).unwrap();
            assert_eq!(far, Lines::Doubles.to_sweep());
        }
    }

    #[test]
    fn baselines_that_are_loosened_pull_the_drag_along_them_and_a_roller_wears_no_bristle() {
        let beside = |action| pulled(action, &drag(), &court(), UsedFor::Beside).unwrap();
        assert_eq!(beside(ToolAction::Loosens), Millimetres(4 * 18_288));
        assert_eq!(beside(ToolAction::Firms), Millimetres(0));
    }

    #[test]
    fn a_metre_on_hardpan_counts_half_as_much_again_as_on_a_sound_court() {
        let of = |condition| weighed(Millimetres(1_000), condition).unwrap();
        assert_eq!(of(Condition::Sound), Millimetres(1_000));
        assert_eq!(of(Condition::Hardpan), Millimetres(1_500));
        assert_eq!(
            weighed(Millimetres(5), Condition::Soaked),
            Ok(Millimetres(4)),
            "4.5 goes to the even one"
        );
    }
}
