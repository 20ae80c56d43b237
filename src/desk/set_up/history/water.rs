//! The water of a past day: the soaks after turnarounds, and the night's cycles.

use chrono::{Days, NaiveDate, NaiveTime};
use trade::calendar::{day_start, local_to_instant};
use trade::units::{MlPerSecond, Seconds};
use trade::watering::{Cycle, Line, NightValve, night_cycles};

use super::season::{Season, resurfacing};
use crate::store::courts::{CourtRow, Watering};

/// The pause between two night cycles, and what a court dries before its first players, s. Common
/// practice, no source.
const PAUSE: i64 = 3_600;
const DRYING: i64 = 3_600;

/// What runs on one bank's line over a day. Times are seconds since 1970.
pub struct Running {
    capacity_mlps: i64,
    runs: Vec<(i64, i64, i64)>,
}

impl Running {
    /// Nothing yet.
    pub const fn of(capacity_mlps: i64) -> Self {
        Self {
            capacity_mlps,
            runs: Vec::new(),
        }
    }

    /// Lets a court's soak run as soon as the line has room after `from`, ready by `by`; none
    /// where that is too late.
    pub fn soak(&mut self, court: &CourtRow, from: i64, by: i64) -> Option<(i64, i64)> {
        let ends = self.runs.iter().map(|run| run.1).filter(|end| *end > from);
        let mut starts: Vec<i64> = std::iter::once(from).chain(ends).collect();
        starts.sort_unstable();
        let flow = court.sprinkler_flow_mlps;
        let start = starts.into_iter().find(|start| {
            let end = start + court.soak_s;
            let beside = self.runs.iter().filter(|run| run.0 < end && run.1 > *start);
            beside.map(|run| run.2).sum::<i64>() + flow <= self.capacity_mlps
        })?;
        let end = start + court.soak_s;
        if end > by {
            return None;
        }
        self.runs.push((start, end, flow));
        Some((start, end))
    }
}

/// The night's cycles after a date, each court with a valve of its own under its number, with seconds since the date's first instant.
pub fn night(season: &Season, date: NaiveDate) -> Vec<Cycle> {
    let Some(evening) = NaiveTime::from_hms_opt(22, 0, 0) else {
        return Vec::new();
    };
    let midnight = day_start(season.zone, date).timestamp();
    let from = local_to_instant(season.zone, date, evening).timestamp() - midnight;
    let next = date.checked_add_days(Days::new(1)).unwrap_or(date);
    let mut cycles = Vec::new();
    for bank in &season.banks {
        let valves: Vec<NightValve> = season
            .courts
            .iter()
            .filter(|court| court.bank_id == bank.id && court.watering == Watering::Sprinkler)
            .filter(|court| court.night_cycles > 0 && !resurfacing(court, date))
            .map(|court| {
                let players = season.play(court.id, next).next();
                let ready = players.map_or(midnight + 86_400 + 6 * 3_600, |play| {
                    play.starts_at.utc().timestamp() - DRYING
                });
                NightValve {
                    valve: court.id,
                    flow: MlPerSecond(court.sprinkler_flow_mlps),
                    cycles: u8::try_from(court.night_cycles).unwrap_or(u8::MAX),
                    run: Seconds(court.night_cycle_s),
                    pause: Seconds(PAUSE),
                    not_before: Seconds(from),
                    ready_before: Seconds(ready - midnight),
                    busy: Vec::new(),
                }
            })
            .collect();
        let line = Line {
            capacity: MlPerSecond(bank.line_capacity_mlps),
            ..Line::default()
        };
        if let Ok(night) = night_cycles(&valves, &line) {
            cycles.extend(night.cycles);
        }
    }
    cycles
}
