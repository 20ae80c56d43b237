//! One crew's round: who, when, with what, and its orders. In print each is a sheet of its own.

use std::collections::{BTreeMap, BTreeSet};

use maud::{Markup, html};

use super::order;
use crate::desk::days::RoundView;
use crate::http::pages::parts::key_part;
use crate::store::orders::OrderState;
use crate::store::sites::SiteRow;
use crate::words::shown::Shown;
use crate::words::{knows, say, say_with};

/// The id of a round's card in the page.
pub fn anchor(round: &RoundView) -> String {
    format!("crew-{}", round.crew_id)
}

/// The card of a round; the reader's own says so.
/// `change` is where a visit is changed, for whoever may.
pub fn card(
    show: &Shown,
    (site, date): (&SiteRow, &str),
    round: &RoundView,
    is_mine: bool,
    change: Option<&str>,
) -> Markup {
    let hours = say_with(
        "round-hours",
        &[
            ("leaves", show.time(round.leaves_at).into()),
            ("returns", show.time(round.returns_at).into()),
        ],
    );
    html! {
        section.round id=(anchor(round)) aria-labelledby={ (anchor(round)) "-name" } {
            header.round-head {
                p.sheet { (site.name) " · " (date) }
                div.round-name {
                    h2 id={ (anchor(round)) "-name" } { (round.crew) }
                    @if is_mine { p.mine { (say("round-mine")) } }
                }
                p.hours { (hours) }
                (next(show, round))
                dl.facts {
                    @if !round.people.is_empty() {
                        div {
                            dt { (say("round-people")) }
                            dd { (round.people.join(", ")) }
                        }
                    }
                    div {
                        dt { (say("round-kit")) }
                        dd { (kit(round)) }
                    }
                }
            }
            (begins(round))
            (warning(round))
            ol.orders aria-label=(say_with("round-orders", &[("crew", round.crew.as_str().into())])) {
                @for one in &round.orders {
                    (order::item(show, site.id, one, change))
                }
            }
            (cautions(round))
        }
    }
}

/// Leads to the order under way, or the next one, once others are given back.
fn next(show: &Shown, round: &RoundView) -> Markup {
    let next = round
        .orders
        .iter()
        .find(|view| order::is_open(&view.order))
        .filter(|_| round.orders.iter().any(|view| !order::is_open(&view.order)));
    html! {
        @if let Some(view) = next {
            a.inline.next href={ "#" (order::anchor(view)) } {
                @let key = if view.order.state == OrderState::UnderWay { "round-now" } else { "round-next" };
                (say_with(key, &[
                    ("time", show.time(view.order.planned_start).into()),
                    ("place", view.place.as_str().into()),
                ]))
            }
        }
    }
}

/// The kit by name. A class that no order names is shown by its code in plain letters.
fn kit(round: &RoundView) -> String {
    let named: BTreeMap<&str, &str> = round
        .orders
        .iter()
        .flat_map(|order| &order.tools)
        .map(|tool| (tool.class.as_str(), tool.class_name.as_str()))
        .collect();
    let names: Vec<String> = round
        .kit
        .iter()
        .map(|code| {
            let name = named.get(code.as_str()).copied();
            name.map_or_else(|| code.replace('_', " "), str::to_owned)
        })
        .collect();
    if names.is_empty() {
        say("round-no-kit")
    } else {
        names.join(", ")
    }
}

/// What the round's work warns of, before the work begins; it leads to the sentences below.
fn warning(round: &RoundView) -> Markup {
    let names: Vec<_> = words_of(round).into_iter().map(caution_name).collect();
    html! {
        @if !names.is_empty() {
            div.warning {
                a.inline href={ "#" (anchor(round)) "-care" } {
                    (say_with("round-warning", &[("cautions", names.join(", ").into())]))
                }
                p { (say("round-care-first")) }
            }
        }
    }
}

/// Who begins on shorter work in the heat, and that the crew rests with them.
fn begins(round: &RoundView) -> Markup {
    html! {
        @if !round.begins.is_empty() {
            div.warning {
                @for one in &round.begins {
                    @let key = if one.is_new { "begin-new" } else { "begin-returning" };
                    p {
                        strong { (say_with(key, &[("name", one.name.as_str().into()), ("day", one.day.into())])) }
                        " " (say_with("begin-share", &[("share", one.share_pct.into())]))
                    }
                }
                @if round.begins_cut {
                    p { (say("begin-cut")) }
                }
                p { (say("begin-together")) }
            }
        }
    }
}

/// The sentence of each caution, once a round.
fn cautions(round: &RoundView) -> Markup {
    let words = words_of(round);
    html! {
        @if !words.is_empty() {
            div.care id={ (anchor(round)) "-care" } {
                h3 { (say("round-care")) }
                dl {
                    @for word in words {
                        div {
                            dt { (caution_name(word)) }
                            dd { (say(&format!("{}-text", caution_key(word)))) }
                        }
                    }
                }
            }
        }
    }
}

fn words_of(round: &RoundView) -> BTreeSet<&str> {
    let steps = round.orders.iter().flat_map(|order| &order.steps);
    steps
        .flat_map(|step| caution_words(step.caution.as_deref()))
        .collect()
}

/// The caution words of a step.
pub fn caution_words(caution: Option<&str>) -> impl Iterator<Item = &str> {
    caution
        .unwrap_or_default()
        .split([' ', ','])
        .filter(|word| !word.is_empty())
}

/// A caution's name: `dust`.
pub fn caution_name(word: &str) -> String {
    say(&caution_key(word))
}

/// A site's own care standard may hold a word that the pages do not know.
fn caution_key(word: &str) -> String {
    let key = format!("caution-{}", key_part(word));
    if knows(&key) {
        key
    } else {
        "caution-other".to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use trade::care::Caution;

    #[test]
    fn every_caution_of_the_trade_has_a_name_and_a_sentence() {
        for caution in Caution::ALL {
            let key = caution_key(caution.as_str());
            assert_ne!(key, "caution-other", "{caution}");
            assert!(knows(&format!("{key}-text")), "{caution}");
        }
        assert_eq!(caution_key("lightning"), "caution-other");
    }
}
