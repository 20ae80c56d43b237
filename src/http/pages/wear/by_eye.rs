//! Parts that are judged by eye: all of them at a glance, and what was said of one.

use std::collections::BTreeMap;

use maud::{Markup, html};

use super::address_of;
use super::one::kind_key;
use crate::desk::wear::{PartByEye, PartSeen};
use crate::http::pages::parts::key_part;
use crate::store::sites::SiteRow;
use crate::store::tool_checks::EyeVerdict;
use crate::words::say;
use crate::words::shown::Shown;

/// What was said of a part, the newest first.
pub(super) fn said(show: &Shown, part: &PartSeen) -> Markup {
    html! {
        section.stops aria-labelledby="by-eye" {
            h2 #by-eye { (say("wear-by-eye")) }
            @if part.by_eye.is_empty() { p { (say("wear-not-looked-at")) } }
            ul.access-list {
                @for look in &part.by_eye {
                    li { p { strong { (word(look.verdict)) } " · " (show.date_time(look.happened_at)) } }
                }
            }
        }
    }
}

/// Every fitted part that is judged by eye, by what it is on.
pub(super) fn all(site: &SiteRow, show: &Shown, parts: &[PartByEye]) -> Markup {
    let mut by_place: BTreeMap<(bool, &str), Vec<&PartByEye>> = BTreeMap::new();
    for part in parts {
        let place = (part.part.tool_id.is_some(), part.on.as_str());
        by_place.entry(place).or_default().push(part);
    }
    html! {
        @if !parts.is_empty() {
            section.part-section aria-labelledby="by-eye" {
                h2 #by-eye { (say("wear-by-eye")) }
                p { (say("wear-by-eye-lead")) }
                ul.eye-list {
                    @for ((_, place), parts) in &by_place {
                        li {
                            h3 { (place) }
                            ul { @for part in parts { (one(site, show, part)) } }
                        }
                    }
                }
            }
        }
    }
}

fn one(site: &SiteRow, show: &Shown, part: &PartByEye) -> Markup {
    let is_bad = |look: EyeVerdict| look == EyeVerdict::ChangeNow;
    html! {
        li.is-bad[part.newest.as_ref().is_some_and(|look| is_bad(look.verdict))] {
            a.inline href=(address_of(site.id, part.part.id)) { (say(&kind_key(part.part.kind))) }
            @match &part.newest {
                Some(look) => { ": " strong { (word(look.verdict)) } span.hint { " · " (show.date_time(look.happened_at)) } },
                None => span.hint { ": " (say("wear-not-looked-at")) },
            }
        }
    }
}

/// The word for what the eye says.
pub(super) fn word(verdict: EyeVerdict) -> String {
    say(&format!("wear-eye-{}", key_part(verdict.as_str())))
}
