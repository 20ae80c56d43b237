//! How often a tool crosses the surface, and how far it is dragged.

use serde::{Deserialize, Serialize};

use super::{CourtError, CourtSurface};
use crate::grooming::Direction;
use crate::units::Millimetres;

/// The passes of one grooming, edge to edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Passes {
    /// How many strips lie side by side.
    pub count: i64,
    /// How far the tool is dragged along all of them, without the turns.
    pub dragged: Millimetres,
    /// Turns between one strip and the next.
    pub turns: i64,
}

/// The strips that cover the whole surface, its edges included, with a tool `width` wide whose neighbouring strips
/// share at least `overlap`: `ceiling((side - overlap) / (width - overlap))` of them, each as long as the other side.
pub fn passes(
    surface: &CourtSurface,
    width: Millimetres,
    overlap: Millimetres,
    direction: Direction,
) -> Result<Passes, CourtError> {
    if width.0 <= 0 {
        return Err(CourtError::NoToolWidth);
    }
    if overlap.0 < 0 || overlap >= width {
        return Err(CourtError::Overlap);
    }
    let (side, run) = match direction {
        Direction::Along => (surface.width(), surface.length()),
        Direction::Across => (surface.length(), surface.width()),
    };
    let (gain, rest) = (width.0 - overlap.0, (side.0 - overlap.0).max(1));
    let count = rest / gain + i64::from(rest % gain > 0);
    Ok(Passes {
        count,
        dragged: run.checked_mul(count)?,
        turns: count - 1,
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn of(width_ft: i64, overlap_in: i64, direction: Direction) -> Passes {
        let width = Millimetres::from_feet(width_ft).unwrap();
        let overlap = Millimetres::from_inches(overlap_in).unwrap();
        passes(&CourtSurface::default(), width, overlap, direction).unwrap()
    }

    #[test]
    fn a_six_foot_drag_goes_ten_times_along_and_twenty_times_across() {
        let along = of(6, 0, Direction::Along);
        // 6 ft are 1,829 mm when stored, a hair over ten to the width.
        assert_eq!(
            (along.count, along.turns, along.dragged),
            (10, 9, Millimetres(365_760))
        );
        assert_eq!(of(6, 0, Direction::Across).count, 20);
    }

    #[test]
    fn an_overlap_costs_a_pass() {
        assert_eq!(of(6, 6, Direction::Along).count, 11);
    }

    #[test]
    fn a_tool_as_wide_as_the_court_goes_once() {
        assert_eq!(
            of(60, 6, Direction::Along),
            Passes {
                count: 1,
                dragged: Millimetres(36_576),
                turns: 0
            }
        );
    }

    #[test]
    fn a_tool_without_width_or_all_overlap_is_refused() {
        let with = |w, o| {
            passes(
                &CourtSurface::default(),
                Millimetres(w),
                Millimetres(o),
                Direction::Along,
            )
        };
        assert_eq!(with(0, 0), Err(CourtError::NoToolWidth));
        assert_eq!(with(1_800, 1_800), Err(CourtError::Overlap));
        assert_eq!(with(1_800, -1), Err(CourtError::Overlap));
    }

    proptest! {
        #[test]
        fn the_edge_is_always_reached_and_no_pass_is_wasted(width in 300_i64..4_000, share in 0_i64..90, along: bool) {
            let overlap = width * share / 100;
            let direction = if along { Direction::Along } else { Direction::Across };
            let surface = CourtSurface::default();
            let found = passes(&surface, Millimetres(width), Millimetres(overlap), direction).unwrap();
            let side = if along { surface.width().0 } else { surface.length().0 };
            let covered = |count: i64| count * (width - overlap) + overlap;
            prop_assert!(covered(found.count) >= side);
            prop_assert!(covered(found.count - 1) < side);
        }
    }
}
