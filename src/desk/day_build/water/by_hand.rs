//! Valves that somebody opens and comes back to close: when each of them runs is chosen before the day is planned, so
//! that the visits at both ends and the work on its courts can be planned around it.

use std::collections::{BTreeMap, HashMap};

use planner::problem::Span;
use trade::grooming::Condition;
use trade::units::{MlPerSecond, Seconds};
use trade::watering::{Line, NightValve, Taken, WhyUnfinished, latest_run};

use super::valve_work::{ValveWork, valve_key};
use super::{
    Allowances, DayValve, closed, drain_after_night_s, drain_after_soak_s, night_need, soak_run_s,
    valves,
};
use crate::desk::day_build::turnarounds::midday;
use crate::desk::day_build::{CourtHours, Inputs, OnShift, Places};
use crate::desk::settings::known::VALVE_SLACK_S;
use crate::store::courts::CourtRow;
use crate::store::day_plans::WateringKind;
use crate::store::water::Opened;

/// Beside the turnaround of each court, the walk to the next, s. Common practice, no source.
const WALK_S: i64 = 60;
/// The least time in which somebody comes and opens a valve, or closes it, s. Common practice, no source.
const LEAST_SLACK_S: i64 = 180;
/// Beside each other, two valves are opened so far apart by one crew, s. Common practice, no source.
const APART_S: i64 = 240;

/// How far a run that somebody opens and closes has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// Nobody has begun to open it.
    Asked,
    /// It was opened, or is being opened, and is to be closed by somebody.
    Opened {
        /// From when it runs.
        at: i64,
    },
    /// It was closed, or is being closed.
    Closed,
}

/// A run of a valve that somebody opens and closes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HandRun {
    /// The valve.
    pub valve: DayValve,
    /// What it is for.
    pub kind: WateringKind,
    /// How long it runs at the least, s.
    pub run_s: i64,
    /// When it is opened.
    pub opening: Span,
    /// When it is closed.
    pub closing: Span,
    /// While nobody works on its courts: from the opening until they are done with.
    pub kept_free: Span,
    /// How far it has come.
    pub stage: Stage,
}

impl HandRun {
    /// What it brings at the least, ml.
    pub fn wanted_ml(&self) -> i64 {
        self.valve.flow_mlps.saturating_mul(self.run_s)
    }

    /// From when to when its flow is given away, whatever comes of the visits; none where it is over.
    pub const fn flows(&self) -> Option<Span> {
        match self.stage {
            Stage::Asked => Some([self.opening[0], self.closing[1]]),
            Stage::Opened { at } => Some([at, self.closing[1]]),
            Stage::Closed => None,
        }
    }

    /// The name of the visit that opens it.
    pub fn opening_key(&self) -> String {
        self.key("open")
    }

    /// The name of the visit that closes it.
    pub fn closing_key(&self) -> String {
        self.key("close")
    }

    fn key(&self, end: &str) -> String {
        valve_key(self.valve.id.unwrap_or(0), self.kind, end)
    }
}

/// A run that is wanted and fits nowhere.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HandMissed {
    /// The valve.
    pub valve: DayValve,
    /// What it is for.
    pub kind: WateringKind,
    /// What it was to bring at the least, ml.
    pub wanted_ml: i64,
    /// In which time.
    pub within: Span,
    /// Why it does not fit.
    pub why: WhyUnfinished,
}

/// The runs of a date that somebody opens and closes.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct HandRuns {
    /// Those that have their time.
    pub runs: Vec<HandRun>,
    /// Those that fit nowhere.
    pub missed: Vec<HandMissed>,
}

/// What the runs are chosen by.
pub struct Choosing<'a> {
    /// The date's inputs.
    pub inputs: &'a Inputs,
    /// Where things stand.
    pub places: &'a Places,
    /// The crews on shift.
    pub crews: &'a [OnShift],
    /// When each court is in play and shut.
    pub hours: &'a HashMap<i64, CourtHours>,
    /// How long the shortest turnaround after each session takes 1, 2, … hands, s.
    pub shortest: &'a HashMap<i64, Vec<i64>>,
    /// What of the day's allowances is left.
    pub allowances: Allowances,
    /// What is given away of each bank's line.
    pub taken: BTreeMap<i64, Vec<Taken>>,
}

/// A run as it is wanted: in one of the times, the best first.
struct Wanted {
    run_s: i64,
    /// Not before, ready before, and until when the courts are left alone.
    times: Vec<(i64, i64, i64)>,
}

/// The courts whose sprinklers somebody opens by hand, and nothing else waters.
pub fn by_hand_alone(inputs: &Inputs) -> Vec<i64> {
    let all = valves(inputs);
    let wets = |opened: Opened, court: i64| {
        let mut of = all.iter().filter(|valve| valve.opened == opened);
        of.any(|valve| valve.courts.contains(&court))
    };
    let courts = inputs.courts.iter().map(|court| court.id);
    let by_hand = courts.filter(|id| wets(Opened::ByHand, *id) && !wets(Opened::Controller, *id));
    by_hand.collect()
}

impl Choosing<'_> {
    /// The runs of the date, valve by valve: the soaks of midday, then the water of the night.
    pub fn runs(mut self) -> HandRuns {
        let all = valves(self.inputs);
        let by_hand: Vec<&DayValve> = all
            .iter()
            .filter(|valve| valve.opened == Opened::ByHand && valve.flow_mlps > 0)
            .collect();
        let mut chosen = HandRuns::default();
        let alone = by_hand_alone(self.inputs);
        for kind in [WateringKind::Soak, WateringKind::NightCycle] {
            let mut nth = 0;
            for valve in &by_hand {
                if kind == WateringKind::Soak && !valve.courts.iter().all(|c| alone.contains(c)) {
                    continue;
                }
                let wanted = match kind {
                    WateringKind::Soak => self.soak(valve),
                    WateringKind::NightCycle => self.night(valve),
                };
                let begun = self.begun(valve, kind, wanted.as_ref());
                if let Some(begun) = begun {
                    self.give_away(&begun);
                    chosen.runs.push(begun);
                } else if let Some(wanted) = wanted {
                    self.choose(valve, kind, &wanted, nth, &mut chosen);
                    nth += 1;
                }
            }
        }
        chosen
    }

    /// A run that somebody has opened already: what is left is to close it.
    fn begun(
        &self,
        valve: &DayValve,
        kind: WateringKind,
        wanted: Option<&Wanted>,
    ) -> Option<HandRun> {
        let id = valve.id?;
        let of_run = || {
            let all = self.inputs.valve_work.iter();
            all.filter(move |work| (work.valve_id, work.kind) == (id, kind))
        };
        let opening = of_run().find(|work| work.opens && work.has_begun())?;
        let closing = of_run().find(|work| !work.opens);
        let clock = &self.inputs.clock;
        let now = clock.ends(self.inputs.now);
        // Being opened still, it runs when the work is over, as it was planned.
        let at = match opening.order.ended_at {
            Some(ended) => clock.ends(ended),
            None => clock.ends(opening.ends_at()).max(now),
        };
        let run_s = wanted.map_or(0, |wanted| wanted.run_s);
        let from = (at + run_s).max(now);
        let due = closing.map_or(0, |closing| clock.begins(closing.order.due_at));
        let closing_ends = (from + self.slack()).max(due);
        let is_closed = closing.is_some_and(ValveWork::has_begun);
        let times = wanted.into_iter().flat_map(|wanted| &wanted.times);
        let until = times
            .map(|time| time.2)
            .filter(|until| *until >= closing_ends);
        Some(HandRun {
            valve: valve.clone(),
            kind,
            run_s,
            opening: [clock.begins(opening.order.planned_start), at],
            closing: [from, closing_ends],
            kept_free: [
                clock.begins(opening.order.planned_start).min(at),
                until.min().unwrap_or(closing_ends),
            ],
            stage: if is_closed {
                Stage::Closed
            } else {
                Stage::Opened { at }
            },
        })
    }

    fn choose(
        &mut self,
        valve: &DayValve,
        kind: WateringKind,
        wanted: &Wanted,
        nth: usize,
        chosen: &mut HandRuns,
    ) {
        // One crew opens a few valves within the slack; of more, the next is opened earlier.
        let crews = self.crews.len().max(1);
        let apart = i64::try_from(nth / crews).unwrap_or(0) * APART_S;
        let line = self.line(valve.bank_id);
        let mut why = WhyUnfinished::NobodyThere;
        for (not_before, ready_before, until) in &wanted.times {
            let beside = ready_before.saturating_sub(*not_before) - wanted.run_s;
            let most = self.slack().min(beside / 2);
            if most < LEAST_SLACK_S {
                continue;
            }
            for slack in [most, LEAST_SLACK_S] {
                let whole = wanted.run_s + 2 * slack;
                let one = NightValve {
                    valve: 0,
                    flow: MlPerSecond(valve.flow_mlps),
                    cycles: 1,
                    run: Seconds(whole),
                    pause: Seconds::ZERO,
                    not_before: Seconds(*not_before),
                    ready_before: Seconds((ready_before - apart).max(not_before + whole)),
                    busy: self.busy(valve),
                };
                match latest_run(&one, &line) {
                    Ok(Ok(run)) => {
                        let [open, over] = [run.from.0, run.to.0];
                        let run = HandRun {
                            valve: valve.clone(),
                            kind,
                            run_s: wanted.run_s,
                            opening: [open, open + slack],
                            closing: [over - slack, over],
                            kept_free: [open, over.max(*until)],
                            stage: Stage::Asked,
                        };
                        self.give_away(&run);
                        chosen.runs.push(run);
                        return;
                    }
                    Ok(Err(other)) => why = other,
                    // The measures were checked when they were set.
                    Err(_) => {}
                }
            }
        }
        let first = wanted.times.iter().map(|time| time.0).min().unwrap_or(0);
        let last = wanted.times.iter().map(|time| time.1).max().unwrap_or(0);
        chosen.missed.push(HandMissed {
            valve: valve.clone(),
            kind,
            wanted_ml: valve.flow_mlps.saturating_mul(wanted.run_s),
            within: [first, last.max(first)],
            why,
        });
    }

    /// Its flow and its water at the most are not there for other runs.
    fn give_away(&mut self, run: &HandRun) {
        let Some([from, to]) = run.flows() else {
            return;
        };
        let (bank, flow) = (run.valve.bank_id, run.valve.flow_mlps);
        self.allowances
            .take(bank, from, flow.saturating_mul(to - from));
        self.taken.entry(bank).or_default().push(Taken {
            from: Seconds(from),
            to: Seconds(to),
            flow: MlPerSecond(flow),
        });
    }

    fn line(&self, bank: i64) -> Line {
        let inputs = self.inputs;
        let capacity = inputs.banks.iter().find(|one| one.id == bank);
        let spans = closed(inputs, bank);
        Line {
            capacity: MlPerSecond(capacity.map_or(0, |bank| bank.line_capacity_mlps)),
            taken: self.taken.get(&bank).cloned().unwrap_or_default(),
            closed: spans.iter().map(|span| span.map(Seconds)).collect(),
            budgets: self.allowances.of_bank(bank),
        }
    }

    /// When one of the valve's courts is in play or shut.
    fn busy(&self, valve: &DayValve) -> Vec<[Seconds; 2]> {
        let hours = valve
            .courts
            .iter()
            .filter_map(|court| self.hours.get(court));
        let spans = hours.flat_map(|hours| {
            let play = hours.play.iter().map(|stretch| stretch.span);
            play.chain(hours.shut.iter().copied())
        });
        spans.map(|span| span.map(Seconds)).collect()
    }

    fn slack(&self) -> i64 {
        self.inputs.settings.number(VALVE_SLACK_S)
    }

    /// From when on somebody can be at a bank's valves, and until when with the way home.
    fn there(&self, bank: i64) -> Option<Span> {
        let walk = self
            .places
            .from_shed_s(self.places.bank(bank), self.inputs.site.walk_mm_per_s);
        let now = self.inputs.clock.ends(self.inputs.now);
        let from = self.crews.iter().map(|on| on.crew.shift[0]).min()?;
        let until = self.crews.iter().map(|on| on.crew.shift[1]).max()?;
        Some([(from + walk).max(now), until - walk])
    }

    fn rows(&self, valve: &DayValve) -> Option<Vec<&CourtRow>> {
        let all = self.inputs.courts.iter();
        let rows: Vec<&CourtRow> = all.filter(|c| valve.courts.contains(&c.id)).collect();
        let is_soaked = |row: &&CourtRow| self.inputs.condition(row.id) == Condition::Soaked;
        (!rows.iter().any(is_soaked)).then_some(rows)
    }

    /// The soak of midday: between the play of all its courts.
    fn soak(&self, valve: &DayValve) -> Option<Wanted> {
        let rows = self.rows(valve)?;
        let [from, _] = self.there(valve.bank_id)?;
        let (mut work, mut ready_before, mut until) = (Vec::new(), i64::MAX, 0);
        for row in &rows {
            let hours = self.hours.get(&row.id)?;
            let session = midday(self.inputs, hours)?;
            let (stretch, next) = hours.turnarounds().find(|(s, _)| s.session == session)?;
            work.push((stretch.span[1], session));
            // Where nobody plays after it, the night's water is enough.
            let next = next.filter(|next| *next < self.inputs.clock.length_s())?;
            ready_before = ready_before.min(next - drain_after_soak_s(self.inputs, row.id));
            until = until.max(next);
        }
        let run_s = rows
            .iter()
            .filter(|row| row.soak_s > 0)
            .map(|row| soak_run_s(self.inputs, row))
            .max()?;
        let not_before = self.done_with(&work).max(from);
        (run_s > 0).then(|| Wanted {
            run_s,
            times: vec![(not_before, ready_before, until)],
        })
    }

    /// The water of the night: after the last work of the evening, while somebody is there; else before the first play.
    fn night(&self, valve: &DayValve) -> Option<Wanted> {
        let rows = self.rows(valve)?;
        let cycles = rows.iter().map(|row| row.night_cycles).max()?.clamp(0, 12);
        let each = rows
            .iter()
            .filter(|row| row.night_cycles > 0 && row.night_cycle_s > 0)
            .map(|row| night_need(self.inputs, row).run_s)
            .max()?;
        let run_s = each.saturating_mul(cycles);
        let [from, home] = self.there(valve.bank_id)?;
        let midnight = self.inputs.clock.length_s();
        let (mut evening, mut before_next) = (Vec::new(), home);
        let (mut owed, mut first_play, mut drained) = (Vec::new(), None, i64::MAX);
        for row in &rows {
            let hours = self.hours.get(&row.id)?;
            let drain = drain_after_night_s(self.inputs, row.id);
            if let Some((last, _)) = hours.turnarounds().max_by_key(|(s, _)| s.span[1]) {
                evening.push((last.span[1], last.session));
            }
            let of_the_day = hours.play.iter().filter(|stretch| stretch.of_the_day);
            let over = of_the_day.clone().map(|s| s.span[1]).max().unwrap_or(from);
            if let Some(next) = hours.next_play(over.max(midnight)) {
                before_next = before_next.min(next - drain);
            }
            if let Some(first) = of_the_day.map(|stretch| stretch.span[0]).min() {
                first_play = Some(first_play.map_or(first, |known: i64| known.min(first)));
                drained = drained.min(first - drain);
            }
            if let Some(last) = hours.last_before_the_day()
                && self.inputs.owes(last.session)
            {
                owed.push((from.max(last.span[1]), last.session));
            }
        }
        let mut times = vec![(self.done_with(&evening).max(from), before_next, home)];
        if let Some(first) = first_play {
            times.push((self.done_with(&owed).max(from), drained.min(home), first));
        }
        (run_s > 0).then_some(Wanted { run_s, times })
    }

    /// How long the shortest turnaround after a session takes so many hands, s.
    fn shortest(&self, session: i64, hands: i64) -> i64 {
        let takes = self.shortest.get(&session);
        let at = usize::try_from(hands - 1).unwrap_or(0);
        let takes = takes.and_then(|takes| takes.get(at).or(takes.last()));
        takes.copied().unwrap_or(0)
    }

    /// When the turnarounds after these sessions, each with its end, can all be over with the crews that are there.
    fn done_with(&self, work: &[(i64, i64)]) -> i64 {
        let mut work = work.to_vec();
        work.sort_unstable();
        let last_end = work.last().map_or(i64::MIN, |(end, _)| *end);
        let there = || {
            let crews = self.crews.iter().map(|on| &on.crew);
            crews.filter(|crew| (crew.shift[0]..crew.shift[1]).contains(&last_end))
        };
        let hands = there().map(|crew| crew.hands).min().unwrap_or(1);
        let mut free = vec![i64::MIN; there().count().max(1)];
        let mut all = i64::MIN;
        for (end, session) in work {
            if let Some(next) = free.iter_mut().min() {
                let takes = self.shortest(session, hands) + WALK_S;
                *next = (*next).max(end).saturating_add(takes);
                all = all.max(*next);
            }
        }
        all
    }
}
