//! Leaves: off before any brush or roller comes, which would press them into the surface and stain it. Common practice,
//! no source.

use chrono::NaiveDate;

use super::Season;
use crate::grooming::ToolAction;
use crate::units::Seconds;
use crate::whole::{Overflow, scaled};

/// By hand, with a broom or a rake, it takes twice as long as with a blower. Common practice, no source.
const BY_HAND_PCT: i64 = 200;

/// Whether leaves are taken to lie on a court: as it was seen that day, else in their season.
pub fn leaves_lie(season: Option<Season>, date: NaiveDate, seen: Option<bool>) -> bool {
    seen.unwrap_or_else(|| season.is_some_and(|season| season.contains(date)))
}

/// Whether leaves must be off before a tool that does this.
pub const fn leaves_first(action: ToolAction) -> bool {
    matches!(
        action,
        ToolAction::Smooths | ToolAction::Levels | ToolAction::Loosens | ToolAction::Firms
    )
}

/// How long taking leaves off takes where a blower does it in `base`.
pub fn leaves_off_s(base: Seconds, has_blower: bool) -> Result<Seconds, Overflow> {
    if has_blower {
        return Ok(base);
    }
    scaled(base.0, BY_HAND_PCT, 100).map(Seconds)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn date(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    #[test]
    fn leaves_lie_in_their_season_and_whenever_they_are_seen() {
        let autumn = Some(Season {
            from: "10-01".parse().unwrap(),
            until: "11-30".parse().unwrap(),
        });
        let (june, october) = (date("2031-06-10"), date("2031-10-14"));
        assert!(leaves_lie(autumn, october, None) && !leaves_lie(autumn, june, None));
        assert!(leaves_lie(autumn, june, Some(true)) && leaves_lie(None, june, Some(true)));
        assert!(
            !leaves_lie(autumn, october, Some(false)),
            "it was seen clean"
        );
        assert!(!leaves_lie(None, october, None));
    }

    #[test]
    fn what_brushes_or_rolls_waits_for_them_and_what_does_not_does_not() {
        let waiting: Vec<_> = ToolAction::ALL
            .iter()
            .filter(|action| leaves_first(**action))
            .map(|action| action.as_str())
            .collect();
        assert_eq!(waiting, ["smooths", "levels", "loosens", "firms"]);
    }

    #[test]
    fn by_hand_it_takes_longer() {
        assert_eq!(leaves_off_s(Seconds(600), true), Ok(Seconds(600)));
        assert_eq!(leaves_off_s(Seconds(600), false), Ok(Seconds(1_200)));
    }
}
