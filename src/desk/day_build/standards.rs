//! What a site may set of how its days are planned, and what is taken where it sets nothing.

use std::collections::HashMap;

use chrono::NaiveTime;
use serde_json::Value;

/// How a site's days are planned. Amounts are cents, spans seconds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Standards {
    /// Pay beyond the shift, percent of the usual. Setting `overtime_pct`.
    pub overtime_pct: i64,
    /// What the short turnaround is taken to cost against the full. `short_turnaround_cents`.
    pub short_cents: i64,
    /// What each step to a stronger tool than the softest that does the work is taken to cost.
    /// `harder_tool_cents`.
    pub harder_tool_cents: i64,
    /// What a tool too soft to do all the work is taken to cost. `softer_tool_cents`.
    pub softer_tool_cents: i64,
    /// What a court that is not turned around is taken to cost. `skip_turnaround_cents`.
    pub skip_turnaround_cents: i64,
    /// What an hour after the aim is taken to cost. `late_cents_per_h`.
    pub late_cents_per_h: i64,
    /// How long before the players a turnaround should be over. `aim_before_play_s`.
    pub aim_before_play_s: i64,
    /// The local time around which a sprinkler-watered court gets its soak. `soak_around`.
    pub soak_around: NaiveTime,
    /// The local time before which no night cycle runs. `night_water_from`.
    pub night_from: NaiveTime,
    /// The least pause between two night cycles of a court. `night_pause_s`.
    pub night_pause_s: i64,
    /// How long a court dries between the last night cycle and the first players.
    /// `dry_before_play_s`.
    pub dry_before_play_s: i64,
    /// By which local time the night's water ends where nobody plays the next day.
    /// `night_water_until`.
    pub night_until: NaiveTime,
}

impl Standards {
    /// The site's settings over the usual. Common practice, no source, but for the overtime.
    pub fn of(settings: &HashMap<String, Value>) -> Self {
        let number = |key: &str, usual: i64| {
            let set = settings.get(key).and_then(Value::as_i64);
            set.filter(|number| (0..=1_000_000_000).contains(number))
                .unwrap_or(usual)
        };
        let time = |key: &str, hour: u32, minute: u32| {
            let set = settings.get(key).and_then(Value::as_str);
            set.and_then(|text| NaiveTime::parse_from_str(text, "%H:%M").ok())
                .or_else(|| NaiveTime::from_hms_opt(hour, minute, 0))
                .unwrap_or_default()
        };
        Self {
            // Time and a half: 29 CFR 778.107.
            overtime_pct: number("overtime_pct", 150).max(100),
            short_cents: number("short_turnaround_cents", 1_500),
            harder_tool_cents: number("harder_tool_cents", 400),
            softer_tool_cents: number("softer_tool_cents", 800),
            skip_turnaround_cents: number("skip_turnaround_cents", 30_000),
            late_cents_per_h: number("late_cents_per_h", 12_000),
            aim_before_play_s: number("aim_before_play_s", 600),
            soak_around: time("soak_around", 12, 30),
            night_from: time("night_water_from", 20, 0),
            night_pause_s: number("night_pause_s", 3_600),
            dry_before_play_s: number("dry_before_play_s", 3_600),
            night_until: time("night_water_until", 6, 0),
        }
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn a_site_sets_what_it_wants_and_the_usual_holds_for_the_rest() {
        let settings = HashMap::from([
            ("overtime_pct".to_owned(), json!(200)),
            ("soak_around".to_owned(), json!("13:15")),
            ("late_cents_per_h".to_owned(), json!(-1)),
            ("aim_before_play_s".to_owned(), json!("soon")),
        ]);
        let set = Standards::of(&settings);
        let usual = Standards::of(&HashMap::new());
        assert_eq!(set.overtime_pct, 200);
        assert_eq!(set.soak_around.to_string(), "13:15:00");
        assert_eq!(set.late_cents_per_h, usual.late_cents_per_h);
        assert_eq!(set.aim_before_play_s, usual.aim_before_play_s);
    }
}
