//! Pieces that pages share.

pub mod court;
pub mod days;
pub mod deed;
pub mod form;
pub mod frame;
pub mod qr;

use chrono::NaiveDateTime;
use chrono_tz::Tz;
use trade::calendar::local_to_instant;
use trade::units::UnitSystem;

use crate::store::Instant;
use crate::store::sites::{SiteRow, Units};
use crate::words::shown::Shown;
use crate::words::{say, say_with};

/// How a site's pages show dates, times, money and quantities.
pub fn shown(site: &SiteRow) -> Shown {
    Shown {
        // A site is founded with a zone of the list, so this reading does not fail.
        zone: site.zone.parse().unwrap_or(chrono_tz::UTC),
        units: match site.units {
            Units::UsCustomary => UnitSystem::UsCustomary,
            Units::Metric => UnitSystem::Metric,
        },
        currency: site.currency.clone(),
    }
}

/// The instant of a field for a local date and time, `2031-06-10T08:30`; none where it does not read.
pub fn local_instant(zone: Tz, text: &str) -> Option<Instant> {
    let at = NaiveDateTime::parse_from_str(text, "%Y-%m-%dT%H:%M").ok()?;
    Some(local_to_instant(zone, at.date(), at.time()).into())
}

/// The last part of a key for a word of a list: `left_undone` is `left-undone`.
pub fn key_part(word: &str) -> String {
    word.replace('_', "-")
}

/// Above so many per cent a share says little: the cost of what does not fit stands in it.
const TELLING: i128 = 25;

/// How far from the best possible a plan can be at most, in words; none where nothing is known of
/// that. Whole per cent, rounded up, so that "at most" holds.
pub fn how_good(show: &Shown, cost_cents: i64, least_cents: i64) -> Option<String> {
    let (cost, least) = (i128::from(cost_cents), i128::from(least_cents));
    if cost <= least {
        return Some(say("plan-best"));
    }
    if least <= 0 {
        return None;
    }
    let percent = ((cost - least) * 100 + least - 1) / least;
    Some(if percent <= TELLING {
        say_with("plan-dearer", &[("percent", percent.to_string().into())])
    } else {
        say_with("plan-least", &[("cost", show.money(least_cents).into())])
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plan_is_never_said_to_be_nearer_to_the_best_than_it_may_be() {
        let show = Shown {
            zone: chrono_tz::UTC,
            units: UnitSystem::UsCustomary,
            currency: "USD".into(),
        };
        let said = |cost, least| how_good(&show, cost, least);
        let at_most = |percent: &str| {
            Some(format!(
                "At most {percent}\u{a0}% dearer than the best possible."
            ))
        };
        assert_eq!(said(102_000, 100_000), at_most("2"));
        assert_eq!(said(102_001, 100_000), at_most("3"));
        assert_eq!(said(100_001, 100_000), at_most("1"));
        assert_eq!(said(125_000, 100_000), at_most("25"));
        assert_eq!(
            said(125_001, 100_000).unwrap(),
            "The best possible costs at least $1,000.00."
        );
        assert_eq!(
            said(100_000, 100_000).unwrap(),
            "No plan of this day can cost less."
        );
        assert_eq!(said(100_000, 0), None);
        assert!(said(i64::MAX, 1).is_some());
    }
}
