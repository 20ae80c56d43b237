//! The night's water: each court's spaced cycles between the day's last work and the next players.

use std::collections::HashMap;

use planner::plan::Plan;
use trade::grooming::Condition;
use trade::units::{MlPerSecond, Seconds};
use trade::watering::{Line, NightCourt, Taken, WateringKind, night_cycles};

use super::{Built, turnarounds::line_key};
use crate::desk::place::Place;
use crate::store::courts::{CourtRow, Watering};

/// One run of a court's sprinklers in the night, s of the day's clock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NightRun {
    /// The court.
    pub court_id: i64,
    /// From when.
    pub from: i64,
    /// Until when.
    pub to: i64,
    /// Its flow, ml/s.
    pub flow_mlps: i64,
    /// How much, ml.
    pub volume_ml: i64,
}

/// A court whose night does not hold its cycles.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DryNight {
    /// The court.
    pub court_id: i64,
    /// When its night begins.
    pub from: i64,
    /// When it ends.
    pub until: i64,
}

/// The night after a plan, bank by bank: the runs, and the courts that cannot be watered through.
/// A soaked court gets none.
pub fn night_waterings(built: &Built, plan: &Plan) -> (Vec<NightRun>, Vec<DryNight>) {
    let worked_until = worked_until(built, plan);
    let (mut runs, mut dry) = (Vec::new(), Vec::new());
    for bank in &built.inputs.banks {
        let courts: Vec<NightCourt> = built
            .inputs
            .courts
            .iter()
            .filter(|court| court.bank_id == bank.id)
            .filter(|court| built.inputs.condition(court.id) != Condition::Soaked)
            .filter_map(|court| night(built, court, &worked_until))
            .collect();
        let line = Line {
            capacity: MlPerSecond(bank.line_capacity_mlps),
            taken: taken(built, plan, bank.id),
        };
        let Ok(night) = night_cycles(&courts, &line) else {
            // Measures that make no sense: every court of the bank is told as not watered.
            dry.extend(courts.iter().map(dry_night));
            continue;
        };
        runs.extend(night.cycles.iter().map(|cycle| NightRun {
            court_id: cycle.court,
            from: cycle.from.0,
            to: cycle.to.0,
            flow_mlps: cycle.flow.0,
            volume_ml: cycle.volume.0,
        }));
        for left in &night.unfinished {
            dry.extend(
                courts
                    .iter()
                    .filter(|c| c.court == left.court)
                    .map(dry_night),
            );
        }
    }
    (runs, dry)
}

fn dry_night(court: &NightCourt) -> DryNight {
    DryNight {
        court_id: court.court,
        from: court.not_before.0,
        until: court.ready_before.0.max(court.not_before.0),
    }
}

/// A court's night, where it has cycles at all.
fn night(built: &Built, court: &CourtRow, worked_until: &HashMap<i64, i64>) -> Option<NightCourt> {
    let has_cycles = court.watering == Watering::Sprinkler
        && court.night_cycles > 0
        && court.night_cycle_s > 0
        && court.sprinkler_flow_mlps > 0;
    if !has_cycles {
        return None;
    }
    let (standards, clock) = (&built.inputs.standards, &built.inputs.clock);
    let hours = built.hours.get(&court.id)?;
    let evening = clock.local(0, standards.night_from);
    let midnight = clock.length_s();
    let played_until = hours
        .play
        .iter()
        .filter(|stretch| stretch.span[0] < midnight)
        .map(|stretch| stretch.span[1]);
    let not_before = played_until
        .chain(worked_until.get(&court.id).copied())
        .fold(evening, i64::max);
    let ready_before = match hours.next_play(midnight.max(not_before)) {
        Some(players) => players - standards.dry_before_play_s,
        None => clock.local(1, standards.night_until),
    };
    Some(NightCourt {
        court: court.id,
        kind: WateringKind::Sprinklers,
        flow: MlPerSecond(court.sprinkler_flow_mlps),
        cycles: u8::try_from(court.night_cycles).unwrap_or(u8::MAX),
        run: Seconds(court.night_cycle_s),
        pause: Seconds(standards.night_pause_s),
        not_before: Seconds(not_before),
        ready_before: Seconds(ready_before),
    })
}

/// When each court's last work and soak of the plan are over.
fn worked_until(built: &Built, plan: &Plan) -> HashMap<i64, i64> {
    let stops = plan.rounds.iter().flat_map(|round| &round.stops);
    let stops = stops.map(|stop| (&stop.visit, stop.end_s));
    let soaks = plan.watering.iter().map(|run| (&run.visit, run.end_s));
    let mut last: HashMap<i64, i64> = HashMap::new();
    for (visit, end) in stops.chain(soaks) {
        if let Some(Place::Court(court)) = built.table.get(visit).map(|entry| entry.at) {
            let known = last.entry(court).or_insert(end);
            *known = end.max(*known);
        }
    }
    last
}

/// What of a bank's line the plan's soaks and other days' plans take.
fn taken(built: &Built, plan: &Plan, bank: i64) -> Vec<Taken> {
    let line = line_key(bank);
    let flows: HashMap<&str, i64> = built
        .problem
        .visits
        .iter()
        .filter_map(|visit| Some((visit.id.as_str(), visit.water.as_ref()?)))
        .filter(|(_, water)| water.group == line)
        .map(|(visit, water)| (visit, water.flow_mlps))
        .collect();
    let soaks = plan.watering.iter().filter_map(|run| {
        Some(Taken {
            from: Seconds(run.start_s),
            to: Seconds(run.end_s),
            flow: MlPerSecond(*flows.get(run.visit.as_str())?),
        })
    });
    let group = built.problem.water.iter().find(|group| group.group == line);
    let others = group
        .into_iter()
        .flat_map(|group| group.taken.iter().flatten())
        .map(|taken| Taken {
            from: Seconds(taken.from),
            to: Seconds(taken.to),
            flow: MlPerSecond(taken.flow_mlps),
        });
    soaks.chain(others).collect()
}
