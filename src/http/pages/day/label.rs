//! Chemicals in an order: what their labels say before, and what was put on after.

use maud::{Markup, html};

use crate::desk::label::LabelView;
use crate::desk::orders::{StepView, TreatmentView};
use crate::store::stores::Label;
use crate::store::treatments::AmountUnit;
use crate::words::shown::Shown;
use crate::words::{say, say_with};
use trade::units::{Grams, Millicelsius, Millilitres, Seconds};

/// What the labels of the order's chemicals say, below its steps.
pub fn labels(show: &Shown, steps: &[StepView]) -> Markup {
    let all: Vec<(&StepView, &LabelView)> = steps
        .iter()
        .flat_map(|step| step.labels.iter().map(move |label| (step, label)))
        .collect();
    html! {
        @if !all.is_empty() {
            div.labels {
                p.caution { (say("label-first")) }
                @for (step, view) in all {
                    h4 { (view.name) }
                    (label(show, &view.label, step.max_wind_mmps))
                }
            }
        }
    }
}

fn label(show: &Shown, label: &Label, max_wind_mmps: Option<i64>) -> Markup {
    let seconds = |s: Option<i64>| s.filter(|s| *s > 0).map(|s| Seconds(s).show());
    html! {
        dl.facts {
            @if !label.gear.is_empty() {
                (fact("label-wear", &label.gear.join(", ")))
            }
            @if let Some(most) = max_wind_mmps {
                (fact("label-wind", &say_with("label-wind-most", &[("wind", show.speed(most).into())])))
            }
            @if let Some(air) = air(show, label) {
                (fact("label-air", &air))
            }
            @if let Some(time) = seconds(label.dry_s) {
                (fact("label-dry", &say_with("label-dry-after", &[("time", time.into())])))
            }
            @if let Some(time) = seconds(label.rest_s) {
                (fact("label-rest", &say_with("label-rest-after", &[("time", time.into())])))
            }
            div {
                dt { (say("label-sheet")) }
                dd {
                    @if label.sheet.starts_with("https://") {
                        a.inline href=(label.sheet) rel="noreferrer" { (label.sheet) }
                    } @else {
                        (label.sheet)
                    }
                }
            }
        }
    }
}

fn fact(key: &str, text: &str) -> Markup {
    html! { div { dt { (say(key)) } dd { (text) } } }
}

/// Between which temperatures of the air it may be put on.
fn air(show: &Shown, label: &Label) -> Option<String> {
    let degrees = |mc: i64| Millicelsius(mc).show(show.units);
    let (least, most) = (label.min_air_mc.map(degrees), label.max_air_mc.map(degrees));
    match (least, most) {
        (Some(least), Some(most)) => Some(say_with(
            "label-air-between",
            &[("least", least.into()), ("most", most.into())],
        )),
        (Some(least), None) => Some(say_with("label-air-least", &[("least", least.into())])),
        (None, Some(most)) => Some(say_with("label-air-most", &[("most", most.into())])),
        (None, None) => None,
    }
}

/// The chemicals that were put on; where there was more wind than allowed, that too.
pub fn put_on(show: &Shown, all: &[TreatmentView]) -> Markup {
    html! {
        @if !all.is_empty() {
            div {
                dt { (say("treatment-put-on")) }
                dd {
                    ul {
                        @for one in all {
                            li { (told(show, one)) "; " (wind(show, one)) }
                        }
                    }
                }
            }
        }
    }
}

fn told(show: &Shown, one: &TreatmentView) -> String {
    let amount = match one.row.unit {
        AmountUnit::Gram => Grams(one.row.amount).show(show.units),
        AmountUnit::Millilitre => Millilitres(one.row.amount).show(show.units),
    };
    say_with(
        "treatment",
        &[
            ("product", one.row.product.as_str().into()),
            ("lot", one.row.lot.as_str().into()),
            ("amount", amount.into()),
            ("place", one.row.place.as_str().into()),
        ],
    )
}

fn wind(show: &Shown, one: &TreatmentView) -> Markup {
    let wind = show.speed(one.row.wind_mmps);
    let most = one.row.wind_limit_mmps.filter(|_| one.over_wind_limit);
    if let Some(most) = most {
        let values = [("wind", wind.into()), ("most", show.speed(most).into())];
        return html! { strong.late { (say_with("treatment-over-wind", &values)) } };
    }
    html! { (say_with("treatment-wind", &[("wind", wind.into())])) }
}
