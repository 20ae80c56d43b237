//! A part's length against its use: what was measured, the line through it, what is to come with its likely range, and the
//! length at which it is worn out. The same figures stand in words beside it.

use maud::{Markup, html};

use super::{far, length, when};
use crate::desk::wear::WearWhole;
use crate::store::wear::ReadingState;
use crate::words::chart::{Drawing, HEIGHT, LEFT, RIGHT, TOP, WIDTH};
use crate::words::shown::Shown;
use crate::words::{say, say_with};

/// How large a drawing is.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Size {
    /// Beside a part in the list.
    Small,
    /// On the part's own page.
    Large,
}

/// The drawing.
pub fn drawing(show: &Shown, part: &WearWhole, size: Size) -> Markup {
    let wear = &part.wear;
    let drawn = part.drawing();
    let said = say_with(
        "wear-chart",
        &[
            ("tool", wear.tool.as_str().into()),
            ("length", length(show, wear.length_um).into()),
            ("when", when(show, wear).into()),
        ],
    );
    html! {
        svg.wear-chart.is-large[size == Size::Large] viewBox={ "0 0 " (WIDTH) " " (HEIGHT) } role="img" aria-label=(said) {
            path.wear-axis d=(drawn.axes) {}
            text.wear-label x=(LEFT - 6) y=(TOP + 5) text-anchor="end" { (length(show, drawn.most_um)) }
            text.wear-label x=(LEFT - 6) y=(drawn.limit_y + 5) text-anchor="end" { (length(show, wear.worn_out_at_um)) }
            text.wear-label x=(LEFT) y=(HEIGHT - 8) { "0" }
            text.wear-label x=(WIDTH - RIGHT) y=(HEIGHT - 8) text-anchor="end" { (far(show, drawn.most_m)) }
            path.wear-band d=(drawn.band) {}
            path.wear-ahead d=(drawn.ahead) {}
            path.wear-line d=(drawn.line) {}
            path.wear-limit d=(drawn.limit) {}
            path.wear-now d=(drawn.now) {}
            text.wear-label x=(drawn.now_x + 4) y=(TOP + 12) { (say("wear-today")) }
            (readings(&drawn, part))
        }
    }
}

/// What was measured: full where it counts, hollow where it is doubted, crossed where it was struck.
fn readings(drawn: &Drawing, part: &WearWhole) -> Markup {
    html! {
        @for (x, y) in &drawn.dots {
            circle.wear-dot cx=(x) cy=(y) r="4" {}
        }
        @for reading in &part.all_readings {
            @let (x, y) = drawn.place((reading.used_mm / 1_000, reading.length_um));
            @match reading.state {
                ReadingState::Standing => {}
                ReadingState::Doubted => circle.wear-dot.is-doubted cx=(x) cy=(y) r="5" {},
                ReadingState::Struck => path.wear-struck d={ "M" (x - 4) " " (y - 4) "l8 8m0-8l-8 8" } {},
            }
        }
    }
}
