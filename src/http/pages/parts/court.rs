//! A court drawn plainly, with the way it is groomed.

use maud::{Markup, html};

use crate::store::orders::Direction;

/// Both drawings, once a page and unseen; [`drawing`] shows one of them where it is wanted.
///
/// The measures are feet: a surface of 120 by 60, the lines of a doubles court in its middle (ITF
/// Rules of Tennis, Rule 1), the net across.
pub fn drawings() -> Markup {
    html! {
        svg.unseen width="0" height="0" aria-hidden="true" focusable="false" {
            (one("along", "M8 10H112V30H8V50H110", "M104 44l8 6-8 6"))
            (one("across", "M12 8V52H44V8H76V52H108V10", "M102 16l6-8 6 8"))
        }
    }
}

fn one(id: &str, way: &str, tip: &str) -> Markup {
    html! {
        symbol id=(id) viewBox="0 0 120 60" {
            rect.court-ground x="0.5" y="0.5" width="119" height="59" rx="2" {}
            path.court-lines d="M21 12H99V48H21ZM21 16.5H99M21 43.5H99M39 16.5V43.5M81 16.5V43.5M39 30H81" {}
            path.court-net d="M60 9V51" {}
            path.court-way d=(way) {}
            path.court-way d=(tip) {}
        }
    }
}

/// The court with the tool's way over it; what it means is said in words beside it.
pub fn drawing(direction: Direction) -> Markup {
    html! {
        svg.court viewBox="0 0 120 60" width="96" height="48" aria-hidden="true" focusable="false" {
            use href={ "#" (direction.as_str()) } {}
        }
    }
}
