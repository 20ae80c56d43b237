//! What a site sets of how its days are planned.

use chrono::NaiveTime;
use trade::grooming::DirectionPer;

use crate::desk::settings::{Settings, known};

/// How a site's days are planned. Amounts are cents, spans seconds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Standards {
    /// Pay beyond the shift, percent of the usual.
    pub overtime_pct: i64,
    /// What the short turnaround is taken to cost against the full.
    pub short_cents: i64,
    /// What each step to a stronger tool than the softest that does the work is taken to cost.
    pub harder_tool_cents: i64,
    /// What a tool too soft to do all the work is taken to cost.
    pub softer_tool_cents: i64,
    /// What leaving a court that should be levelled or loosened only smoothed is taken to cost.
    pub only_smoothed_cents: i64,
    /// For how long a court keeps its direction.
    pub direction_per: DirectionPer,
    /// How long a court drains between its soak by day and the next players.
    pub drain_after_soak_s: i64,
    /// What an hour after the aim is taken to cost.
    pub late_cents_per_h: i64,
    /// How long before the players a turnaround should be over.
    pub aim_before_play_s: i64,
    /// The local time around which a sprinkler-watered court gets its soak.
    pub soak_around: NaiveTime,
    /// The local time before which no night cycle runs.
    pub night_from: NaiveTime,
    /// The least pause between two night cycles of a court.
    pub night_pause_s: i64,
    /// How long a court dries between the last night cycle and the first players.
    pub dry_before_play_s: i64,
    /// By which local time the night's water ends where nobody plays the next day.
    pub night_until: NaiveTime,
}

impl Standards {
    /// As the site's settings say.
    pub fn of(settings: &Settings) -> Self {
        Self {
            overtime_pct: settings.number(known::OVERTIME_PCT),
            short_cents: settings.number(known::SHORT_TURNAROUND_CENTS),
            harder_tool_cents: settings.number(known::HARDER_TOOL_CENTS),
            softer_tool_cents: settings.number(known::SOFTER_TOOL_CENTS),
            only_smoothed_cents: settings.number(known::ONLY_SMOOTHED_CENTS),
            direction_per: settings
                .choice(known::DIRECTION_PER)
                .parse()
                .unwrap_or(DirectionPer::Day),
            drain_after_soak_s: settings.number(known::DRAIN_AFTER_SOAK_S),
            late_cents_per_h: settings.number(known::LATE_CENTS_PER_H),
            aim_before_play_s: settings.number(known::AIM_BEFORE_PLAY_S),
            soak_around: settings.time(known::SOAK_AROUND),
            night_from: settings.time(known::NIGHT_WATER_FROM),
            night_pause_s: settings.number(known::NIGHT_PAUSE_S),
            dry_before_play_s: settings.number(known::DRY_BEFORE_PLAY_S),
            night_until: settings.time(known::NIGHT_WATER_UNTIL),
        }
    }
}
