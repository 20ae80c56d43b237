//! Which parts give out next, in words and drawn.

use trade::units::Micrometres;

use super::Voice;
use crate::desk::reports::figures::{GivesOutNext, WeekReport};
use crate::mail::sheet::{Item, Part, Section};
use crate::words::worn::GivesOut;
use crate::words::{say, say_with};

/// None where nothing gives out in sight.
pub(super) fn gives_out_next(figures: &WeekReport, voice: &Voice) -> Option<Section> {
    let parts = &figures.gives_out_next;
    if parts.is_empty() {
        return None;
    }
    let drawn = parts
        .iter()
        .map(|part| (item(part, voice), part.drawing.clone()));
    Some(Section {
        title: say("week-report-next-title"),
        parts: vec![Part::Drawn {
            items: drawn.collect(),
            key: say("week-report-next-key"),
        }],
    })
}

fn item(part: &GivesOutNext, voice: &Voice) -> Item {
    let length = |um| Micrometres(um).show(voice.units());
    let when = GivesOut {
        is_worn_out: part.is_worn_out,
        limit_um: part.worn_out_at_um,
        used_a_day_m: part.used_a_day_m,
        early: part.worn_out_on.early,
        late: part.worn_out_on.late,
    };
    let about = [
        ("class", part.class.as_str().into()),
        ("number", part.tool.as_str().into()),
    ];
    let words = [
        ("length", length(part.length_um).into()),
        ("limit", length(part.worn_out_at_um).into()),
        ("when", when.in_words(&voice.0).into()),
    ];
    let key = if part.is_worn_out {
        "week-report-next-worn-out"
    } else {
        "week-report-next"
    };
    Item {
        about: say_with("week-report-brush", &about),
        words: say_with(key, &words),
    }
}
