//! How often a tool crosses the surface, and how far it is dragged.
//!
//! A court is groomed one half and then the other, as the net divides it (a public club's maintenance page): even
//! with the net raised out of the way its posts, strap and band stand where strips would run through.

use serde::{Deserialize, Serialize};

use super::{CourtError, CourtSurface};
use crate::grooming::Direction;
use crate::units::Millimetres;

/// Halves of a court.
const HALVES: i64 = 2;
/// Edges of a half on which the strips end, each of which gets a pass of its own; the strips run along the others.
const ENDS: i64 = 2;

/// The passes of one grooming of a whole court, edge to edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Passes {
    /// How many strips lie side by side in each half.
    pub strips: i64,
    /// How long a strip is.
    pub run: Millimetres,
    /// How far the tool is dragged over both halves, edges included, without the turns.
    pub dragged: Millimetres,
    /// Turns from one pass into the next.
    pub turns: i64,
}

/// The passes that cover both halves with a tool `width` wide whose neighbouring strips share at least `overlap`.
///
/// In each half `ceiling((span - overlap) / (width - overlap))` strips. Along the court they span its width and run
/// from the back fence to the net, so that the net and the back fence get a pass of their own; across it they span
/// the half's length and run from side fence to side fence, each of which gets one. Common practice, no source, as to
/// the edges: left out, algae and weeds settle there.
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
    let half = surface.half_length();
    let (span, run) = match direction {
        Direction::Along => (surface.width(), half),
        Direction::Across => (half, surface.width()),
    };
    let (gain, rest) = (width.0 - overlap.0, (span.0 - overlap.0).max(1));
    let strips = rest / gain + i64::from(rest % gain > 0);
    let of_a_half = run
        .checked_mul(strips)?
        .checked_add(span.checked_mul(ENDS)?)?;
    Ok(Passes {
        strips,
        run,
        dragged: of_a_half.checked_mul(HALVES)?,
        turns: HALVES * (strips + ENDS) - 1,
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

    // 60 by 120 ft: each half is 60 by 60 ft, 18,288 mm either way (ITF Rules of Tennis, Rule 1, and the clearances
    // of the ITF Technical Booklet, table 5).
    #[test]
    fn a_six_foot_drag_goes_ten_times_along_each_half_and_once_along_net_and_fence() {
        // 6 ft are 1,829 mm when stored, a hair over ten to the width.
        let along = of(6, 0, Direction::Along);
        assert_eq!((along.strips, along.run), (10, Millimetres(18_288)));
        assert_eq!(along.dragged, Millimetres(2 * (10 + 2) * 18_288));
        // Nine between the strips, one before each edge, in both halves; one across the net line.
        assert_eq!(along.turns, 2 * (9 + 2) + 1);
    }

    #[test]
    fn no_strip_runs_through_the_net() {
        for direction in [Direction::Along, Direction::Across] {
            let found = of(6, 0, direction);
            assert!(found.run <= CourtSurface::default().half_length());
        }
    }

    #[test]
    fn a_long_court_has_more_strips_across_than_along() {
        let long = CourtSurface::new(Millimetres(40_000), Millimetres(18_000)).unwrap();
        let of = |direction| passes(&long, Millimetres(2_000), Millimetres(0), direction).unwrap();
        assert_eq!(
            (of(Direction::Along).strips, of(Direction::Along).run),
            (9, Millimetres(20_000))
        );
        assert_eq!(
            (of(Direction::Across).strips, of(Direction::Across).run),
            (10, Millimetres(18_000))
        );
    }

    #[test]
    fn an_overlap_costs_a_strip() {
        assert_eq!(of(6, 6, Direction::Along).strips, 11);
    }

    #[test]
    fn a_tool_as_wide_as_the_court_goes_once_through_each_half() {
        let wide = of(60, 6, Direction::Along);
        assert_eq!((wide.strips, wide.turns), (1, 5));
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
        fn the_edge_is_always_reached_and_no_strip_is_wasted(width in 300_i64..4_000, share in 0_i64..90, along: bool) {
            let overlap = width * share / 100;
            let direction = if along { Direction::Along } else { Direction::Across };
            let surface = CourtSurface::default();
            let found = passes(&surface, Millimetres(width), Millimetres(overlap), direction).unwrap();
            let span = if along { surface.width().0 } else { surface.half_length().0 };
            let covered = |count: i64| count * (width - overlap) + overlap;
            prop_assert!(covered(found.strips) >= span);
            prop_assert!(covered(found.strips - 1) < span);
        }

        // Whatever the tool, it is dragged at least over the whole area once.
        #[test]
        fn the_strips_cover_the_area(width in 300_i64..4_000, along: bool) {
            let direction = if along { Direction::Along } else { Direction::Across };
            let surface = CourtSurface::default();
            let found = passes(&surface, Millimetres(width), Millimetres(0), direction).unwrap();
            prop_assert!(found.dragged.0 * width >= surface.area().0);
        }
    }
}
