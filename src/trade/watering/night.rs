//! The night's cycles: several short runs a court with a pause to soak in, all within what the bank's line carries.

mod load;

use std::collections::{BTreeMap, HashSet};

use serde::{Deserialize, Serialize};

use load::Load;

use super::{WateringError, WateringKind};
use crate::units::{Millilitres, MlPerSecond, Seconds};
use crate::whole::narrow;

/// One court's night. Times are seconds since the first instant of the evening's date, and may lie in the next.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct NightCourt {
    /// The court's number.
    pub court: i64,
    /// How it is watered; only sprinklers have cycles.
    pub kind: WateringKind,
    /// What its sprinklers take while they run.
    pub flow: MlPerSecond,
    /// How many cycles, commonly two or three.
    pub cycles: u8,
    /// How long each runs, unbroken.
    pub run: Seconds,
    /// The least pause from the end of one to the start of the next.
    pub pause: Seconds,
    /// When the last work and the evening's play on it are over.
    pub not_before: Seconds,
    /// When the last cycle must have ended, so that the first players find it dry enough.
    pub ready_before: Seconds,
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

/// A bank's supply line.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Line {
    /// What it carries at once.
    pub capacity: MlPerSecond,
    /// What of that is already given away.
    pub taken: Vec<Taken>,
}

/// One run of a court's sprinklers, from `from` up to, but without, `to`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Cycle {
    /// The court.
    pub court: i64,
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
    /// Why a court cannot be watered through.
    WhyUnfinished {
        /// It takes more than the line carries.
        FlowOverLine = "flow_over_line",
        /// Its cycles and pauses are longer than its night.
        NightTooShort = "night_too_short",
        /// What was given away before leaves no room.
        LineTaken = "line_taken",
        /// The other courts of the bank leave no room.
        NoRoomBesideOthers = "no_room_beside_others",
    }
}

/// A court whose cycles do not all fit; none of them is planned.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Unfinished {
    /// The court.
    pub court: i64,
    /// Why.
    pub why: WhyUnfinished,
}

/// A bank's night.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct NightWatering {
    /// All cycles by their start, then by court.
    pub cycles: Vec<Cycle>,
    /// Courts that cannot be watered through, in the order given.
    pub unfinished: Vec<Unfinished>,
    /// Courts without cycles, watered from below or by hand, in the order given.
    pub without_cycles: Vec<i64>,
}

/// Lays the cycles of a bank's courts into the night, each as early as it fits.
///
/// Several orders are tried (by the end of the night, by the room to spare, by the water taken, and one cycle of every
/// court after the other); the first that leaves the fewest courts over is taken. The same input gives the same night.
pub fn night_cycles(courts: &[NightCourt], line: &Line) -> Result<NightWatering, WateringError> {
    check(courts, line)?;
    let (cycled, others): (Vec<&NightCourt>, Vec<&NightCourt>) = courts
        .iter()
        .partition(|court| court.kind == WateringKind::Sprinklers);
    let mut night = NightWatering {
        without_cycles: others.iter().map(|court| court.court).collect(),
        ..Default::default()
    };

    let empty = Load::of(line);
    let mut hopeful = Vec::new();
    for court in cycled {
        match hopeless(court, &empty) {
            Some(why) => night.unfinished.push(Unfinished {
                court: court.court,
                why,
            }),
            None => hopeful.push(*court),
        }
    }

    let placed = best_of_several_orders(&hopeful, &empty);
    for court in &hopeful {
        if court.cycles > 0 && !placed.contains_key(&court.court) {
            night.unfinished.push(Unfinished {
                court: court.court,
                why: WhyUnfinished::NoRoomBesideOthers,
            });
        }
        for (number, start) in (1..).zip(placed.get(&court.court).into_iter().flatten()) {
            let (from, to) = (
                Seconds(narrow(*start)?),
                Seconds(narrow(*start + i128::from(court.run.0))?),
            );
            let volume = court.flow.over(court.run)?;
            night.cycles.push(Cycle {
                court: court.court,
                number,
                from,
                to,
                flow: court.flow,
                volume,
            });
        }
    }
    night.cycles.sort_by_key(|cycle| (cycle.from, cycle.court));
    let place = |number: i64| courts.iter().position(|court| court.court == number);
    night.unfinished.sort_by_key(|one| place(one.court));
    Ok(night)
}

fn check(courts: &[NightCourt], line: &Line) -> Result<(), WateringError> {
    if line.capacity.0 < 0 || line.taken.iter().any(|taken| taken.flow.0 < 0) {
        return Err(WateringError::Negative);
    }
    let mut seen = HashSet::new();
    for court in courts {
        if !seen.insert(court.court) {
            return Err(WateringError::SameCourtTwice(court.court));
        }
        if court.kind != WateringKind::Sprinklers {
            continue;
        }
        if court.flow.0 <= 0 {
            return Err(WateringError::NoFlow);
        }
        if court.run.0 <= 0 {
            return Err(WateringError::NoRun);
        }
        if court.pause.0 < 0 {
            return Err(WateringError::Negative);
        }
        court.flow.over(court.run)?;
    }
    Ok(())
}

/// Why a court could not be watered through even if it had the line to itself.
fn hopeless(court: &NightCourt, empty: &Load) -> Option<WhyUnfinished> {
    if i128::from(court.flow.0) > empty.capacity {
        return Some(WhyUnfinished::FlowOverLine);
    }
    if room_to_spare(court) < 0 {
        return Some(WhyUnfinished::NightTooShort);
    }
    empty
        .clone()
        .place_all(court)
        .is_none()
        .then_some(WhyUnfinished::LineTaken)
}

fn room_to_spare(court: &NightCourt) -> i128 {
    let (cycles, run, pause) = (
        i128::from(court.cycles),
        i128::from(court.run.0),
        i128::from(court.pause.0),
    );
    let length = if cycles == 0 {
        0
    } else {
        cycles * run + (cycles - 1) * pause
    };
    i128::from(court.ready_before.0) - i128::from(court.not_before.0) - length
}

type Starts = BTreeMap<i64, Vec<i128>>;

fn best_of_several_orders(courts: &[NightCourt], empty: &Load) -> Starts {
    let mut by_end = courts.to_vec();
    by_end.sort_by_key(|court| (court.ready_before, court.not_before, court.court));
    let mut by_room = courts.to_vec();
    by_room.sort_by_key(|court| (room_to_spare(court), court.ready_before, court.court));
    let mut by_water = courts.to_vec();
    by_water.sort_by_key(|court| {
        (
            std::cmp::Reverse(court.flow),
            court.ready_before,
            court.court,
        )
    });

    let attempts: [&dyn Fn() -> Starts; 5] = [
        &|| court_by_court(&by_end, empty),
        &|| cycle_by_cycle(&by_end, empty),
        &|| court_by_court(&by_room, empty),
        &|| cycle_by_cycle(&by_room, empty),
        &|| court_by_court(&by_water, empty),
    ];
    let mut best = Starts::new();
    for attempt in attempts {
        let found = attempt();
        if found.len() > best.len() {
            best = found;
        }
        if best.len() == courts.len() {
            break;
        }
    }
    best
}

fn court_by_court(courts: &[NightCourt], empty: &Load) -> Starts {
    let mut load = empty.clone();
    courts
        .iter()
        .filter_map(|court| Some((court.court, load.place_all(court)?)))
        .collect()
}

/// The first cycle of every court, then the second, …; a court that falls out is taken out from the start.
fn cycle_by_cycle(courts: &[NightCourt], empty: &Load) -> Starts {
    let mut kept = courts.to_vec();
    let mut dropped = Vec::new();
    loop {
        match all_waves(&kept, empty) {
            Err(place) => dropped.push(kept.remove(place)),
            Ok((mut starts, mut load)) => {
                starts.extend(
                    dropped
                        .iter()
                        .filter_map(|court| Some((court.court, load.place_all(court)?))),
                );
                return starts;
            }
        }
    }
}

/// Every court's starts and the line's load, or the place of the first court whose cycle does not fit.
fn all_waves(courts: &[NightCourt], empty: &Load) -> Result<(Starts, Load), usize> {
    let mut load = empty.clone();
    let mut starts: Starts = courts
        .iter()
        .map(|court| (court.court, Vec::new()))
        .collect();
    for wave in 0..courts.iter().map(|court| court.cycles).max().unwrap_or(0) {
        for (place, court) in courts
            .iter()
            .enumerate()
            .filter(|(_, court)| wave < court.cycles)
        {
            let own = starts.entry(court.court).or_default();
            let start = load.place(court, own.last().copied()).ok_or(place)?;
            own.push(start);
        }
    }
    Ok((starts, load))
}

#[cfg(test)]
mod tests;
