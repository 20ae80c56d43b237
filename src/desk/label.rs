//! What a task may be done in, by the site's standard and by the labels of the products it takes: of two that speak of
//! the same, the stricter holds. The product's own label comes first.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::store::care::TaskDetail;
use crate::store::stores::{Label, MaterialRow};

/// The limits of a task. What nobody limits is none, or 0.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Limits {
    /// The most wind, mm/s.
    pub max_wind_mmps: Option<i64>,
    /// The least air temperature, thousandths of a degree Celsius.
    pub min_air_mc: Option<i64>,
    /// The most, the same.
    pub max_air_mc: Option<i64>,
    /// How long no rain may fall after it, s.
    pub dry_s: i64,
    /// How long the court is shut after it, s.
    pub rest_s: i64,
}

/// The label of a product as an order shows it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct LabelView {
    /// The material's code.
    pub code: String,
    /// What the site calls it.
    pub name: String,
    /// What its label says.
    pub label: Label,
}

/// The labels of what a task takes, as far as the site keeps them.
pub fn labels<'a>(
    detail: &'a TaskDetail,
    stores: &'a [MaterialRow],
) -> impl Iterator<Item = (&'a MaterialRow, &'a Label)> {
    detail.materials.iter().filter_map(|wanted| {
        let kept = stores.iter().find(|kept| kept.code == wanted.code)?;
        Some((kept, &kept.label.as_ref()?.0))
    })
}

/// The limits of a task.
pub fn limits(detail: &TaskDetail, stores: &[MaterialRow]) -> Limits {
    let own = Limits {
        max_wind_mmps: detail.max_wind_mmps,
        rest_s: detail.rest_s,
        ..Limits::default()
    };
    labels(detail, stores).fold(own, |held, (_, label)| held.and(Limits::of(label)))
}

impl Limits {
    /// What a label says.
    fn of(label: &Label) -> Self {
        Self {
            max_wind_mmps: label.max_wind_mmps,
            min_air_mc: label.min_air_mc,
            max_air_mc: label.max_air_mc,
            dry_s: label.dry_s.unwrap_or(0),
            rest_s: label.rest_s.unwrap_or(0),
        }
    }

    /// These and others together.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        let least = |one: Option<i64>, other: Option<i64>| one.into_iter().chain(other).min();
        Self {
            max_wind_mmps: least(self.max_wind_mmps, other.max_wind_mmps),
            min_air_mc: self.min_air_mc.max(other.min_air_mc),
            max_air_mc: least(self.max_air_mc, other.max_air_mc),
            dry_s: self.dry_s.max(other.dry_s),
            rest_s: self.rest_s.max(other.rest_s),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_a_standard_and_a_label_the_stricter_holds() {
        let label = Label {
            sheet: "in the shed".into(),
            gear: Vec::new(),
            max_wind_mmps: Some(3_000),
            min_air_mc: Some(5_000),
            max_air_mc: None,
            dry_s: Some(7_200),
            rest_s: Some(600),
        };
        let own = Limits {
            max_wind_mmps: Some(4_500),
            rest_s: 3_600,
            ..Limits::default()
        };
        let both = own.and(Limits::of(&label));
        assert_eq!(both.max_wind_mmps, Some(3_000));
        assert_eq!((both.min_air_mc, both.max_air_mc), (Some(5_000), None));
        assert_eq!((both.dry_s, both.rest_s), (7_200, 3_600));
    }
}
