//! How long a grooming takes at a medium walk.

use super::Direction;
use crate::court::{CourtError, CourtSurface, passes};
use crate::units::{Millimetres, Seconds};

/// A medium walk with a tool in tow, in millimetres a second. Pulled faster it hops and leaves ridges.
/// Common practice, no source.
pub const MEDIUM_WALK_MM_PER_S: i64 = 1_100;
/// One turn from a strip into the next. Common practice, no source.
pub const TURN: Seconds = Seconds(8);
/// Setting the tool down, and lifting and knocking it clean at the end. Common practice, no source.
pub const GETTING_READY: Seconds = Seconds(60);
/// By how much neighbouring strips overlap, 6 in. Common practice, no source.
pub const OVERLAP: Millimetres = Millimetres(152);

/// Seconds to groom the whole surface once, edges included, with a tool `width` wide: its strips at a medium
/// walk, the turns, and the getting ready. A tool narrower than twice [`OVERLAP`] overlaps by half its width.
pub fn grooming_time(
    surface: &CourtSurface,
    width: Millimetres,
    direction: Direction,
) -> Result<Seconds, CourtError> {
    let overlap = Millimetres(OVERLAP.0.min(width.0 / 2));
    let strips = passes(surface, width, overlap, direction)?;
    let walk = strips.dragged.0 / MEDIUM_WALK_MM_PER_S
        + i64::from(strips.dragged.0 % MEDIUM_WALK_MM_PER_S > 0);
    let turns = TURN.checked_mul(strips.turns)?;
    Ok(Seconds::sum([Seconds(walk), turns, GETTING_READY])?)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn minutes(width_ft: i64, direction: Direction) -> i64 {
        let width = Millimetres::from_feet(width_ft).unwrap();
        grooming_time(&CourtSurface::default(), width, direction)
            .unwrap()
            .0
            / 60
    }

    // Common practice, no source: 8 to 15 minutes by tool for one person on a 60 x 120 ft court.
    #[test]
    fn one_person_grooms_a_court_in_about_eight_to_fifteen_minutes() {
        for direction in [Direction::Along, Direction::Across] {
            for width in 4..=6 {
                assert!(
                    (8..=15).contains(&minutes(width, direction)),
                    "{width} ft {direction}"
                );
            }
        }
    }

    #[test]
    fn a_wider_tool_is_sooner_done() {
        assert!(minutes(8, Direction::Along) < minutes(5, Direction::Along));
    }

    #[test]
    fn eleven_strips_along_take_their_walk_and_ten_turns() {
        let six = grooming_time(
            &CourtSurface::default(),
            Millimetres(1_829),
            Direction::Along,
        );
        // 11 × 36,576 mm at 1,100 mm/s, 10 × 8 s, 60 s
        assert_eq!(six, Ok(Seconds(366 + 80 + 60)));
    }

    #[test]
    fn the_smallest_tool_still_has_a_time() {
        assert!(grooming_time(&CourtSurface::default(), Millimetres(1), Direction::Along).is_ok());
        let none = grooming_time(&CourtSurface::default(), Millimetres(0), Direction::Along);
        assert_eq!(none, Err(CourtError::NoToolWidth));
    }
}
