//! The court's measures, from the Rules of Tennis, and the surface around its lines.
//!
//! ITF Rules of Tennis, Rule 1 "The Court": 78 ft long, 27 ft wide for singles and 36 ft for doubles, service lines
//! 21 ft from the net, a centre mark of 4 in inside each baseline; all to the outside of the lines.

mod drying;
mod inspection;
mod net;
mod passes;

use serde::{Deserialize, Serialize};
use thiserror::Error;

pub use drying::{Shower, drains_in, showers};
pub use inspection::{CourtNow, Firmness, Inspection, Limits, condition_from, court_now};
pub use net::{NET_TOLERANCE, NetFault, STRAP_WIDEST, net_faults};
pub use passes::{Passes, passes};

use crate::units::{Micrometres, Millimetres, SquareMillimetres};
use crate::whole::{Overflow, scaled};

/// Net height at the posts, 3 ft 6 in (Rule 1).
pub const NET_AT_POSTS: Micrometres = Micrometres(1_066_800);
/// Net height at the centre, 3 ft (Rule 1).
pub const NET_AT_CENTRE: Micrometres = Micrometres(914_400);

const LENGTH_FT: i64 = 78;
const SINGLES_FT: i64 = 27;
const DOUBLES_FT: i64 = 36;
const SERVICE_LINE_FT: i64 = 21;
const CENTRE_MARK_IN: i64 = 4;
const MM_PER_FT: (i64, i64) = (3_048, 10);
const MM_PER_IN: (i64, i64) = (254, 10);
const MM2_PER_FT2: (i64, i64) = (9_290_304, 100);

word_enum! {
    /// Which lines lie on a court.
    Lines {
        /// The doubles court with its singles sidelines.
        Doubles = "doubles",
        /// The singles court alone.
        Singles = "singles",
    }
}

/// Why a surface or a pass over it makes no sense.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum CourtError {
    /// The surface does not hold the lines of a doubles court.
    #[error("the surface is smaller than the lines of a doubles court")]
    SmallerThanTheLines,
    /// The tool has no width.
    #[error("a tool's width is more than nothing")]
    NoToolWidth,
    /// The overlap is negative or as wide as the tool.
    #[error("the overlap of two passes is at least nothing and less than the tool's width")]
    Overlap,
    /// A number does not fit 64 bits.
    #[error(transparent)]
    Overflow(#[from] Overflow),
}

impl Lines {
    /// Width between the outer sidelines.
    pub fn width(self) -> Millimetres {
        feet(match self {
            Self::Doubles => DOUBLES_FT,
            Self::Singles => SINGLES_FT,
        })
    }

    /// Area within the lines.
    pub fn area(self) -> SquareMillimetres {
        let width = match self {
            Self::Doubles => DOUBLES_FT,
            Self::Singles => SINGLES_FT,
        };
        SquareMillimetres(of_a_court(LENGTH_FT * width, MM2_PER_FT2))
    }

    /// All lines together, measured on their outside, without the two centre marks.
    pub fn length(self) -> Millimetres {
        feet(self.feet())
    }

    /// What is swept: all lines and the two centre marks.
    pub fn to_sweep(self) -> Millimetres {
        Millimetres(of_a_court(self.feet() * 12 + 2 * CENTRE_MARK_IN, MM_PER_IN))
    }

    const fn feet(self) -> i64 {
        let inside = 2 * SINGLES_FT + 2 * SERVICE_LINE_FT;
        match self {
            Self::Doubles => 2 * DOUBLES_FT + 4 * LENGTH_FT + inside,
            Self::Singles => 2 * SINGLES_FT + 2 * LENGTH_FT + inside,
        }
    }
}

/// Length of the court between the outer edges of the baselines.
pub fn court_length() -> Millimetres {
    feet(LENGTH_FT)
}

/// Whether a place, across and along from a court's centre, lies on a surface of this length and width, its edge included.
pub fn lies_on(
    (length, width): (Millimetres, Millimetres),
    (across, along): (Millimetres, Millimetres),
) -> bool {
    let within = |at: i64, side: i64| at.unsigned_abs() <= side.max(0).unsigned_abs() / 2;
    within(across.0, width.0) && within(along.0, length.0)
}

fn feet(number: i64) -> Millimetres {
    Millimetres(of_a_court(number, MM_PER_FT))
}

/// A measure of a court in stored units; at the size of a court this always fits.
fn of_a_court(number: i64, (times, per): (i64, i64)) -> i64 {
    scaled(number, times, per).unwrap_or(i64::MAX)
}

/// The whole surface inside the fence that is kept: at least the doubles lines.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(try_from = "Sides", into = "Sides")]
pub struct CourtSurface {
    length: Millimetres,
    width: Millimetres,
}

#[derive(Serialize, Deserialize)]
struct Sides {
    length: Millimetres,
    width: Millimetres,
}

impl Default for CourtSurface {
    /// 120 by 60 ft.
    fn default() -> Self {
        Self {
            length: feet(120),
            width: feet(60),
        }
    }
}

impl CourtSurface {
    /// A surface so long (baseline to baseline and beyond) and so wide.
    pub fn new(length: Millimetres, width: Millimetres) -> Result<Self, CourtError> {
        if length < court_length() || width < Lines::Doubles.width() {
            return Err(CourtError::SmallerThanTheLines);
        }
        length.times(width)?;
        Ok(Self { length, width })
    }

    /// Along the court.
    pub fn length(&self) -> Millimetres {
        self.length
    }

    /// Across the court.
    pub fn width(&self) -> Millimetres {
        self.width
    }

    /// From the net to a back fence, an odd millimetre with it.
    pub fn half_length(&self) -> Millimetres {
        Millimetres(self.length.0 / 2 + self.length.0 % 2)
    }

    /// The whole area.
    pub fn area(&self) -> SquareMillimetres {
        SquareMillimetres(self.length.0.saturating_mul(self.width.0))
    }

    /// The area outside the doubles lines.
    pub fn run_off(&self) -> SquareMillimetres {
        SquareMillimetres(self.area().0 - Lines::Doubles.area().0)
    }

    /// From a baseline to the surface's end, the lines lying in its middle.
    pub fn run_back(&self) -> Millimetres {
        Millimetres((self.length.0 - court_length().0 + 1) / 2)
    }

    /// From a doubles sideline to the surface's side, the lines lying in its middle.
    pub fn side_run(&self) -> Millimetres {
        Millimetres((self.width.0 - Lines::Doubles.width().0 + 1) / 2)
    }
}

impl TryFrom<Sides> for CourtSurface {
    type Error = CourtError;

    fn try_from(sides: Sides) -> Result<Self, CourtError> {
        Self::new(sides.length, sides.width)
    }
}

impl From<CourtSurface> for Sides {
    fn from(surface: CourtSurface) -> Self {
        Self {
            length: surface.length,
            width: surface.width,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // ITF Rules of Tennis, Rule 1; derived lengths and areas by the arithmetic beside them, to the nearest
    // millimetre and square millimetre.
    #[test]
    fn the_lines_are_as_long_as_the_rules_make_them() {
        assert_eq!(court_length(), Millimetres(23_774));
        assert_eq!(Lines::Doubles.width(), Millimetres(10_973));
        assert_eq!(Lines::Singles.width(), Millimetres(8_230));
        // 2×36 + 4×78 + 2×27 + 2×21 = 480 ft; with two marks of 4 in 146.5072 m
        assert_eq!(Lines::Doubles.length(), Millimetres(146_304));
        assert_eq!(Lines::Doubles.to_sweep(), Millimetres(146_507));
        // 2×27 + 2×78 + 2×27 + 42 = 306 ft
        assert_eq!(Lines::Singles.length(), Millimetres(93_269));
        assert_eq!(NET_AT_POSTS, Micrometres::from_inches(42).unwrap());
        assert_eq!(NET_AT_CENTRE, Micrometres::from_inches(36).unwrap());
    }

    // ITF Rules of Tennis, Rule 1; clearances of the ITF Technical Booklet, table 5, notes d and e.
    #[test]
    fn areas_and_run_offs_come_out() {
        assert_eq!(Lines::Doubles.area(), SquareMillimetres(260_871_736));
        assert_eq!(Lines::Singles.area(), SquareMillimetres(195_653_802));
        let usual = CourtSurface::default();
        assert_eq!(usual.area(), SquareMillimetres(668_901_888));
        assert_eq!(usual.run_off(), SquareMillimetres(408_030_152));
        assert_eq!(
            (usual.run_back(), usual.side_run()),
            (Millimetres(6_401), Millimetres(3_658))
        );
        let club = CourtSurface::new(Millimetres(34_747), Millimetres(17_069)).unwrap();
        assert_eq!(club.area().to_square_feet(), Ok(6_384));
    }

    #[test]
    fn a_place_is_on_the_court_up_to_its_edge() {
        let court = (Millimetres(36_576), Millimetres(18_288));
        for (place, is_on) in [
            ((0, 0), true),
            ((9_144, -18_288), true),
            ((9_145, 0), false),
            ((0, 18_289), false),
            ((i64::MIN, i64::MAX), false),
        ] {
            let place = (Millimetres(place.0), Millimetres(place.1));
            assert_eq!(lies_on(court, place), is_on, "{place:?}");
        }
    }

    #[test]
    fn a_surface_must_hold_the_lines() {
        let small = CourtSurface::new(Millimetres(23_000), Millimetres(11_000));
        assert_eq!(small, Err(CourtError::SmallerThanTheLines));
        let endless = CourtSurface::new(Millimetres(i64::MAX), Millimetres(11_000));
        assert_eq!(endless, Err(CourtError::Overflow(Overflow)));
    }
}
