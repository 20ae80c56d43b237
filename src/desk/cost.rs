//! What courts cost: sums by court and kind, and the lines and hours they are made of.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use serde::Serialize;
use utoipa::ToSchema;

use super::access::{Permit, SeeCost, SeeHours};
use super::{Error, Office, Result};
use crate::store::cost::{self, CostFilter, CostKind, CostLineRow};
use crate::store::hours::{self, HoursRow};
use crate::store::{self, Conn, Page, Paged, Scope, courts};

/// The longest stretch that is summed at once, days.
const MOST_DAYS: i64 = 400;

/// Dates of the site, the first and the last included.
#[derive(Clone, Copy, Debug)]
pub struct Dates {
    from: NaiveDate,
    to: NaiveDate,
}

impl Dates {
    /// The first and the last.
    pub const fn ends(&self) -> (NaiveDate, NaiveDate) {
        (self.from, self.to)
    }

    /// From one date to another; a fault of the field `to` where that is no stretch of at most
    /// 400 days.
    pub fn of(from: NaiveDate, to: NaiveDate) -> Result<Self> {
        let days = (to - from).num_days() + 1;
        if (1..=MOST_DAYS).contains(&days) {
            return Ok(Self { from, to });
        }
        let mend = if days < 1 {
            format!("give a date on or after from, {from}")
        } else {
            format!("ask for at most {MOST_DAYS} days at once, from {from} on")
        };
        Err(Error::refused("to", mend))
    }
}

/// What the courts of a site cost.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct CostView {
    /// The first date.
    pub from: NaiveDate,
    /// The last date, included.
    pub to: NaiveDate,
    /// Every court of the site, in order, also one that cost nothing.
    pub courts: Vec<CourtCost>,
    /// All courts together, by kind.
    pub kinds: Vec<KindCost>,
    /// All courts together, cents.
    pub cents: i64,
}

/// What one court cost.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct CourtCost {
    /// The court.
    pub court_id: i64,
    /// Its name.
    pub court: String,
    /// By kind; a kind that has no line is not there.
    pub kinds: Vec<KindCost>,
    /// All kinds together, cents.
    pub cents: i64,
}

/// Cents of one kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct KindCost {
    /// What for.
    pub kind: CostKind,
    /// How much, cents.
    pub cents: i64,
}

/// What the site's courts cost on these dates, by court and kind.
pub fn cost_read(office: &Office, permit: &Permit<SeeCost>, dates: Dates) -> Result<CostView> {
    Ok(office.db.read(|conn| costs_on(conn, permit, dates))?)
}

/// The same inside a transaction.
pub(super) fn costs_on(conn: &mut Conn, scope: &Scope, dates: Dates) -> store::Result<CostView> {
    let sums = cost::cost_sums(conn, scope, dates.from, dates.to)?;
    let mut courts = courts::court_list(conn, scope, Page::ALL)?.items;
    courts.sort_by_key(|court| (court.position, court.id));
    let mut of_court: BTreeMap<i64, ByKind> = BTreeMap::new();
    let mut of_site = ByKind::new();
    for sum in sums {
        let of_court = of_court.entry(sum.court_id).or_default();
        *of_court.entry(sum.kind).or_default() += sum.cents;
        *of_site.entry(sum.kind).or_default() += sum.cents;
    }
    let courts = courts.into_iter().map(|court| {
        let by_kind = of_court.remove(&court.id).unwrap_or_default();
        CourtCost {
            court_id: court.id,
            court: court.name,
            cents: by_kind.values().sum(),
            kinds: kinds(by_kind),
        }
    });
    Ok(CostView {
        from: dates.from,
        to: dates.to,
        courts: courts.collect(),
        cents: of_site.values().sum(),
        kinds: kinds(of_site),
    })
}

type ByKind = BTreeMap<CostKind, i64>;

fn kinds(by_kind: ByKind) -> Vec<KindCost> {
    by_kind
        .into_iter()
        .map(|(kind, cents)| KindCost { kind, cents })
        .collect()
}

/// Which lines are asked for, beside their dates.
#[derive(Clone, Copy, Debug, Default)]
pub struct LinesOf {
    /// Of this court only.
    pub court_id: Option<i64>,
    /// Of this order only.
    pub order_id: Option<i64>,
    /// Of this kind only.
    pub kind: Option<CostKind>,
}

/// The lines that the figures of these dates are made of.
pub fn cost_line_list(
    office: &Office,
    permit: &Permit<SeeCost>,
    dates: Dates,
    of: LinesOf,
    page: Page,
) -> Result<Paged<CostLineRow>> {
    let filter = CostFilter {
        from: dates.from,
        to: dates.to,
        court_id: of.court_id,
        order_id: of.order_id,
        kind: of.kind,
    };
    Ok(office
        .db
        .read(|conn| cost::cost_line_list(conn, permit, &filter, page))?)
}

/// The hours entries of these dates, of one person or of all.
pub fn hours_list(
    office: &Office,
    permit: &Permit<SeeHours>,
    dates: Dates,
    person_id: Option<i64>,
    page: Page,
) -> Result<Paged<HoursRow>> {
    let between = (dates.from, dates.to);
    Ok(office
        .db
        .read(|conn| hours::hours_list(conn, permit, between, person_id, page))?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn four_hundred_days_are_summed_at_once_and_not_one_more() {
        let date = |text: &str| text.parse::<NaiveDate>().unwrap();
        assert!(Dates::of(date("2031-06-10"), date("2031-06-10")).is_ok());
        assert!(Dates::of(date("2031-01-01"), date("2032-02-04")).is_ok());
        for (from, to) in [("2031-01-01", "2032-02-05"), ("2031-06-10", "2031-06-09")] {
            let refused = Dates::of(date(from), date(to)).unwrap_err();
            assert!(matches!(refused, Error::Refused(faults) if faults[0].field == "to"));
        }
    }
}
