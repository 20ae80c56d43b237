//! The night's cycles: several short runs a valve with a pause to soak in, all within what the line carries, what is
//! allowed, and the hours in which every court of the valve is free.

mod load;

use std::collections::{BTreeMap, HashSet};

use serde::{Deserialize, Serialize};

use load::Load;

use super::WateringError;
use crate::units::{Millilitres, MlPerSecond, Seconds};
use crate::whole::narrow;

/// A stretch of time, from its first second up to, but without, its last.
pub type Stretch = [Seconds; 2];

/// One valve's night. Times are seconds since the first instant of the evening's date, and may lie in the next.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct NightValve {
    /// The valve's number.
    pub valve: i64,
    /// What it takes while it runs.
    pub flow: MlPerSecond,
    /// How many cycles, commonly two or three.
    pub cycles: u8,
    /// How long each runs, unbroken.
    pub run: Seconds,
    /// The least pause from the end of one to the start of the next.
    pub pause: Seconds,
    /// When the last work and the evening's play on its courts are over.
    pub not_before: Seconds,
    /// When the last cycle must have ended, so that the first players find the courts dry enough.
    pub ready_before: Seconds,
    /// When one of its courts is in play, worked on or shut meanwhile.
    pub busy: Vec<Stretch>,
}

/// A flow already given away, from `from` up to, but without, `to`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Taken {
    /// When it begins.
    pub from: Seconds,
    /// When it has ended.
    pub to: Seconds,
    /// What it takes.
    pub flow: MlPerSecond,
}

/// Water that may still be taken in a stretch of time, by the starts of the runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Budget {
    /// Runs that start from here on …
    pub from: Seconds,
    /// … and before here …
    pub to: Seconds,
    /// … take no more than this together.
    pub left: Millilitres,
}

/// A bank's supply line.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Line {
    /// What it carries at once.
    pub capacity: MlPerSecond,
    /// What of that is already given away.
    pub taken: Vec<Taken>,
    /// When nothing may run: hours the line is not free, hours local rules forbid, wind.
    pub closed: Vec<Stretch>,
    /// What rules still allow.
    pub budgets: Vec<Budget>,
}

/// One run of a valve, from `from` up to, but without, `to`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Cycle {
    /// The valve.
    pub valve: i64,
    /// Its first, second, … of the night.
    pub number: u8,
    /// When it starts.
    pub from: Seconds,
    /// When it has ended.
    pub to: Seconds,
    /// What it takes.
    pub flow: MlPerSecond,
    /// What that comes to.
    pub volume: Millilitres,
}

word_enum! {
    /// Why a valve cannot run all its cycles.
    WhyUnfinished {
        /// It takes more than the line carries.
        FlowOverLine = "flow_over_line",
        /// Its cycles and pauses are longer than its night.
        NightTooShort = "night_too_short",
        /// What was given away before, the line's hours, local hours or the wind leave no room.
        LineTaken = "line_taken",
        /// What may be taken a day does not suffice.
        OverAllowance = "over_allowance",
        /// Nobody is on shift long enough to open it by hand and to close it again, or has the time.
        NobodyThere = "nobody_there",
        /// The other valves of the line leave no room.
        NoRoomBesideOthers = "no_room_beside_others",
    }
}

/// A valve whose cycles do not all fit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Unfinished {
    /// The valve.
    pub valve: i64,
    /// Why.
    pub why: WhyUnfinished,
    /// How many of its cycles are laid.
    pub laid: u8,
    /// What its courts stay short of.
    pub short: Millilitres,
}

/// A line's night.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct NightWatering {
    /// All cycles by their start, then by valve.
    pub cycles: Vec<Cycle>,
    /// Valves that cannot run all their cycles, in the order given.
    pub unfinished: Vec<Unfinished>,
}

/// Lays the cycles of a line's valves into the night, each as early as it fits.
///
/// Several orders are tried (by the end of the night, by the room to spare, by the water taken, and one cycle of every
/// valve after the other); the first that leaves the fewest valves over is taken. A valve that cannot run all its
/// cycles then runs as many as still fit. The same input gives the same night.
pub fn night_cycles(valves: &[NightValve], line: &Line) -> Result<NightWatering, WateringError> {
    check(valves, line)?;
    let empty = Load::of(line);
    let without_rules = Load::of(&Line {
        budgets: Vec::new(),
        ..line.clone()
    });
    let mut over: Vec<(&NightValve, WhyUnfinished)> = Vec::new();
    let mut hopeful = Vec::new();
    for valve in valves {
        match hopeless(valve, &empty, &without_rules) {
            Some(why) => over.push((valve, why)),
            None => hopeful.push(valve),
        }
    }
    let (mut placed, mut load) = best_of_several_orders(&hopeful, &empty);
    over.extend(
        hopeful
            .into_iter()
            .filter(|valve| !placed.contains_key(&valve.valve))
            .map(|valve| (valve, WhyUnfinished::NoRoomBesideOthers)),
    );
    over.sort_by_key(|(valve, _)| valves.iter().position(|one| one.valve == valve.valve));

    let mut night = NightWatering::default();
    for (valve, why) in over {
        let starts = load.place_as_many(valve);
        let laid = u8::try_from(starts.len()).unwrap_or(u8::MAX);
        let one = valve.flow.over(valve.run)?;
        night.unfinished.push(Unfinished {
            valve: valve.valve,
            why,
            laid,
            short: one.checked_mul(i64::from(valve.cycles.saturating_sub(laid)))?,
        });
        placed.insert(valve.valve, starts);
    }
    for valve in valves {
        for (number, start) in (1..).zip(placed.get(&valve.valve).into_iter().flatten()) {
            night.cycles.push(Cycle {
                valve: valve.valve,
                number,
                from: Seconds(narrow(*start)?),
                to: Seconds(narrow(*start + i128::from(valve.run.0))?),
                flow: valve.flow,
                volume: valve.flow.over(valve.run)?,
            });
        }
    }
    night.cycles.sort_by_key(|cycle| (cycle.from, cycle.valve));
    Ok(night)
}

/// One more run of a valve, as early as it fits: for a run that did not come, while the courts can still drain before
/// play. `valve` is the valve as it stands now, with one cycle; the flow of the runs still to come is taken.
pub fn again_before_play(valve: &NightValve, line: &Line) -> Result<Option<Cycle>, WateringError> {
    let one = NightValve {
        cycles: 1,
        ..valve.clone()
    };
    Ok(night_cycles(&[one], line)?.cycles.into_iter().next())
}

/// One run of a valve as late as it fits; else why it does not. `valve` has one cycle.
pub fn latest_run(
    valve: &NightValve,
    line: &Line,
) -> Result<Result<Cycle, WhyUnfinished>, WateringError> {
    let one = NightValve {
        cycles: 1,
        ..valve.clone()
    };
    check(std::slice::from_ref(&one), line)?;
    let load = Load::of(line);
    let Some(start) = load.latest(&one) else {
        let without_rules = Load::of(&Line {
            budgets: Vec::new(),
            ..line.clone()
        });
        let why = hopeless(&one, &load, &without_rules);
        return Ok(Err(why.unwrap_or(WhyUnfinished::LineTaken)));
    };
    Ok(Ok(Cycle {
        valve: one.valve,
        number: 1,
        from: Seconds(narrow(start)?),
        to: Seconds(narrow(start + i128::from(one.run.0))?),
        flow: one.flow,
        volume: one.flow.over(one.run)?,
    }))
}

fn check(valves: &[NightValve], line: &Line) -> Result<(), WateringError> {
    if line.capacity.0 < 0 || line.taken.iter().any(|taken| taken.flow.0 < 0) {
        return Err(WateringError::Negative);
    }
    let mut seen = HashSet::new();
    for valve in valves {
        if !seen.insert(valve.valve) {
            return Err(WateringError::SameValveTwice(valve.valve));
        }
        if valve.flow.0 <= 0 {
            return Err(WateringError::NoFlow);
        }
        if valve.run.0 <= 0 {
            return Err(WateringError::NoRun);
        }
        if valve.pause.0 < 0 {
            return Err(WateringError::Negative);
        }
        let one = valve.flow.over(valve.run)?;
        one.checked_mul(i64::from(valve.cycles))?;
    }
    Ok(())
}

/// Why a valve could not run all its cycles even if it had the line to itself.
fn hopeless(valve: &NightValve, empty: &Load, without_rules: &Load) -> Option<WhyUnfinished> {
    if valve.cycles == 0 {
        return None;
    }
    if i128::from(valve.flow.0) > empty.capacity {
        return Some(WhyUnfinished::FlowOverLine);
    }
    if room_to_spare(valve) < 0 {
        return Some(WhyUnfinished::NightTooShort);
    }
    if without_rules.clone().place_all(valve).is_none() {
        return Some(WhyUnfinished::LineTaken);
    }
    empty
        .clone()
        .place_all(valve)
        .is_none()
        .then_some(WhyUnfinished::OverAllowance)
}

fn room_to_spare(valve: &NightValve) -> i128 {
    let (cycles, run, pause) = (
        i128::from(valve.cycles),
        i128::from(valve.run.0),
        i128::from(valve.pause.0),
    );
    let length = if cycles == 0 {
        0
    } else {
        cycles * run + (cycles - 1) * pause
    };
    i128::from(valve.ready_before.0) - i128::from(valve.not_before.0) - length
}

type Starts = BTreeMap<i64, Vec<i128>>;

fn best_of_several_orders(valves: &[&NightValve], empty: &Load) -> (Starts, Load) {
    let mut by_end = valves.to_vec();
    by_end.sort_by_key(|valve| (valve.ready_before, valve.not_before, valve.valve));
    let mut by_room = valves.to_vec();
    by_room.sort_by_key(|valve| (room_to_spare(valve), valve.ready_before, valve.valve));
    let mut by_water = valves.to_vec();
    by_water.sort_by_key(|valve| {
        (
            std::cmp::Reverse(valve.flow),
            valve.ready_before,
            valve.valve,
        )
    });

    let attempts: [&dyn Fn() -> (Starts, Load); 5] = [
        &|| valve_by_valve(&by_end, empty),
        &|| cycle_by_cycle(&by_end, empty),
        &|| valve_by_valve(&by_room, empty),
        &|| cycle_by_cycle(&by_room, empty),
        &|| valve_by_valve(&by_water, empty),
    ];
    let mut best = (Starts::new(), empty.clone());
    for attempt in attempts {
        let found = attempt();
        if found.0.len() > best.0.len() {
            best = found;
        }
        if best.0.len() == valves.len() {
            break;
        }
    }
    best
}

fn valve_by_valve(valves: &[&NightValve], empty: &Load) -> (Starts, Load) {
    let mut load = empty.clone();
    let starts = valves
        .iter()
        .filter_map(|valve| Some((valve.valve, load.place_all(valve)?)))
        .collect();
    (starts, load)
}

/// The first cycle of every valve, then the second, …; a valve that falls out is taken out from the start.
fn cycle_by_cycle(valves: &[&NightValve], empty: &Load) -> (Starts, Load) {
    let mut kept = valves.to_vec();
    let mut dropped = Vec::new();
    loop {
        match all_waves(&kept, empty) {
            Err(place) => dropped.push(kept.remove(place)),
            Ok((mut starts, mut load)) => {
                starts.extend(
                    dropped
                        .iter()
                        .filter_map(|valve| Some((valve.valve, load.place_all(valve)?))),
                );
                return (starts, load);
            }
        }
    }
}

/// Every valve's starts and the line's load, or the place of the first valve whose cycle does not fit.
fn all_waves(valves: &[&NightValve], empty: &Load) -> Result<(Starts, Load), usize> {
    let mut load = empty.clone();
    let mut starts: Starts = valves
        .iter()
        .map(|valve| (valve.valve, Vec::new()))
        .collect();
    for wave in 0..valves.iter().map(|valve| valve.cycles).max().unwrap_or(0) {
        for (place, valve) in valves
            .iter()
            .enumerate()
            .filter(|(_, valve)| wave < valve.cycles)
        {
            let own = starts.entry(valve.valve).or_default();
            let start = load.place(valve, own.last().copied()).ok_or(place)?;
            own.push(start);
        }
    }
    Ok((starts, load))
}

#[cfg(test)]
mod tests;
