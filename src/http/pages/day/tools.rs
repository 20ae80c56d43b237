//! Tools that stay in the shed, and why.

use maud::{Markup, html};
use trade::units::Micrometres;

use crate::desk::days::{PartToChangeView, ToolAside};
use crate::http::pages::parts::key_part;
use crate::words::shown::Shown;
use crate::words::{say, say_with};

/// The tools whose brush is at its limit; nothing where there are none.
pub fn aside(show: &Shown, tools: &[ToolAside]) -> Markup {
    html! {
        @if !tools.is_empty() {
            section.shed aria-labelledby="tools-aside" {
                h2 #tools-aside { (say("tools-aside-title")) }
                p { (say("tools-aside-why")) }
                ul {
                    @for tool in tools {
                        li { (item(show, tool)) }
                    }
                }
            }
        }
    }
}

/// The parts that are to be changed now; nothing where there are none.
pub fn to_change(parts: &[PartToChangeView]) -> Markup {
    html! {
        @if !parts.is_empty() {
            section.shed aria-labelledby="parts-to-change" {
                h2 #parts-to-change { (say("parts-to-change-title")) }
                ul { @for part in parts { li { (part_item(part)) } } }
            }
        }
    }
}

fn part_item(part: &PartToChangeView) -> String {
    let kind = say(&format!("wear-part-{}", key_part(part.kind.as_str())));
    let of_tool = part.tool.as_ref().map(|number| {
        say_with(
            "parts-to-change-tool",
            &[("number", number.as_str().into())],
        )
    });
    let place = of_tool.or_else(|| part.court.clone()).unwrap_or_default();
    say_with(
        "parts-to-change-item",
        &[("kind", kind.into()), ("place", place.into())],
    )
}

fn item(show: &Shown, tool: &ToolAside) -> String {
    let length = |um: i64| Micrometres(um).show(show.units);
    say_with(
        "tools-aside-item",
        &[
            ("number", tool.number.as_str().into()),
            ("class", tool.class_name.as_str().into()),
            ("length", length(tool.length_um).into()),
            ("limit", length(tool.limit_um.unwrap_or(0)).into()),
        ],
    )
}
