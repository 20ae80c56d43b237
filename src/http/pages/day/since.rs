//! Play that changed after the day was planned, and the way to what it changes in the rounds.

use maud::{Markup, html};

use crate::desk::days::DayView;
use crate::desk::days::since::PlayChange;
use crate::http::pages::parts::key_part;
use crate::http::pages::replan;
use crate::store::sites::SiteRow;
use crate::words::shown::Shown;
use crate::words::{say, say_with};

/// How many changes are told one by one: a calendar may bring dozens.
const TOLD: usize = 5;

/// The changes; who may plan tries with one tap what they do to the rest of the day.
pub fn list(site: &SiteRow, show: &Shown, day: &DayView, may_plan: bool) -> Markup {
    let all = &day.changed_since;
    let more = all.len().saturating_sub(TOLD);
    html! {
        (say("since-title"))
        ul {
            @for change in all.iter().take(TOLD) {
                li { (words(show, change)) }
            }
            @if more > 0 {
                li { (say_with("since-more", &[("count", more.into())])) }
            }
        }
        @if may_plan {
            form method="post" action=(replan::address(site.id, day.date)) {
                input type="hidden" name="kind" value="other";
                input type="hidden" name="because" value=(say("since-because"));
                button.button type="submit" { (say("since-try")) }
            }
        }
    }
}

fn words(show: &Shown, change: &PlayChange) -> String {
    let key = format!("since-{}", key_part(change.became.as_str()));
    let time = show.span(change.starts_at, change.ends_at);
    say_with(
        &key,
        &[
            ("court", change.court.as_str().into()),
            ("name", change.name.as_str().into()),
            ("time", time.into()),
            ("end", show.time(change.ends_at).into()),
        ],
    )
}
