//! A net as it was gauged, held against the rules.
//!
//! ITF Rules of Tennis, Rule 1 "The Court": the net is 3 ft (0.914 m) high at the centre, where a strap of at most 2 in (5 cm)
//! holds it down.

use super::NET_AT_CENTRE;
use crate::care::DefectKind;
use crate::units::Micrometres;

/// The widest a centre strap may be, 2 in (Rule 1).
pub const STRAP_WIDEST: Micrometres = Micrometres(50_800);
/// How far a net may be off at the centre before somebody sets it: an eighth of an inch, which is 3 mm read to the whole
/// millimetre. Common practice, no source.
pub const NET_TOLERANCE: Micrometres = Micrometres(3_175);
/// A strap of 2 in read to the whole millimetre is 51 mm: that much is the reading's and not the strap's.
const STRAP_READ: Micrometres = Micrometres(200);

word_enum! {
    /// What is not by the rules at a net that was gauged.
    NetFault {
        /// It is too low at the centre: the cable has slackened.
        TooLow = "too_low",
        /// It is too high at the centre: the strap does not hold it down.
        TooHigh = "too_high",
        /// The strap is too wide.
        StrapTooWide = "strap_too_wide",
    }
}

impl NetFault {
    /// The defect that it is. Common practice, no source.
    pub const fn defect(self) -> DefectKind {
        match self {
            Self::TooLow => DefectKind::LooseNetCable,
            Self::TooHigh | Self::StrapTooWide => DefectKind::WornStrap,
        }
    }
}

/// What is not by the rules at a net of this height at the centre and with a strap of this width, where that was measured:
/// nothing where all is.
pub fn net_faults(height: Micrometres, strap: Option<Micrometres>) -> Vec<NetFault> {
    let off = height.0.saturating_sub(NET_AT_CENTRE.0);
    let height = match off {
        off if off < -NET_TOLERANCE.0 => Some(NetFault::TooLow),
        off if off > NET_TOLERANCE.0 => Some(NetFault::TooHigh),
        _ => None,
    };
    let is_wide = |strap: Micrometres| strap.0 > STRAP_WIDEST.0 + STRAP_READ.0;
    let strap = strap.filter(|strap| is_wide(*strap));
    height
        .into_iter()
        .chain(strap.map(|_| NetFault::StrapTooWide))
        .collect()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn eighths(number: i64) -> Micrometres {
        Micrometres::from_eighth_inches(number).unwrap()
    }

    fn mm(number: i64) -> Micrometres {
        Micrometres(number * 1_000)
    }

    // ITF Rules of Tennis, Rule 1: 3 ft is 36 in.
    #[test]
    fn a_net_of_three_feet_with_a_strap_of_two_inches_is_by_the_rules() {
        assert_eq!(net_faults(eighths(36 * 8), Some(eighths(16))), []);
        assert_eq!(net_faults(mm(914), Some(mm(51))), []);
    }

    #[test]
    fn an_eighth_of_an_inch_or_three_millimetres_are_let_pass_and_more_are_not() {
        let height = |um| net_faults(um, None);
        assert_eq!(height(eighths(36 * 8 - 1)), []);
        assert_eq!(height(eighths(36 * 8 + 1)), []);
        assert_eq!(height(eighths(36 * 8 - 2)), [NetFault::TooLow]);
        assert_eq!(height(eighths(36 * 8 + 2)), [NetFault::TooHigh]);
        assert_eq!((height(mm(912)), height(mm(917))), (vec![], vec![]));
        assert_eq!(height(mm(911)), [NetFault::TooLow]);
        assert_eq!(height(mm(918)), [NetFault::TooHigh]);
    }

    #[test]
    fn a_strap_wider_than_two_inches_is_out_whatever_the_height() {
        assert_eq!(
            net_faults(NET_AT_CENTRE, Some(eighths(17))),
            [NetFault::StrapTooWide]
        );
        assert_eq!(
            net_faults(mm(930), Some(mm(52))),
            [NetFault::TooHigh, NetFault::StrapTooWide]
        );
    }

    proptest! {
        #[test]
        fn a_net_is_never_both_too_low_and_too_high(um in any::<i64>(), strap in any::<Option<i64>>()) {
            let faults = net_faults(Micrometres(um), strap.map(Micrometres));
            let of_height = |fault: &&NetFault| **fault != NetFault::StrapTooWide;
            prop_assert!(faults.iter().filter(of_height).count() <= 1);
        }
    }
}
