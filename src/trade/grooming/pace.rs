//! How long a grooming takes, how far the tool is dragged, and how long lines and hoses take.

use serde::{Deserialize, Serialize};

use super::Direction;
use crate::court::{CourtError, CourtSurface, Lines, Passes, passes};
use crate::units::{Millilitres, Millimetres, MlPerSecond, Seconds};

word_enum! {
    /// How a tool is pulled over the court.
    Pulled {
        /// By somebody walking.
        OnFoot = "on_foot",
        /// Behind a cart.
        Towed = "towed",
    }
}

impl Pulled {
    /// How fast, mm/s: a medium walk, and what a cart may do at a brisk walk. Faster than that a tool hops and leaves
    /// ridges. Common practice, no source.
    pub const fn mm_per_s(self) -> i64 {
        match self {
            Self::OnFoot => 1_100,
            Self::Towed => 1_500,
        }
    }

    /// One turn from a pass into the next. Common practice, no source.
    pub const fn turn(self) -> Seconds {
        match self {
            Self::OnFoot => Seconds(8),
            Self::Towed => Seconds(12),
        }
    }
}

/// Setting the tool down, and lifting and knocking it clean at the end. Common practice, no source.
pub const GETTING_READY: Seconds = Seconds(60);
/// By how much neighbouring strips overlap, 6 in. Common practice, no source.
pub const OVERLAP: Millimetres = Millimetres(152);
/// How fast a line is cleared, mm/s: swept there and back where grit lies. Common practice, no source.
pub const LINE_MM_PER_S: i64 = 350;

/// A tool as it is pulled over a court.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Drag {
    /// How wide it works.
    pub width: Millimetres,
    /// By how much neighbouring strips overlap.
    pub overlap: Millimetres,
    /// How it is pulled.
    pub pulled: Pulled,
}

impl Drag {
    /// A tool of this width, overlapping by [`OVERLAP`]; one narrower than twice that by half its width.
    pub fn new(width: Millimetres, pulled: Pulled) -> Self {
        Self {
            width,
            overlap: Millimetres(OVERLAP.0.min(width.0 / 2)),
            pulled,
        }
    }

    /// Its passes over both halves of a court.
    pub fn passes(
        &self,
        surface: &CourtSurface,
        direction: Direction,
    ) -> Result<Passes, CourtError> {
        passes(surface, self.width, self.overlap, direction)
    }
}

/// Seconds for one person to groom the whole surface once, edges included, one half and then the other: its passes
/// at the tool's pace, the turns, and the getting ready.
pub fn grooming_time(
    surface: &CourtSurface,
    drag: &Drag,
    direction: Direction,
) -> Result<Seconds, CourtError> {
    let passes = drag.passes(surface, direction)?;
    let walk = Seconds(started(passes.dragged.0, drag.pulled.mm_per_s()));
    let turns = drag.pulled.turn().checked_mul(passes.turns)?;
    Ok(Seconds::sum([walk, turns, GETTING_READY])?)
}

/// Seconds for one person to clear all lines of a court, the centre marks too, and to get ready.
pub fn line_time(lines: Lines) -> Seconds {
    Seconds(started(lines.to_sweep().0, LINE_MM_PER_S) + GETTING_READY.0)
}

/// Seconds until so much water has run at this flow; none where nothing flows.
pub fn watering_time(volume: Millilitres, flow: MlPerSecond) -> Option<Seconds> {
    (flow.0 > 0 && volume.0 >= 0).then(|| Seconds(started(volume.0, flow.0)))
}

/// `whole / part`, a part that is begun counted whole. Both from zero up, `part` above it.
const fn started(whole: i64, part: i64) -> i64 {
    whole / part + (whole % part > 0) as i64
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn six_feet(pulled: Pulled) -> Drag {
        Drag::new(Millimetres(1_829), pulled)
    }

    fn time(drag: Drag, direction: Direction) -> Seconds {
        grooming_time(&CourtSurface::default(), &drag, direction).unwrap()
    }

    // Common practice, no source: 8 to 15 minutes by tool for one person on a 60 x 120 ft court, tools of 5 to 8 ft.
    #[test]
    fn one_person_grooms_a_court_in_eight_to_fifteen_minutes() {
        for direction in [Direction::Along, Direction::Across] {
            for width in 5..=8 {
                let width = Millimetres::from_feet(width).unwrap();
                let took = time(Drag::new(width, Pulled::OnFoot), direction);
                assert!(
                    (Seconds(8 * 60)..=Seconds(15 * 60)).contains(&took),
                    "{width:?} {direction}: {took:?}"
                );
            }
        }
    }

    #[test]
    fn a_wider_tool_and_a_cart_are_sooner_done() {
        let narrow = time(
            Drag::new(Millimetres(1_524), Pulled::OnFoot),
            Direction::Along,
        );
        let wide = time(
            Drag::new(Millimetres(2_438), Pulled::OnFoot),
            Direction::Along,
        );
        let towed = time(
            Drag::new(Millimetres(2_438), Pulled::Towed),
            Direction::Along,
        );
        assert!(towed < wide && wide < narrow);
    }

    #[test]
    fn eleven_strips_and_two_edges_a_half_take_their_walk_and_their_turns() {
        // 2 × (11 + 2) × 18,288 mm at 1,100 mm/s are 432.3 s; 25 turns of 8 s; 60 s
        assert_eq!(
            time(six_feet(Pulled::OnFoot), Direction::Along),
            Seconds(433 + 200 + 60)
        );
    }

    // Line lengths of ITF Rules of Tennis, Rule 1; 6 to 10 minutes: common practice, no source.
    #[test]
    fn a_doubles_court_s_lines_take_six_to_ten_minutes_and_a_singles_court_s_less() {
        let doubles = line_time(Lines::Doubles);
        // 146,507 mm at 350 mm/s, and a minute
        assert_eq!(doubles, Seconds(419 + 60));
        assert!((Seconds(360)..=Seconds(600)).contains(&doubles));
        assert!(line_time(Lines::Singles) < doubles);
    }

    #[test]
    fn water_runs_until_its_litres_have_run() {
        let hose = MlPerSecond(600);
        assert_eq!(
            watering_time(Millilitres(720_001), hose),
            Some(Seconds(1_201))
        );
        assert_eq!(watering_time(Millilitres(1), MlPerSecond(0)), None);
    }

    #[test]
    fn the_smallest_tool_still_has_a_time_and_none_without_width() {
        let least = Drag::new(Millimetres(1), Pulled::OnFoot);
        assert!(grooming_time(&CourtSurface::default(), &least, Direction::Along).is_ok());
        let none = Drag::new(Millimetres(0), Pulled::OnFoot);
        assert_eq!(
            grooming_time(&CourtSurface::default(), &none, Direction::Along),
            Err(CourtError::NoToolWidth)
        );
    }

    proptest! {
        #[test]
        fn a_larger_court_never_takes_less_time(length in 24_000_i64..60_000, width in 11_000_i64..30_000,
            more in 0_i64..5_000, tool in 600_i64..3_000, along: bool) {
            let direction = if along { Direction::Along } else { Direction::Across };
            let drag = Drag::new(Millimetres(tool), Pulled::OnFoot);
            let of = |length, width| {
                let surface = CourtSurface::new(Millimetres(length), Millimetres(width)).unwrap();
                grooming_time(&surface, &drag, direction).unwrap()
            };
            prop_assert!(of(length + more, width) >= of(length, width));
            prop_assert!(of(length, width + more) >= of(length, width));
        }
    }
}
