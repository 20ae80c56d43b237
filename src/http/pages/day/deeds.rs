//! What a manager can do with a day: plan it, plan it again, hand its orders out.

use maud::{Markup, html};
use trade::calendar::work_date;

use super::Seen;
use crate::desk::days::DayView;
use crate::http::pages::parts::deed::button;
use crate::http::pages::plan_run::run_address;
use crate::store::day_plans::runs::{RunRow, RunState};
use crate::store::sites::SiteRow;
use crate::words::say;
use crate::words::shown::Shown;

/// The buttons that do something now, for a user who may: nothing for a day that is over or whose
/// orders are with the crews.
pub fn list(site: &SiteRow, show: &Shown, day: &DayView, seen: &Seen) -> Markup {
    let is_over = day.date < work_date(show.zone, seen.now);
    let is_planned = day.plan.is_some();
    let is_issued = day.plan.as_ref().is_some_and(|plan| plan.state == "issued");
    if is_over || is_issued || !(seen.may_plan || seen.may_issue) {
        return html! {};
    }
    let address = format!("/sites/{}/days/{}", site.id, day.date);
    html! {
        div.deeds {
            @if is_planned && seen.may_issue {
                (button(&format!("{address}/issue"), &say("deed-issue"), true))
            }
            @if let Some((run, key)) = open_run(seen.last_run.as_ref()) {
                a.button href=(run_address(site.id, run.id)) { (say(key)) }
            } @else if seen.may_plan {
                (button(
                    &format!("{address}/plan-runs"),
                    &say(if is_planned { "deed-plan-again" } else { "deed-plan" }),
                    !is_planned,
                ))
            }
        }
    }
}

/// A search that is under way, or whose plan waits to be taken.
fn open_run(run: Option<&RunRow>) -> Option<(&RunRow, &'static str)> {
    let run = run?;
    match run.state {
        RunState::Waiting | RunState::Running => Some((run, "deed-run-under-way")),
        RunState::Ready => Some((run, "deed-run-ready")),
        RunState::Taken | RunState::Refused | RunState::Failed => None,
    }
}
