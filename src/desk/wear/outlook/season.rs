//! What the half year to come takes in parts and money.

use chrono::{Datelike, NaiveDate};
use serde::Serialize;
use utoipa::ToSchema;

use super::{Book, Fitted, SEASON_DAYS, Sort};
use crate::desk::wear::known::whole_number;
use crate::store::tools::WearPartKind;

/// A month of the half year to come.
#[derive(Clone, Copy, Debug, Serialize, ToSchema)]
pub struct SeasonMonth {
    /// Its first day, or today.
    pub from: NaiveDate,
    /// How many parts are likely to be changed, thousandths.
    pub changes_permille: i64,
    /// What they cost by what is known of prices, cents.
    pub cents: i64,
}

/// What the half year takes of one kind of part.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct SeasonClass {
    /// What they are.
    pub kind: WearPartKind,
    /// The class of their tools; null where they are courts'.
    pub tool_class_id: Option<i64>,
    /// What the site calls it.
    pub class: Option<String>,
    /// How many are likely to be changed, thousandths.
    pub changes_permille: i64,
    /// What they cost, cents; null where no price is known.
    pub cents: Option<i64>,
}

/// Month by month, from today; none where no part is fitted.
pub(super) fn months(book: &Book, fitted: &[Fitted]) -> Vec<SeasonMonth> {
    let mut months = Vec::new();
    if fitted.is_empty() {
        return months;
    }
    let mut first = 0;
    while first < SEASON_DAYS {
        let from = book.today + chrono::Days::new(u64::try_from(first).unwrap_or(0));
        let days = from
            .iter_days()
            .take_while(|day| day.month() == from.month());
        let last = (first + days.count()).min(SEASON_DAYS);
        let (mut changes, mut cents) = (0.0, 0.0);
        for part in fitted {
            let more = changes_by(part, last) - changes_by(part, first);
            changes += more;
            cents += more * price(book, part.sort).unwrap_or(0.0);
        }
        months.push(SeasonMonth {
            from,
            changes_permille: whole_number(changes * 1_000.0).unwrap_or(0),
            cents: whole_number(cents).unwrap_or(0),
        });
        first = last;
    }
    months
}

/// By what is changed, the dearest first.
pub(super) fn by_sort(book: &Book, fitted: &[Fitted]) -> Vec<SeasonClass> {
    let mut sorts: Vec<(Sort, f64)> = Vec::new();
    for part in fitted {
        let changes = changes_by(part, SEASON_DAYS) - changes_by(part, 0);
        match sorts.iter_mut().find(|(sort, _)| *sort == part.sort) {
            Some((_, sum)) => *sum += changes,
            None => sorts.push((part.sort, changes)),
        }
    }
    let mut all: Vec<SeasonClass> = sorts
        .into_iter()
        .map(|(sort, changes)| SeasonClass {
            kind: sort.0,
            tool_class_id: sort.1,
            class: book.class(sort).map(|class| class.name.clone()),
            changes_permille: whole_number(changes * 1_000.0).unwrap_or(0),
            cents: price(book, sort).and_then(|each| whole_number(changes * each)),
        })
        .collect();
    all.sort_by_key(|one| {
        (
            std::cmp::Reverse(one.cents),
            one.kind.as_str(),
            one.tool_class_id,
        )
    });
    all
}

#[expect(clippy::cast_precision_loss, reason = "no part costs 2^53 cents")]
fn price(book: &Book, sort: Sort) -> Option<f64> {
    book.price(sort).map(|cents| cents.0 as f64)
}

/// How many changes a part is likely to have had before a day: its first by its own chance, and one each time the one that
/// follows has lasted as such parts do on average.
fn changes_by(part: &Fitted, day: usize) -> f64 {
    if day == 0 {
        return 0.0;
    }
    let again = whole_number(part.again_days.ceil().max(1.0));
    let again = again.and_then(|days| usize::try_from(days).ok());
    let again = again.unwrap_or(usize::MAX);
    let (mut sum, mut back) = (0.0, day - 1);
    loop {
        sum += part.chances.get(back).copied().unwrap_or(1.0);
        match back.checked_sub(again) {
            Some(earlier) => back = earlier,
            None => return sum,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn part(chances: Vec<f64>, again_days: f64) -> Fitted {
        Fitted {
            sort: (WearPartKind::Brush, None),
            chances,
            again_days,
        }
    }

    #[test]
    fn a_brush_that_surely_gives_out_and_lasts_ten_days_is_changed_three_times_in_thirty() {
        let mut chances = vec![0.0; 5];
        chances.extend(vec![1.0; 60]);
        let part = part(chances, 10.0);
        for (day, changes) in [(5, 0.0), (6, 1.0), (15, 1.0), (16, 2.0), (30, 3.0)] {
            assert!((changes_by(&part, day) - changes).abs() < 1e-12, "{day}");
        }
    }

    #[test]
    fn a_brush_that_is_never_used_is_never_changed_again() {
        let part = part(vec![0.25; 400], f64::INFINITY);
        assert!((changes_by(&part, 183) - 0.25).abs() < 1e-12);
    }
}
