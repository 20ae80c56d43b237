//! A part's length against its use, drawn in a mail: lines alone, without a letter of text, so that a program that takes
//! drawings away leaves nothing of one behind. The words beside it say the same.

use maud::{Markup, html};

use crate::words::chart::{Drawing, HEIGHT, WIDTH};

/// The drawing; `said` is what it shows, for those who do not see it.
pub(super) fn of(drawn: &Drawing, said: &str) -> Markup {
    html! {
        svg width="320" height="130" viewBox={ "0 0 " (WIDTH) " " (HEIGHT) } role="img" aria-label=(said)
            style="display:block;max-width:100%;height:auto;background-color:#fdfcf8;" {
            path d=(drawn.axes) fill="none" stroke="#8b917f" stroke-width="2" {}
            path d=(drawn.band) fill="#5a6152" fill-opacity="0.22" stroke="none" {}
            path d=(drawn.ahead) fill="none" stroke="#23281f" stroke-width="4" stroke-dasharray="3 9" stroke-linecap="round" {}
            path d=(drawn.line) fill="none" stroke="#23281f" stroke-width="5" {}
            path d=(drawn.limit) fill="none" stroke="#a8452f" stroke-width="4" stroke-dasharray="16 9" {}
            path d=(drawn.now) fill="none" stroke="#8b917f" stroke-width="2" {}
            @for (x, y) in &drawn.dots { circle cx=(x) cy=(y) r="7" fill="#23281f" {} }
        }
    }
}
