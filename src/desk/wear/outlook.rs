//! What is to come of a site's parts: how long they last, which to order and when, what a season takes, and which of equal
//! tools takes the heavier share.

mod lives;
mod season;
mod shares;
mod spares;

use std::collections::HashMap;

use chrono::NaiveDate;
use serde::Serialize;
use trade::calendar::work_date;
use trade::life::Weibull;
use trade::money::Cents;
use utoipa::ToSchema;

pub use lives::{ClassLife, PartChance};
pub use season::{SeasonClass, SeasonMonth};
pub use shares::{ShareOfTool, shares_of};
pub use spares::{SpareOrderView, SpareView, SupplierList};

use super::change::usual_days;
use super::expected::counted;
use super::forecast::{Reckoned, all_of};
use super::known::{Class, km};
use crate::desk::access::{Permit, SeeTools};
use crate::desk::booking::Rates;
use crate::desk::settings::Settings;
use crate::desk::{Office, Result};
use crate::store::stores::material_list;
use crate::store::tools::{ToolClassRow, WearPartKind, tool_class_list};
use crate::store::wear::{PartLife, PartSupplyRow, part_lives, part_supply_list};
use crate::store::{Conn, Page, Scope};

/// How far ahead changes are told, days: half a year, as a season in the north or the south lasts.
const SEASON_DAYS: usize = 183;
/// How far ahead the chance of each day is reckoned: a year, and a season more for what an order is to last.
const CHANCE_DAYS: usize = 548;

/// What is to come of a site's parts.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct WearOutlook {
    /// The site's own date.
    pub on: NaiveDate,
    /// How long parts last, by what they are.
    pub lives: Vec<ClassLife>,
    /// What is to be ordered, one list a supplier, the earliest first.
    pub suppliers: Vec<SupplierList>,
    /// The changes of the half year to come, month by month.
    pub months: Vec<SeasonMonth>,
    /// The same by what is changed.
    pub season: Vec<SeasonClass>,
    /// Which of equal tools takes the heavier share.
    pub shares: Vec<ShareOfTool>,
}

/// What a part is: its kind, and the class of its tool; none where it is a court's.
type Sort = (WearPartKind, Option<i64>);

/// What is to come of a site's parts.
pub fn wear_outlook(office: &Office, permit: &Permit<SeeTools>) -> Result<WearOutlook> {
    let now = office.now();
    office.db.read(|conn| {
        let rates = Rates::read(conn, permit)?;
        let on = work_date(rates.zone, now.utc());
        let book = Book::read(conn, permit, rates, on)?;
        let lives = lives::of_all(&book);
        let fitted = fitted(&book, &lives);
        Ok(WearOutlook {
            on,
            suppliers: spares::by_supplier(&book, &fitted)?,
            months: season::months(&book, &fitted),
            season: season::by_sort(&book, &fitted),
            shares: shares::of_classes(&book.rates, &book.settings, &book.reckoned)?,
            lives: lives.into_iter().map(|one| one.view).collect(),
        })
    })
}

/// What the outlook is made from, read once.
struct Book {
    rates: Rates,
    settings: Settings,
    today: NaiveDate,
    parts: Vec<PartLife>,
    reckoned: Vec<Reckoned>,
    supplies: Vec<PartSupplyRow>,
    /// What is on the shelf of a material: pieces, and what they are worth, cents.
    shelf: HashMap<i64, (i64, i64)>,
    classes: Vec<ToolClassRow>,
}

impl Book {
    fn read(conn: &mut Conn, scope: &Scope, rates: Rates, today: NaiveDate) -> Result<Self> {
        let settings = Settings::read(conn, scope)?;
        let reckoned = all_of(conn, scope, (&rates, &settings), None, today)?;
        let materials = material_list(conn, scope, Page::ALL)?.items;
        Ok(Self {
            settings,
            today,
            parts: part_lives(conn, scope)?,
            reckoned,
            supplies: part_supply_list(conn, scope, Page::ALL)?.items,
            shelf: materials
                .into_iter()
                .map(|of| (of.id, (of.on_hand, of.value_cents)))
                .collect(),
            classes: tool_class_list(conn, scope, Page::ALL)?.items,
            rates,
        })
    }

    /// What is expected of a part; none where that cannot be reckoned.
    fn reckoned(&self, part: i64) -> Option<&Reckoned> {
        let mut all = self.reckoned.iter();
        all.find(|one| one.whole.wear.part.id == part)
    }

    fn supply(&self, (kind, class): Sort) -> Option<&PartSupplyRow> {
        let mut supplies = self.supplies.iter();
        supplies.find(|one| one.kind == kind && one.tool_class_id == class)
    }

    fn class(&self, (_, class): Sort) -> Option<&ToolClassRow> {
        self.classes.iter().find(|one| Some(one.id) == class)
    }

    /// What a new part costs, cents: as on the shelf, else as its tool's class has it, else as the last one cost.
    fn price(&self, sort: Sort) -> Option<Cents> {
        let shelf = self.supply(sort).and_then(|supply| supply.material_id);
        let on_shelf = shelf.and_then(|material| self.shelf.get(&material));
        let each = on_shelf.filter(|(pieces, _)| *pieces > 0);
        let each = each.map(|(pieces, cents)| cents / pieces);
        let of_class = || self.class(sort).map(|class| class.wear_cents);
        let last = || {
            let same = self.parts.iter().filter(|one| sort_of(one) == sort);
            same.filter_map(|one| one.part.cost_cents).next_back()
        };
        each.or_else(of_class).or_else(last).map(Cents)
    }
}

fn sort_of(part: &PartLife) -> Sort {
    (part.part.kind, part.tool.as_ref().map(|(class, _)| *class))
}

/// A part that is fitted, with when it is likely to need a change.
struct Fitted {
    sort: Sort,
    /// The chance that it needs one by the end of today, of tomorrow and so on.
    chances: Vec<f64>,
    /// After how many days the one after it needs one.
    again_days: f64,
}

fn fitted(book: &Book, lives: &[lives::Of]) -> Vec<Fitted> {
    let on = book
        .parts
        .iter()
        .filter(|one| one.part.retired_on.is_none());
    on.filter_map(|one| {
        let sort = sort_of(one);
        let of_sort = lives.iter().find(|of| of.sort == sort)?;
        let (chances, again_days) = match book.reckoned(one.part.id) {
            Some(reckoned) => (by_wear(reckoned), again(reckoned, of_sort.mean)),
            // What is counted by use and has no forecast says nothing of days.
            None if of_sort.by_use => return None,
            None => (by_age(&of_sort.lives, age_days(book, one)), of_sort.mean),
        };
        Some(Fitted {
            sort,
            chances,
            again_days,
        })
    })
    .collect()
}

/// Reckoned at the end of each week, and between by how much it is used until then: a week moves the chance little.
fn by_wear(of: &Reckoned) -> Vec<f64> {
    let mut chances = vec![of.chance_after(0.0)];
    let (mut used, mut most) = (0.0, chances[0]);
    for week in of.days.chunks(7) {
        let of_week: f64 = week.iter().map(|day| day.uses).sum();
        let end = most.max(of.chance_after(used + of_week));
        let mut until = 0.0;
        for day in week {
            until += day.uses;
            let share = if of_week > 0.0 { until / of_week } else { 1.0 };
            chances.push((end - most).mul_add(share, most));
        }
        used += of_week;
        most = end;
        if chances.len() >= CHANCE_DAYS {
            break;
        }
    }
    chances.truncate(CHANCE_DAYS);
    chances
}

fn by_age(lives: &Weibull, age_days: f64) -> Vec<f64> {
    let mut most = 0.0_f64;
    (0..CHANCE_DAYS)
        .map(|day| {
            let further = counted(i64::try_from(day).unwrap_or(0));
            let chance = 1.0 - lives.chance_to_last(age_days, further);
            most = most.max(chance.clamp(0.0, 1.0));
            most
        })
        .collect()
}

/// Days that so many kilometres take.
fn again(of: &Reckoned, life_km: f64) -> f64 {
    let all: f64 = of.days.iter().map(|day| day.uses).sum();
    let days = counted(i64::try_from(of.days.len()).unwrap_or(0));
    if all > 0.0 {
        life_km * days / all
    } else {
        f64::INFINITY
    }
}

fn age_days(book: &Book, one: &PartLife) -> f64 {
    let until = one.part.retired_on.unwrap_or(book.today);
    counted((until - one.part.fitted_on).num_days() + 1)
}

/// How long a part commonly lasts by what is said of its kind: km where it is counted by use, else days.
fn said_life(book: &Book, sort: Sort, one: &PartLife) -> Option<(bool, f64)> {
    if one.part.tool_id.is_some() && one.part.start_um.is_some() {
        return Some((true, Class::of(&book.rates, &one.part)?.life_km));
    }
    let said = book.supply(sort).and_then(|supply| supply.life_days);
    Some((false, counted(said.unwrap_or(usual_days(sort.0)))))
}

/// How old a part is, in what its sort is counted in.
fn age(book: &Book, by_use: bool, one: &PartLife) -> f64 {
    if by_use {
        km(one.used_mm)
    } else {
        age_days(book, one)
    }
}
