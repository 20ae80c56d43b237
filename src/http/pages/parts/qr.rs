//! A text as a square pattern that a phone's camera reads (ISO/IEC 18004), drawn as SVG.

use maud::{Markup, html};
use qrcode::{Color, QrCode};

/// Light margin around the pattern, in modules, which readers need (ISO/IEC 18004 section 9.1).
const MARGIN: usize = 4;

/// The pattern, dark on white whatever the page's colours are; nothing where the text is too long for one.
pub fn pattern(text: &str, label: &str) -> Markup {
    let Ok(code) = QrCode::new(text) else {
        return html! {};
    };
    let width = code.width();
    let dark = code.to_colors().into_iter().enumerate();
    let squares: Vec<String> = dark
        .filter(|(_, color)| *color == Color::Dark)
        .map(|(at, _)| format!("M{} {}h1v1h-1z", at % width + MARGIN, at / width + MARGIN))
        .collect();
    let path = squares.concat();
    let whole = width + 2 * MARGIN;
    html! {
        svg.qr role="img" aria-label=(label) viewBox={ "0 0 " (whole) " " (whole) } shape-rendering="crispEdges" {
            rect width=(whole) height=(whole) fill="#fff" {}
            path d=(path) fill="#000" {}
        }
    }
}
