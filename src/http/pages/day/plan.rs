//! Where the plan of a day stands, what it costs and how much it is.

use maud::{Markup, html};

use crate::desk::days::{DayView, PlanView};
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
                dd.big { (show.money(plan.cost_cents)) }
                @if let Some(text) = how_good(plan) {
                    dd { (text) }
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

/// How far from the best possible the plan can be at most; none where nothing is known of that.
/// Whole per cent, rounded up, so that "at most" holds.
fn how_good(plan: &PlanView) -> Option<String> {
    let (cost, least) = (
        i128::from(plan.cost_cents),
        i128::from(plan.lower_bound_cents),
    );
    if cost <= least {
        return Some(say("plan-best"));
    }
    if least <= 0 {
        return None;
    }
    let percent = ((cost - least) * 100 + least - 1) / least;
    Some(say_with(
        "plan-dearer",
        &[("percent", percent.to_string().into())],
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plan(cost_cents: i64, lower_bound_cents: i64) -> PlanView {
        PlanView {
            id: 1,
            state: "planned".into(),
            cost_cents,
            lower_bound_cents,
            issued_at: None,
            version: 1,
        }
    }

    #[test]
    fn a_plan_is_never_said_to_be_nearer_to_the_best_than_it_may_be() {
        let said = |cost, least| how_good(&plan(cost, least));
        let dearer = |percent: &str| {
            Some(format!(
                "At most {percent}\u{a0}% dearer than the best possible."
            ))
        };
        assert_eq!(said(102_000, 100_000), dearer("2"));
        assert_eq!(said(102_001, 100_000), dearer("3"));
        assert_eq!(said(100_001, 100_000), dearer("1"));
        assert_eq!(
            said(100_000, 100_000).unwrap(),
            "No plan of this day can cost less."
        );
        assert_eq!(said(100_000, 0), None);
        assert_eq!(said(i64::MAX, 1), dearer("922337203685477580600"));
    }
}
