//! The water that is laid after the day plan, on the flow the day's soaks leave: the midday soaks of valves that wet
//! several courts, and each valve's spaced cycles of the night, drained before the next players.

mod by_hand;

use std::collections::{BTreeMap, HashMap};

use planner::plan::Plan;
use planner::problem::Span;
use trade::grooming::Condition;
use trade::units::{MlPerSecond, Seconds};
use trade::watering::{Cycle, Line, NightValve, Stretch, Taken, WhyUnfinished, night_cycles};

use super::Built;
use super::clock::minus;
use super::turnarounds::midday;
use super::water::{
    Allowances, DayValve, Need, closed, drain_after_night_s, drain_after_soak_s, night_need,
    soak_run_s, valves,
};
use crate::desk::place::Place;
use crate::store::courts::{BankRow, CourtRow};
use crate::store::day_plans::WateringKind;
use crate::store::water::Opened;

pub use by_hand::lone_openings;

/// A court's part of a run, s of the day's clock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LaidRun {
    /// The court.
    pub court_id: i64,
    /// The valve; none where the court's own sprinklers are meant.
    pub valve_id: Option<i64>,
    /// What it is for.
    pub kind: WateringKind,
    /// Its number in the night, from 1.
    pub cycle: Option<i64>,
    /// From when.
    pub from: i64,
    /// Until when.
    pub to: i64,
    /// Its part of the flow, ml/s.
    pub flow_mlps: i64,
    /// How much, ml.
    pub volume_ml: i64,
}

/// What a court gets in the night, and what it stays short of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CourtNight {
    /// The court.
    pub court_id: i64,
    /// How much of its ordinary run, and why.
    pub need: Need,
    /// What all its cycles come to, ml.
    pub wanted_ml: i64,
    /// What it stays short of, ml.
    pub short_ml: i64,
    /// Why.
    pub short_why: Option<WhyUnfinished>,
    /// When its night begins.
    pub from: i64,
    /// When it ends.
    pub until: i64,
}

/// The water laid after a plan.
#[derive(Clone, Debug, Default)]
pub struct Night {
    /// The runs, bank by bank.
    pub runs: Vec<LaidRun>,
    /// The courts that go without their midday soak, for nobody opens and closes its valve: with its time.
    pub missed_soaks: Vec<(i64, Span)>,
    /// The courts with night cycles, in order of id.
    pub courts: Vec<CourtNight>,
}

/// Lays the water of the day and night after a plan. A soaked court gets none, and neither does one that is shut all
/// night.
pub fn night_waterings(built: &Built, plan: &Plan) -> Night {
    let all = valves(&built.inputs);
    let mut laying = Laying {
        built,
        plan,
        worked: worked(built, plan),
        allowances: Allowances::of(&built.inputs),
        night: Night::default(),
        courts: BTreeMap::new(),
    };
    for bank in &built.inputs.banks {
        let of_bank: Vec<&DayValve> = all.iter().filter(|v| v.bank_id == bank.id).collect();
        laying.bank(bank, &of_bank, &soaks(built, plan, bank.id));
    }
    laying.night.courts = laying.courts.into_values().collect();
    laying.night
}

struct Laying<'a> {
    built: &'a Built,
    plan: &'a Plan,
    /// When each court is worked on or soaked by the plan.
    worked: HashMap<i64, Vec<Span>>,
    allowances: Allowances,
    night: Night,
    courts: BTreeMap<i64, CourtNight>,
}

impl<'a> Laying<'a> {
    fn bank(&mut self, bank: &BankRow, valves: &[&DayValve], soaks: &[Taken]) {
        for soak in soaks {
            let volume = soak.flow.0.saturating_mul(soak.to.0 - soak.from.0);
            self.allowances.take(bank.id, soak.from.0, volume);
        }
        let inputs = &self.built.inputs;
        let others = inputs.waterings.iter().filter(|run| run.bank_id == bank.id);
        let others = others.map(|run| Taken {
            from: Seconds(inputs.clock.begins(run.starts_at)),
            to: Seconds(inputs.clock.ends(run.ends_at)),
            flow: MlPerSecond(run.flow_mlps),
        });
        let mut line = Line {
            capacity: MlPerSecond(bank.line_capacity_mlps),
            taken: soaks.iter().copied().chain(others).collect(),
            closed: stretches(&closed(inputs, bank.id)),
            budgets: self.allowances.of_bank(bank.id),
        };
        self.by_hand(bank.id, &mut line);
        self.shared_soaks(bank.id, valves, &mut line);
        line.budgets = self.allowances.of_bank(bank.id);
        self.cycles(bank.id, valves, &line);
    }

    /// The midday soaks of valves over several courts: once all of them are turned around and free.
    fn shared_soaks(&mut self, bank: i64, valves: &[&DayValve], line: &mut Line) {
        let shared = (0..).zip(valves).filter(|(_, valve)| {
            valve.courts.len() > 1 && valve.opened == Opened::Controller && valve.flow_mlps > 0
        });
        let asked: Vec<NightValve> = shared
            .filter_map(|(nth, valve)| self.shared_soak(nth, valve))
            .collect();
        let Ok(laid) = night_cycles(&asked, line) else {
            return;
        };
        for cycle in &laid.cycles {
            line.taken.push(Taken {
                from: cycle.from,
                to: cycle.to,
                flow: cycle.flow,
            });
            if let Some(valve) = valve_of(valves, cycle.valve) {
                for court in &valve.courts {
                    let worked = self.worked.entry(*court).or_default();
                    worked.push([cycle.from.0, cycle.to.0]);
                }
                self.keep(bank, valve, cycle, WateringKind::Soak);
            }
        }
    }

    fn shared_soak(&self, nth: i64, valve: &DayValve) -> Option<NightValve> {
        let inputs = &self.built.inputs;
        let rows = self.rows(valve);
        if rows.iter().any(|row| self.is_soaked(row.id)) {
            return None;
        }
        let (mut not_before, mut ready_before) = (i64::MIN, i64::MAX);
        for row in &rows {
            let hours = self.built.hours.get(&row.id)?;
            let session = midday(inputs, hours)?;
            let (stretch, next) = hours.turnarounds().find(|(s, _)| s.session == session)?;
            let over = self.worked_between(row.id, stretch.span[1], next.unwrap_or(i64::MAX));
            not_before = not_before.max(over.unwrap_or(stretch.span[1]));
            let end = next.unwrap_or_else(|| inputs.clock.length_s());
            ready_before = ready_before.min(end - drain_after_soak_s(inputs, row.id));
        }
        let run = rows.iter().map(|row| soak_run_s(inputs, row)).max()?;
        (run > 0).then(|| NightValve {
            valve: nth,
            flow: MlPerSecond(valve.flow_mlps),
            cycles: 1,
            run: Seconds(run),
            pause: Seconds::ZERO,
            not_before: Seconds(not_before),
            ready_before: Seconds(ready_before),
            busy: self.busy(valve),
        })
    }

    /// The night's cycles.
    fn cycles(&mut self, bank: i64, valves: &[&DayValve], line: &Line) {
        let asked: Vec<NightValve> = (0..)
            .zip(valves)
            .filter_map(|(nth, valve)| self.night_valve(nth, valve))
            .collect();
        // The measures were checked when they were set; a line without sense waters nothing.
        let laid = night_cycles(&asked, line).unwrap_or_default();
        for one in &asked {
            if let Some(valve) = valve_of(valves, one.valve) {
                let left = laid.unfinished.iter().find(|left| left.valve == one.valve);
                self.note(valve, one, left.map(|left| (left.short.0, left.why)));
            }
        }
        for cycle in &laid.cycles {
            if let Some(valve) = valve_of(valves, cycle.valve) {
                self.keep(bank, valve, cycle, WateringKind::NightCycle);
            }
        }
    }

    fn night_valve(&self, nth: i64, valve: &DayValve) -> Option<NightValve> {
        let inputs = &self.built.inputs;
        let rows = self.rows(valve);
        if valve.opened != Opened::Controller || valve.flow_mlps <= 0 {
            return None;
        }
        if rows.iter().any(|row| self.is_soaked(row.id)) {
            return None;
        }
        let cycles = rows.iter().map(|row| row.night_cycles).max()?.clamp(0, 12);
        let run = rows
            .iter()
            .filter(|row| row.night_cycles > 0 && row.night_cycle_s > 0)
            .map(|row| night_need(inputs, row).run_s)
            .max()?;
        let (mut not_before, mut ready_before) = (i64::MIN, i64::MAX);
        for row in &rows {
            let night = self.night_of(row)?;
            not_before = not_before.max(night[0]);
            ready_before = ready_before.min(night[1]);
        }
        let one = NightValve {
            valve: nth,
            flow: MlPerSecond(valve.flow_mlps),
            cycles: u8::try_from(cycles).unwrap_or(0),
            run: Seconds(run),
            pause: Seconds(inputs.standards.night_pause_s),
            not_before: Seconds(not_before),
            ready_before: Seconds(ready_before),
            busy: self.busy(valve),
        };
        (one.cycles > 0 && one.run.0 > 0 && !self.is_shut(valve, [not_before, ready_before]))
            .then_some(one)
    }

    /// From when to when a court's night is.
    fn night_of(&self, court: &CourtRow) -> Option<Span> {
        let (standards, clock) = (&self.built.inputs.standards, &self.built.inputs.clock);
        let hours = self.built.hours.get(&court.id)?;
        let evening = clock.local(0, standards.night_from);
        let midnight = clock.length_s();
        let played_until = hours
            .play
            .iter()
            .filter(|stretch| stretch.span[0] < midnight)
            .map(|stretch| stretch.span[1]);
        let worked = self.worked.get(&court.id).into_iter().flatten();
        let not_before = played_until
            .chain(worked.map(|span| span[1]))
            .fold(evening, i64::max);
        let ready_before = match hours.next_play(midnight.max(not_before)) {
            Some(players) => players - drain_after_night_s(&self.built.inputs, court.id),
            None => clock.local(1, standards.night_until),
        };
        Some([not_before, ready_before])
    }

    /// Notes what the courts of a valve get, and what they stay short of.
    fn note(&mut self, valve: &DayValve, one: &NightValve, left: Option<(i64, WhyUnfinished)>) {
        let asked = AskedOfNight {
            wanted_ml: one.flow.0 * one.run.0 * i64::from(one.cycles),
            run_s: one.run.0,
            within: [one.not_before.0, one.ready_before.0],
        };
        self.note_asked(valve, &asked, left);
    }

    fn note_asked(
        &mut self,
        valve: &DayValve,
        asked: &AskedOfNight,
        left: Option<(i64, WhyUnfinished)>,
    ) {
        let wanted = parts(asked.wanted_ml, valve.courts.len());
        let short = parts(left.map_or(0, |left| left.0), valve.courts.len());
        for ((court, wanted), short) in self.rows(valve).into_iter().zip(wanted).zip(short) {
            let night = self.courts.entry(court.id).or_insert_with(|| CourtNight {
                court_id: court.id,
                need: night_need(&self.built.inputs, court),
                wanted_ml: 0,
                short_ml: 0,
                short_why: None,
                from: asked.within[0],
                until: asked.within[1].max(asked.within[0]),
            });
            // A valve over several courts runs as long as the one that wants most.
            night.need.run_s = night.need.run_s.max(asked.run_s);
            night.wanted_ml += wanted;
            night.short_ml += short;
            night.short_why = night.short_why.or(left.map(|left| left.1));
        }
    }

    fn keep(&mut self, bank: i64, valve: &DayValve, cycle: &Cycle, kind: WateringKind) {
        self.allowances.take(bank, cycle.from.0, cycle.volume.0);
        let flows = parts(cycle.flow.0, valve.courts.len());
        let volumes = parts(cycle.volume.0, valve.courts.len());
        let of_courts = valve.courts.iter().zip(flows).zip(volumes);
        self.night
            .runs
            .extend(of_courts.map(|((court, flow_mlps), volume_ml)| LaidRun {
                court_id: *court,
                valve_id: valve.id,
                kind,
                cycle: (kind == WateringKind::NightCycle).then_some(i64::from(cycle.number)),
                from: cycle.from.0,
                to: cycle.to.0,
                flow_mlps,
                volume_ml,
            }));
    }

    fn rows(&self, valve: &DayValve) -> Vec<&'a CourtRow> {
        let built: &'a Built = self.built;
        let all = built.inputs.courts.iter();
        let mut rows: Vec<&CourtRow> = all.filter(|c| valve.courts.contains(&c.id)).collect();
        rows.sort_by_key(|row| valve.courts.iter().position(|court| *court == row.id));
        rows
    }

    fn is_soaked(&self, court: i64) -> bool {
        self.built.inputs.condition(court) == Condition::Soaked
    }

    /// When one of a valve's courts is in play, worked on or shut.
    fn busy(&self, valve: &DayValve) -> Vec<Stretch> {
        let spans: Vec<Span> = valve
            .courts
            .iter()
            .flat_map(|court| {
                let hours = self.built.hours.get(court);
                let play = hours
                    .into_iter()
                    .flat_map(|h| h.play.iter().map(|p| p.span));
                let shut = hours.into_iter().flat_map(|h| h.shut.iter().copied());
                let worked = self.worked.get(court).into_iter().flatten().copied();
                play.chain(shut).chain(worked).collect::<Vec<_>>()
            })
            .collect();
        stretches(&spans)
    }

    /// Whether one of a valve's courts is shut the whole time.
    fn is_shut(&self, valve: &DayValve, whole: Span) -> bool {
        let hours = valve
            .courts
            .iter()
            .filter_map(|court| self.built.hours.get(court));
        whole[0] < whole[1] && hours.into_iter().any(|h| minus(whole, &h.shut).is_empty())
    }

    /// When the last work of the plan on a court is over that lies between the two seconds.
    fn worked_between(&self, court: i64, from: i64, until: i64) -> Option<i64> {
        let worked = self.worked.get(&court)?.iter();
        let between = worked.filter(|span| span[0] >= from && span[1] <= until);
        between.map(|span| span[1]).max()
    }
}

/// What a valve is to bring in the night.
struct AskedOfNight {
    /// How much, ml.
    wanted_ml: i64,
    /// In runs of how long, s.
    run_s: i64,
    /// In which time.
    within: Span,
}

fn valve_of<'v>(valves: &[&'v DayValve], nth: i64) -> Option<&'v DayValve> {
    valves.get(usize::try_from(nth).ok()?).copied()
}

/// A whole in so many parts that sum to it, as equal as they can be.
pub fn parts(whole: i64, courts: usize) -> Vec<i64> {
    let count = i64::try_from(courts.max(1)).unwrap_or(1);
    let (each, rest) = (whole.div_euclid(count), whole.rem_euclid(count));
    (0..count).map(|nth| each + i64::from(nth < rest)).collect()
}

fn stretches(spans: &[Span]) -> Vec<Stretch> {
    spans.iter().map(|span| span.map(Seconds)).collect()
}

/// When each court is worked on and soaked by the plan.
fn worked(built: &Built, plan: &Plan) -> HashMap<i64, Vec<Span>> {
    let stops = plan.rounds.iter().flat_map(|round| &round.stops);
    let stops = stops.map(|stop| (&stop.visit, [stop.start_s, stop.end_s]));
    let soaks = plan.watering.iter();
    let soaks = soaks.map(|run| (&run.visit, [run.start_s, run.end_s]));
    let mut worked: HashMap<i64, Vec<Span>> = HashMap::new();
    for (visit, span) in stops.chain(soaks) {
        if let Some(Place::Court(court)) = built.table.get(visit).map(|entry| entry.at) {
            worked.entry(court).or_default().push(span);
        }
    }
    worked
}

/// What of a bank's line the plan's soaks take.
fn soaks(built: &Built, plan: &Plan, bank: i64) -> Vec<Taken> {
    let line = super::turnarounds::line_key(bank);
    let flows: HashMap<&str, i64> = built
        .problem
        .visits
        .iter()
        .filter_map(|visit| Some((visit.id.as_str(), visit.water.as_ref()?)))
        .filter(|(_, water)| water.group == line)
        .map(|(visit, water)| (visit, water.flow_mlps))
        .collect();
    let runs = plan.watering.iter();
    runs.filter_map(|run| {
        Some(Taken {
            from: Seconds(run.start_s),
            to: Seconds(run.end_s),
            flow: MlPerSecond(*flows.get(run.visit.as_str())?),
        })
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::parts;

    #[test]
    fn the_parts_of_a_run_sum_to_the_whole() {
        assert_eq!(parts(10, 3), [4, 3, 3]);
        assert_eq!(parts(0, 2), [0, 0]);
        assert_eq!(parts(7, 0), [7]);
    }
}
