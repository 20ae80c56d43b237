//! Tools that stay in the shed, and why.

use maud::{Markup, html};
use trade::units::Micrometres;

use crate::desk::days::ToolAside;
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
