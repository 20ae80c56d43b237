//! The heat of the date: by the hour from what was read and what is foretold, and what it asks for.

use planner::problem::{Break, Span};
use trade::heat::{Hour, adjusted, heat_index, hot_hours, rests_for_newcomers};
use trade::units::{Millicelsius, Seconds};

use super::clock::DayClock;
use super::inputs::Inputs;
use crate::desk::settings::Settings;
use crate::desk::weather::heat_rule;
use crate::store::weather::WeatherRow;

/// How long a reading holds where none follows, s.
const HOLDS_S: i64 = 3 * 3_600;

impl Inputs {
    /// When it is so hot that heavy work waits: at the site's high trigger and above.
    pub fn hot_hours(&self) -> Vec<Span> {
        let rule = heat_rule(&self.settings).unwrap_or_default();
        let hot = hot_hours(&rule, &self.heat).into_iter();
        hot.map(|(from, until)| [from.0, until.0]).collect()
    }
}

/// Whether it is or becomes so hot at any time from the clock's date on, as far as that is foretold.
pub fn is_hot(settings: &Settings, clock: &DayClock, weather: &[WeatherRow]) -> bool {
    let rule = heat_rule(settings).unwrap_or_default();
    let hot = hot_hours(&rule, &by_hour(clock, weather));
    hot.last().is_some_and(|(_, until)| until.0 > 0)
}

/// The rests that a shift asks for in the heat, where so much of the hot hours may be worked.
pub fn rests_of(inputs: &Inputs, shift: Span, share_pct: i64) -> Vec<Break> {
    let rule = heat_rule(&inputs.settings).unwrap_or_default();
    let on_shift = (Seconds(shift[0]), Seconds(shift[1]));
    rests_for_newcomers(&rule, &inputs.heat, on_shift, share_pct)
        .into_iter()
        .map(|rest| Break {
            length_s: rest.length.0,
            start_window: [rest.earliest.0.max(shift[0]), rest.latest.0],
        })
        .filter(|rest| rest.start_window[1] + rest.length_s <= shift[1])
        .collect()
}

/// The heat index by stretches, each from one reading to the next. Of one time, what was read off counts before what
/// was foretold.
pub fn by_hour(clock: &DayClock, weather: &[WeatherRow]) -> Vec<Hour> {
    let mut hours: Vec<Hour> = Vec::new();
    for row in weather {
        let from = Seconds(clock.begins(row.read_at));
        // The rows of one time come with what was read off first.
        if hours.last().is_some_and(|before| before.from == from) {
            continue;
        }
        let Some((air, humidity)) = felt(row) else {
            continue;
        };
        if let Some(before) = hours.last_mut() {
            before.until = before.until.min(from);
        }
        hours.push(Hour {
            from,
            until: Seconds(from.0 + HOLDS_S),
            index: heat_index(air, humidity),
            adjusted: adjusted(air, humidity),
        });
    }
    hours
}

fn felt(row: &WeatherRow) -> Option<(Millicelsius, i64)> {
    Some((Millicelsius(row.temp_mc?), row.humidity_permille?))
}
