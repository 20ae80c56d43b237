//! The way from a date's page to those of the dates before and after it.

use chrono::{Days, NaiveDate};
use maud::{Markup, html};

use crate::words::say;
use crate::words::shown::date_short;

/// Links to the pages of the date before and after; `address` says where a date's page is.
pub fn other_days(date: NaiveDate, address: impl Fn(NaiveDate) -> String) -> Markup {
    let link = |other: Option<NaiveDate>, key: &str, rel: &str| {
        html! {
            @if let Some(other) = other {
                a.button rel=(rel) href=(address(other))
                    aria-label={ (say(key)) ": " (date_short(other)) } { (date_short(other)) }
            }
        }
    };
    html! {
        nav.other-days aria-label=(say("day-other-days")) {
            (link(date.checked_sub_days(Days::new(1)), "day-before", "prev"))
            (link(date.checked_add_days(Days::new(1)), "day-after", "next"))
        }
    }
}
