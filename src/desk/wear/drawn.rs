//! A part's life as it is drawn and said, and which parts give out next.

use chrono::NaiveDate;

use super::forecast::{WearView, WearWhole, all_by_urgency};
use crate::desk::Result;
use crate::desk::booking::Rates;
use crate::store::{Conn, Scope};
use crate::words::chart::{Ahead, Drawing, Life};
use crate::words::worn::GivesOut;

impl WearView {
    /// When it gives out, to be said in words.
    pub const fn gives_out(&self) -> GivesOut {
        GivesOut {
            is_worn_out: self.is_worn_out,
            limit_um: self.worn_out_at_um,
            used_a_day_m: self.used_a_day_m,
            early: self.worn_out_on.early,
            late: self.worn_out_on.late,
        }
    }
}

impl WearWhole {
    /// Its length against its use: what was measured, the line through it, and what is to come.
    pub fn drawing(&self) -> Drawing {
        let wear = &self.wear;
        // From new on, by what was expected at each reading, until now.
        let new = wear.part.start_um.map(|um| (0, um));
        let fitted = self.fitted.iter();
        let line: Vec<(i64, i64)> = new
            .into_iter()
            .chain(fitted.map(|point| (point.used_m, point.likely_um)))
            .chain(std::iter::once((wear.used_m, wear.length_um)))
            .collect();
        let ahead = self.ahead.iter().map(|point| Ahead {
            used_m: point.used_m,
            low_um: point.low_um,
            likely_um: point.likely_um,
            high_um: point.high_um,
        });
        let ahead: Vec<Ahead> = ahead.collect();
        Drawing::of(&Life {
            start_um: wear.part.start_um.unwrap_or(1),
            limit_um: wear.worn_out_at_um,
            used_m: wear.used_m,
            line: &line,
            measured: &self.measured,
            ahead: &ahead,
        })
    }
}

/// The parts that are worn out or have a day on which they may be, as of a date: at most so many, the most urgent first.
pub(in crate::desk) fn gives_out_next(
    conn: &mut Conn,
    scope: &Scope,
    on: NaiveDate,
    most: usize,
) -> Result<Vec<WearWhole>> {
    let rates = Rates::read(conn, scope)?;
    let parts = all_by_urgency(conn, scope, &rates, on)?.into_iter();
    let near = parts.filter(|part| part.wear.is_worn_out || part.wear.worn_out_on.early.is_some());
    Ok(near.take(most).collect())
}
