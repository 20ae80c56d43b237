//! When a part gives out, in plain words.

use chrono::NaiveDate;
use trade::units::Micrometres;

use super::shown::{Shown, date_short};
use super::{say, say_with};

/// What is known of when a part gives out.
#[derive(Clone, Copy, Debug)]
pub struct GivesOut {
    /// It was last measured at its limit or below.
    pub is_worn_out: bool,
    /// The length at which it is worn out, µm.
    pub limit_um: i64,
    /// How far it is pulled a day of late, m.
    pub used_a_day_m: i64,
    /// One time in ten it gives out no later.
    pub early: Option<NaiveDate>,
    /// Nine times in ten it gives out no later; none beyond two years.
    pub late: Option<NaiveDate>,
}

impl GivesOut {
    /// `Likely worn out between Tue, June 10 and Mon, June 16`.
    pub fn in_words(&self, show: &Shown) -> String {
        if self.is_worn_out {
            let limit = Micrometres(self.limit_um).show(show.units);
            return say_with("wear-worn-out", &[("limit", limit.into())]);
        }
        if self.used_a_day_m == 0 {
            return say("wear-not-used");
        }
        match (self.early.map(date_short), self.late.map(date_short)) {
            (Some(early), Some(late)) => say_with(
                "wear-between",
                &[("early", early.into()), ("late", late.into())],
            ),
            (Some(early), None) => say_with("wear-not-before", &[("early", early.into())]),
            (None, _) => say("wear-far-off"),
        }
    }
}
