//! Where the plan of a day stands, what it costs and how much it is.

use maud::{Markup, html};

use crate::desk::days::{DayView, PlanView};
use crate::http::pages::parts::how_good;
use crate::words::shown::Shown;
use crate::words::{say, say_with};

/// The facts of the plan in force.
pub fn state(show: &Shown, plan: &PlanView, day: &DayView) -> Markup {
    let orders: usize = day.rounds.iter().map(|round| round.orders.len()).sum();
    let many = |key: &str, count: usize| say_with(key, &[("count", count.into())]);
    html! {
        dl.plan {
            div.plan-state {
                dt { (say("plan-state")) }
                dd.big { (standing(show, plan)) }
            }
            div {
                dt { (say("plan-cost")) }
                dd.big { (show.money(plan.pay_cents.unwrap_or(plan.cost_cents))) }
                // What leaving out is taken to cost is no money, and would drown what the rounds cost.
                @if day.unfitted.is_empty() {
                    @if let Some(text) = how_good(show, plan.cost_cents, plan.lower_bound_cents) {
                        dd { (text) }
                    }
                } @else {
                    dd { (say("plan-pay-of-what-fits")) }
                }
            }
            div {
                dt { (say("plan-size")) }
                dd.big { (many("plan-crews", day.rounds.len())) ", " (many("plan-orders", orders)) }
                dd {
                    @if day.unfitted.is_empty() {
                        (many("plan-unfitted", 0))
                    } @else {
                        a.inline href="#unfitted" { (many("plan-unfitted", day.unfitted.len())) }
                    }
                }
            }
        }
    }
}

fn standing(show: &Shown, plan: &PlanView) -> String {
    match (plan.state.as_str(), plan.issued_at) {
        ("issued", Some(at)) => say_with("plan-issued-at", &[("time", show.time(at).into())]),
        ("issued", None) => say("plan-issued"),
        _ => say("plan-planned"),
    }
}
