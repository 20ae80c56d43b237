//! Pieces that pages share.

pub mod court;
pub mod frame;

use trade::units::UnitSystem;

use crate::store::sites::{SiteRow, Units};
use crate::words::shown::Shown;

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

/// The last part of a key for a word of a list: `left_undone` is `left-undone`.
pub fn key_part(word: &str) -> String {
    word.replace('_', "-")
}
