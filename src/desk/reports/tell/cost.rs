//! Hours, cost and materials in words.

use trade::units::{Grams, Millilitres, Seconds};

use super::Voice;
use crate::desk::cost::KindCost;
use crate::desk::reports::figures::{Material, WeekReport};
use crate::mail::sheet::{Fact, Part, Row, Section, Table};
use crate::store::cost::CostKind;
use crate::store::hours::HoursKind;
use crate::store::stores::MaterialUnit;
use crate::words::{say, say_with};

pub(super) fn hours(figures: &WeekReport) -> Option<Section> {
    let hours = &figures.hours;
    if hours.kinds.is_empty() {
        return None;
    }
    let mut facts = vec![Fact {
        name: say("week-report-hours-paid"),
        value: Seconds(hours.paid_s).show(),
    }];
    facts.extend(hours.kinds.iter().map(|of| Fact {
        name: say(match of.kind {
            HoursKind::Order => "week-report-hours-order",
            HoursKind::Walk => "week-report-hours-walk",
            HoursKind::RainWait => "week-report-hours-rain-wait",
            HoursKind::Training => "week-report-hours-training",
            HoursKind::Shed => "week-report-hours-shed",
            HoursKind::Other => "week-report-hours-other",
        }),
        value: Seconds(of.paid_s).show(),
    }));
    Some(Section {
        title: say("week-report-hours-title"),
        parts: vec![Part::Facts(facts)],
    })
}

pub(super) fn cost(figures: &WeekReport, voice: &Voice) -> Section {
    let cost = &figures.cost;
    let mut facts = vec![Fact {
        name: say("week-report-total"),
        value: voice.money(cost.cents),
    }];
    if let Some(usual) = cost.usual_cents {
        facts.push(Fact {
            name: say_with(
                "week-report-usual",
                &[("weeks", cost.weeks_compared.into())],
            ),
            value: match against(cost.cents, usual) {
                Some(words) => say_with(
                    "week-report-usual-value",
                    &[
                        ("amount", voice.money(usual).into()),
                        ("against", words.into()),
                    ],
                ),
                None => voice.money(usual),
            },
        });
    }
    facts.extend(cost.kinds.iter().map(|of| Fact {
        name: say(kind_key(of.kind)),
        value: voice.money(of.cents),
    }));
    let mut rows: Vec<Row> = cost
        .courts
        .iter()
        .map(|court| Row {
            cells: vec![
                court.court.clone(),
                voice.money(court.cents),
                usual_cell(court.usual_cents, voice),
            ],
            below: made_of(&court.kinds, voice),
            is_sum: false,
        })
        .collect();
    rows.push(Row {
        cells: vec![
            say("week-report-all-courts"),
            voice.money(cost.cents),
            usual_cell(cost.usual_cents, voice),
        ],
        below: None,
        is_sum: true,
    });
    let head = [
        "week-report-court-head",
        "week-report-cost-head",
        "week-report-usual-head",
    ];
    Section {
        title: say("week-report-cost-title"),
        parts: vec![
            Part::Facts(facts),
            Part::Table(Table {
                head: head.map(say).to_vec(),
                rows,
            }),
        ],
    }
}

fn usual_cell(cents: Option<i64>, voice: &Voice) -> String {
    cents.map_or_else(|| say("week-report-none"), |cents| voice.money(cents))
}

fn made_of(kinds: &[KindCost], voice: &Voice) -> Option<String> {
    let parts: Vec<String> = kinds
        .iter()
        .map(|of| {
            let values = [
                ("kind", say(kind_key(of.kind)).into()),
                ("amount", voice.money(of.cents).into()),
            ];
            say_with("week-report-kind-amount", &values)
        })
        .collect();
    (!parts.is_empty()).then(|| parts.join(" · "))
}

const fn kind_key(kind: CostKind) -> &'static str {
    match kind {
        CostKind::Labour => "week-report-cost-labour",
        CostKind::Material => "week-report-cost-material",
        CostKind::Water => "week-report-cost-water",
        CostKind::ToolWear => "week-report-cost-tool-wear",
        CostKind::Equipment => "week-report-cost-equipment",
        CostKind::ContractWork => "week-report-cost-contract-work",
        CostKind::Energy => "week-report-cost-energy",
        CostKind::Overhead => "week-report-cost-overhead",
    }
}

/// How a week stands against the usual, in whole percent; none where the usual is nothing.
fn against(cents: i64, usual: i64) -> Option<String> {
    if usual <= 0 {
        return None;
    }
    let (more, usual) = (i128::from(cents) - i128::from(usual), i128::from(usual));
    let percent = (2 * 100 * more.abs() + usual) / (2 * usual);
    let percent = i64::try_from(percent).unwrap_or(i64::MAX);
    Some(match (percent, more > 0) {
        (0, _) => say("week-report-as-usual"),
        (_, true) => say_with("week-report-above", &[("percent", percent.into())]),
        (_, false) => say_with("week-report-below", &[("percent", percent.into())]),
    })
}

pub(super) fn materials(figures: &WeekReport, voice: &Voice) -> Option<Section> {
    if figures.materials.is_empty() {
        return None;
    }
    let rows = figures.materials.iter().map(|material| {
        let show = |quantity| quantity_of(material, quantity, voice);
        Row {
            cells: vec![
                material.name.clone(),
                show(material.used),
                show(material.on_hand),
            ],
            below: material.low.then(|| match material.lasts_days {
                Some(days) if material.on_hand > 0 => {
                    say_with("week-report-low", &[("days", days.into())])
                }
                _ => say("week-report-out"),
            }),
            is_sum: false,
        }
    });
    let head = [
        "week-report-material-head",
        "week-report-used-head",
        "week-report-on-hand-head",
    ];
    Some(Section {
        title: say("week-report-materials-title"),
        parts: vec![Part::Table(Table {
            head: head.map(say).to_vec(),
            rows: rows.collect(),
        })],
    })
}

fn quantity_of(material: &Material, quantity: i64, voice: &Voice) -> String {
    match material.unit {
        MaterialUnit::Gram => Grams(quantity).show(voice.units()),
        MaterialUnit::Millilitre => Millilitres(quantity).show(voice.units()),
        MaterialUnit::Piece => grouped(quantity),
    }
}

/// A number with a comma between its thousands.
fn grouped(number: i64) -> String {
    let digits = number.unsigned_abs().to_string();
    let mut text = String::from(if number < 0 { "-" } else { "" });
    for (place, digit) in digits.char_indices() {
        if place > 0 && (digits.len() - place).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_week_is_told_against_the_usual_in_whole_percent() {
        let of = |cents, usual| against(cents, usual).unwrap_or_default();
        assert_eq!(of(10_500, 10_000), "5% above");
        assert_eq!(of(9_750, 10_000), "3% below");
        assert_eq!(of(10_049, 10_000), "as usual");
        assert_eq!(against(5, 0), None);
    }

    #[test]
    fn pieces_are_counted_in_thousands() {
        assert_eq!(
            [0, 999, 3_400, -1_234_567].map(grouped),
            ["0", "999", "3,400", "-1,234,567"]
        );
    }
}
