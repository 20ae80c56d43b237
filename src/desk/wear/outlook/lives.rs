//! How long parts last, by what they are: from those that gave out and those that still hold.

use std::collections::BTreeMap;

use serde::Serialize;
use trade::life::{Life, USUAL_SHAPE, Weibull, best_age, fit_class};
use trade::money::Cents;
use utoipa::ToSchema;

use super::{Book, Sort, age, said_life, sort_of};
use crate::desk::settings::known::WORN_IN_ROUND_CENTS;
use crate::desk::wear::known::whole_number;
use crate::store::tools::{TakenOff, WearPartKind};
use crate::store::wear::PartLife;

/// How long parts of a kind last.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct ClassLife {
    /// What they are.
    pub kind: WearPartKind,
    /// The class of their tools; null where they are courts'.
    pub tool_class_id: Option<i64>,
    /// What the site calls it.
    pub class: Option<String>,
    /// What their age is counted in: `metres` that they were pulled, weighed, or `days`.
    #[schema(value_type = String, example = "days")]
    pub counted_in: &'static str,
    /// How many are fitted.
    pub fitted: usize,
    /// How many gave out or were worn out.
    pub failed: usize,
    /// Whether that is enough to tell by them alone; else it is what is said of the class, as far as it agrees with those that
    /// hold.
    pub by_record: bool,
    /// The age that half of them reach.
    pub typical: i64,
    /// Between which two the typical age lies with 95 % confidence; null where nothing bounds it.
    pub typical_between: [Option<i64>; 2],
    /// The age before which one in ten gives out.
    pub early: i64,
    /// The age that one in ten reaches.
    pub late: i64,
    /// The age at which a planned change costs least; null where it never pays.
    pub change_at: Option<i64>,
    /// Each that is fitted.
    pub parts: Vec<PartChance>,
}

/// The chance that a part holds.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct PartChance {
    /// The part.
    pub wear_part_id: i64,
    /// The number of its tool, or the name of its court.
    pub on: String,
    /// Its age, in what its kind is counted in.
    pub age: i64,
    /// In how many of 1,000 cases it lasts another week.
    pub week_permille: i64,
    /// Another 30 days.
    pub month_permille: i64,
    /// Another half year.
    pub season_permille: i64,
}

/// How long parts of a sort last.
pub(super) struct Of {
    pub sort: Sort,
    pub by_use: bool,
    /// Their lives, km or days.
    pub lives: Weibull,
    /// The mean of them.
    pub mean: f64,
    pub view: ClassLife,
}

/// Of every sort the site has parts of.
pub(super) fn of_all(book: &Book) -> Vec<Of> {
    let mut sorts: BTreeMap<(&'static str, Option<i64>), Vec<&PartLife>> = BTreeMap::new();
    for part in &book.parts {
        let (kind, class) = sort_of(part);
        sorts.entry((kind.as_str(), class)).or_default().push(part);
    }
    sorts
        .into_values()
        .filter_map(|parts| of_sort(book, &parts))
        .collect()
}

fn of_sort(book: &Book, parts: &[&PartLife]) -> Option<Of> {
    let sort = sort_of(parts.first()?);
    let (by_use, said) = parts.iter().find_map(|one| said_life(book, sort, one))?;
    let record: Vec<Life> = parts
        .iter()
        .map(|one| Life {
            age: age(book, by_use, one),
            failed: matches!(
                one.part.retired_why,
                Some(TakenOff::WornOut | TakenOff::Broke)
            ),
        })
        .filter(|life| life.age > 0.0)
        .collect();
    let failed = record.iter().filter(|life| life.failed).count();
    // A mean life of the usual shape: the scale is the mean by Γ(1 + 1/shape).
    let of_mean = Weibull::new(USUAL_SHAPE, 1.0).ok()?;
    let said = Weibull::new(USUAL_SHAPE, said / of_mean.mean()).ok()?;
    let fit = fit_class(&record, USUAL_SHAPE).ok();
    let lives = match &fit {
        Some(fit) if failed > 0 || fit.lives.scale > said.scale => fit.lives,
        _ => said,
    };
    let whole = |value: f64| {
        let unit = if by_use { 1_000.0 } else { 1.0 };
        whole_number(value * unit)
    };
    // The median stands to the scale as long as the shape does not change.
    let median = lives.median() / lives.scale;
    let between = fit
        .as_ref()
        .filter(|_| failed > 0)
        .map(|fit| &fit.scale_between);
    let planned = book.price(sort);
    let in_round = book.settings.number(WORN_IN_ROUND_CENTS);
    let change_at = planned
        .and_then(|planned| best_age(&lives, planned, Cents(planned.0.saturating_add(in_round))));
    let fitted = parts.iter().filter(|one| one.part.retired_on.is_none());
    let fitted: Vec<PartChance> = fitted
        .map(|one| chance(book, (by_use, &lives), one, whole))
        .collect();
    let view = ClassLife {
        kind: sort.0,
        tool_class_id: sort.1,
        class: book.class(sort).map(|class| class.name.clone()),
        counted_in: if by_use { "metres" } else { "days" },
        fitted: fitted.len(),
        failed,
        by_record: fit.as_ref().is_some_and(|fit| fit.shape_between.is_some()),
        typical: whole(lives.median()).unwrap_or(i64::MAX),
        typical_between: [
            between.and_then(|of| whole(of.low * median)),
            between.and_then(|of| whole(of.high? * median)),
        ],
        early: whole(lives.b10()).unwrap_or(i64::MAX),
        late: whole(lives.quantile(0.9)).unwrap_or(i64::MAX),
        change_at: change_at.and_then(|at| whole(at.age)),
        parts: fitted,
    };
    Some(Of {
        sort,
        by_use,
        mean: lives.mean(),
        lives,
        view,
    })
}

fn chance(
    book: &Book,
    (by_use, lives): (bool, &Weibull),
    one: &PartLife,
    whole: impl Fn(f64) -> Option<i64>,
) -> PartChance {
    let age = age(book, by_use, one);
    let lasts = |days: u32| {
        let lasts = match book.reckoned(one.part.id) {
            Some(of) => {
                let days = of.days.iter().take(usize::try_from(days).unwrap_or(0));
                1.0 - of.chance_after(days.map(|day| day.uses).sum())
            }
            None if by_use => lives.chance_to_last(age, 0.0),
            None => lives.chance_to_last(age, f64::from(days)),
        };
        whole_number(lasts.clamp(0.0, 1.0) * 1_000.0).unwrap_or(0)
    };
    let tool = one.tool.as_ref().map(|(_, number)| number.clone());
    PartChance {
        wear_part_id: one.part.id,
        on: tool.or_else(|| one.court.clone()).unwrap_or_default(),
        age: whole(age).unwrap_or(0),
        week_permille: lasts(7),
        month_permille: lasts(30),
        season_permille: lasts(183),
    }
}
