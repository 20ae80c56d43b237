//! What one finished order costs its court, line by line, to the cent.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::labour::{LabourError, SECONDS_AN_HOUR, cent_seconds};
use crate::money::{Cents, RunningError, RunningTotal};
use crate::units::{Millilitres, Seconds};
use crate::whole::Overflow;

/// Millilitres in a cubic metre: the `per` of a [`RunningTotal`] of water.
pub const MILLILITRES_A_CUBIC_METRE: i64 = 1_000_000;

word_enum! {
    /// What a line of cost is for.
    CostKind {
        /// A person's time.
        Labour = "labour",
        /// Material issued.
        Material = "material",
        /// Water.
        Water = "water",
        /// The wear of a tool.
        ToolWear = "tool_wear",
    }
}

/// One person's time on the order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct LabourUse {
    /// Who.
    pub person: i64,
    /// How long.
    pub worked: Seconds,
    /// Cents an hour, straight time.
    pub cents_an_hour: Cents,
}

/// Material given out for the order, at the value the store gave it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct MaterialUse {
    /// The material.
    pub material: i64,
    /// What the issue cost.
    pub value: Cents,
}

/// Water used.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct WaterUse {
    /// The bank whose line it came from.
    pub bank: i64,
    /// How much.
    pub volume: Millilitres,
    /// Cents a cubic metre.
    pub cents_a_cubic_metre: Cents,
}

/// Uses of a tool that wears, at the flat rate of its class.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct WearUse {
    /// The tool.
    pub tool: i64,
    /// How often it was used.
    pub uses: i64,
    /// What `life` uses cost.
    pub cost: Cents,
    /// The uses that `cost` is spread over, at least 1: the `per` of the tool's [`RunningTotal`].
    pub life: i64,
}

/// What a finished order used.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct OrderUse {
    /// Time, by person.
    pub labour: Vec<LabourUse>,
    /// Material issued.
    pub materials: Vec<MaterialUse>,
    /// Water.
    pub water: Vec<WaterUse>,
    /// Tools worn.
    pub wear: Vec<WearUse>,
}

/// The running totals that orders are booked against; one not yet there starts at nothing.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Totals {
    /// By person.
    pub labour: BTreeMap<i64, RunningTotal>,
    /// By bank.
    pub water: BTreeMap<i64, RunningTotal>,
    /// By tool.
    pub wear: BTreeMap<i64, RunningTotal>,
}

/// One line of cost.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct CostLine {
    /// What for.
    pub kind: CostKind,
    /// The person, material, bank or tool, by kind.
    pub subject: i64,
    /// How much.
    pub amount: Cents,
}

/// What an order costs, and the totals after it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct OrderCost {
    /// One line for each use, in the order given: labour, material, water, wear. A line may be of no cents.
    pub lines: Vec<CostLine>,
    /// The sum of the lines.
    pub total: Cents,
    /// The totals to be kept for the next order.
    pub totals: Totals,
}

/// Why an order cannot be costed. No total has changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum CostingError {
    /// A use or a price below zero.
    #[error("water, material, uses and their prices are not negative")]
    Negative,
    /// The hours make no sense.
    #[error(transparent)]
    Labour(#[from] LabourError),
    /// The running total makes no sense.
    #[error(transparent)]
    Running(#[from] RunningError),
    /// A number does not fit 64 bits.
    #[error(transparent)]
    Overflow(#[from] Overflow),
}

/// Books what an order used against the running totals, so that over all orders the lines of a person, a bank or a
/// tool sum to what is due for them, rounded once.
pub fn cost_of_order(used: &OrderUse, mut totals: Totals) -> Result<OrderCost, CostingError> {
    let mut lines = Vec::new();
    let mut line = |kind, subject, amount| {
        lines.push(CostLine {
            kind,
            subject,
            amount,
        });
    };

    for labour in &used.labour {
        let more = cent_seconds(labour.worked, labour.cents_an_hour)?;
        let total = totals.labour.entry(labour.person).or_default();
        line(
            CostKind::Labour,
            labour.person,
            total.book(Cents(1), more, SECONDS_AN_HOUR)?,
        );
    }
    for material in &used.materials {
        if material.value.0 < 0 {
            return Err(CostingError::Negative);
        }
        line(CostKind::Material, material.material, material.value);
    }
    for water in &used.water {
        if water.volume.0 < 0 || water.cents_a_cubic_metre.0 < 0 {
            return Err(CostingError::Negative);
        }
        let total = totals.water.entry(water.bank).or_default();
        let amount = total.book(
            water.cents_a_cubic_metre,
            water.volume.0,
            MILLILITRES_A_CUBIC_METRE,
        )?;
        line(CostKind::Water, water.bank, amount);
    }
    for wear in &used.wear {
        if wear.uses < 0 || wear.cost.0 < 0 {
            return Err(CostingError::Negative);
        }
        let total = totals.wear.entry(wear.tool).or_default();
        let amount = total.book(wear.cost, wear.uses, wear.life)?;
        line(CostKind::ToolWear, wear.tool, amount);
    }

    let total = Cents::sum(lines.iter().map(|line| line.amount))?;
    Ok(OrderCost {
        lines,
        total,
        totals,
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::money::due;

    fn drag(uses: i64, life: i64) -> WearUse {
        WearUse {
            tool: 7,
            uses,
            cost: Cents(9_000),
            life,
        }
    }

    fn turnaround() -> OrderUse {
        OrderUse {
            labour: vec![LabourUse {
                person: 1,
                worked: Seconds(1_500),
                cents_an_hour: Cents(1_850),
            }],
            materials: vec![MaterialUse {
                material: 3,
                value: Cents(425),
            }],
            water: vec![WaterUse {
                bank: 2,
                volume: Millilitres(1_920_000),
                cents_a_cubic_metre: Cents(130),
            }],
            wear: vec![drag(1, 400)],
        }
    }

    #[test]
    fn a_turnaround_costs_its_time_bags_water_and_the_wear_of_its_drag() {
        let cost = cost_of_order(&turnaround(), Totals::default()).unwrap();
        let lines: Vec<_> = cost
            .lines
            .iter()
            .map(|line| (line.kind, line.subject, line.amount.0))
            .collect();
        // 1,500 s at $18.50 an hour = 770.83; 1.92 m³ at $1.30 = 249.6; 9,000 / 400 = 22.5, to the even cent
        assert_eq!(
            lines,
            [
                (CostKind::Labour, 1, 771),
                (CostKind::Material, 3, 425),
                (CostKind::Water, 2, 250),
                (CostKind::ToolWear, 7, 22),
            ]
        );
        assert_eq!(cost.total, Cents(1_468));
        let next = cost_of_order(&turnaround(), cost.totals).unwrap();
        assert_eq!(next.lines[3].amount, Cents(23));
    }

    #[test]
    fn a_negative_use_and_a_life_of_no_use_are_refused() {
        for (wear, why) in [
            (drag(-1, 400), CostingError::Negative),
            (drag(1, 0), CostingError::Running(RunningError::NoLife)),
        ] {
            let used = OrderUse {
                wear: vec![wear],
                ..OrderUse::default()
            };
            assert_eq!(cost_of_order(&used, Totals::default()), Err(why));
        }
        let material = MaterialUse {
            material: 3,
            value: Cents(-1),
        };
        let negative = OrderUse {
            materials: vec![material],
            ..OrderUse::default()
        };
        assert_eq!(
            cost_of_order(&negative, Totals::default()),
            Err(CostingError::Negative)
        );
    }

    proptest! {
        #[test]
        fn a_person_s_lines_tie_to_payroll_and_every_order_sums(
            stretches in prop::collection::vec((1_i64..20_000, 1_000_i64..5_000), 1..40)
        ) {
            let (mut totals, mut lines, mut cent_seconds) = (Totals::default(), Cents::ZERO, 0);
            for (worked, rate) in stretches {
                let labour = vec![LabourUse { person: 1, worked: Seconds(worked), cents_an_hour: Cents(rate) }; 2];
                let cost = cost_of_order(&OrderUse { labour, ..OrderUse::default() }, totals).unwrap();
                prop_assert_eq!(Cents::sum(cost.lines.iter().map(|line| line.amount)), Ok(cost.total));
                totals = cost.totals;
                lines = lines.checked_add(cost.total).unwrap();
                cent_seconds += 2 * worked * rate;
            }
            prop_assert_eq!(lines, due(Cents(cent_seconds), 1, SECONDS_AN_HOUR).unwrap());
        }
    }
}
