//! The day problem of a site's date, built from the database: what the planner sees, and the table
//! that makes orders of the visits it gives back.

mod again;
mod begin;
mod care;
mod care_book;
mod clock;
mod crews;
mod ground;
mod hand;
mod heat;
mod inputs;
mod jobs;
mod label;
mod leaves;
mod night;
mod places;
mod play;
mod pricing;
mod rest;
mod sky;
mod spread;
mod standards;
mod tools;
mod turnaround_ways;
mod turnarounds;
mod water;
mod ways;
mod withheld;

use std::collections::HashMap;

use chrono::NaiveDate;
use planner::problem::{FORMAT, Problem, Span, Taken, WaterGroup};
use serde::Serialize;
use sha2::{Digest, Sha256};

pub use again::again;
pub use care_book::{CareBook, DueTask, applies, due_on_bank, due_on_court, rain_by_day};
pub use clock::DayClock;
pub use crews::{OnShift, crew_id_of, crew_key};
pub use ground::conditions_at;
pub use hand::{care_key, loosen};
pub use inputs::Inputs;
pub use jobs::{Entry, Job, JobStep, JobWay, LeftOut};
pub use night::{CourtNight, LaidRun, Night, lone_openings, night_waterings, parts};
pub use places::Places;
pub use play::CourtHours;
pub use pricing::held_courts;
pub use sky::{drying, foretold};
pub use spread::{Spread, Unknown};
pub use turnarounds::{Asked, session_of_key};
use water::{Choosing, Soaks};
pub use water::{
    DayValve, HandRun, HandRuns, NOBODY_THERE, Stage, VALVE, VALVE_WORK, ValveWork, short_reason,
    valve_of_key, valve_title, valves,
};
pub use ways::for_hands;

use super::{Error, Result};
use crate::store::courts::CourtRow;
use crate::store::{Conn, Instant, Scope, columns};
use turnarounds::{CourtDay, line_key};

/// A site's date, ready to be planned.
pub struct Built {
    /// What it was built from.
    pub inputs: Inputs,
    /// What the planner sees.
    pub problem: Problem,
    /// The same as JSON.
    pub problem_text: String,
    /// The crews on shift, in the problem's order.
    pub crews: Vec<OnShift>,
    /// How the visits become orders, by the visit's name.
    pub table: HashMap<String, Entry>,
    /// What cannot be put to the planner, and why.
    pub left_out: Vec<LeftOut>,
    /// When each court is in play and shut.
    pub hours: HashMap<i64, CourtHours>,
    /// The runs of valves that somebody opens and closes.
    pub hand_runs: HandRuns,
    /// SHA-256 over the problem and the table, in hexadecimal: unchanged while nothing changes
    /// that a plan rests on.
    pub digest: String,
}

/// Builds the day problem of a site's date, as it stands `now`. [`Error::State`] where nobody is on
/// shift.
pub fn build(conn: &mut Conn, scope: &Scope, date: NaiveDate, now: Instant) -> Result<Built> {
    Built::of(Inputs::read(conn, scope, date, now)?)
}

/// The same for what is left of a day, where everybody may have gone home.
pub fn build_left(conn: &mut Conn, scope: &Scope, date: NaiveDate, now: Instant) -> Result<Built> {
    Built::left(Inputs::read(conn, scope, date, now)?)
}

impl Built {
    /// The day problem of the inputs' date.
    pub fn of(inputs: Inputs) -> Result<Self> {
        let date = inputs.date;
        let built = Self::left(inputs)?;
        if built.crews.is_empty() {
            return Err(Error::state(format!(
                "nobody is on shift on {date}: put a crew with people on shift first"
            )));
        }
        Ok(built)
    }

    /// The same, whether or not anybody is on shift.
    fn left(inputs: Inputs) -> Result<Self> {
        let date = inputs.date;
        let Work {
            crews,
            places,
            hours,
            asked,
            hand_runs,
            ..
        } = Work::of(&inputs);

        let (mut visits, mut entries, mut left_out) = (Vec::new(), Vec::new(), Vec::new());
        for one in hand::less_dropped(&inputs, asked) {
            match one {
                Asked::Job(job) => {
                    let (visit, entry) = job.split();
                    visits.push(visit);
                    entries.push(entry);
                }
                Asked::LeftOut(one) => left_out.push(one),
            }
        }
        hand::pin(&inputs, &mut visits);
        let mut problem = Problem {
            format: FORMAT.to_owned(),
            date: Some(date.to_string()),
            note: None,
            travel_s: places.travel_s(inputs.site.walk_mm_per_s),
            open_places: Some(places.open()),
            tools: tools::counts(&inputs),
            water: lines(&inputs, &hand_runs),
            crews: crews.iter().map(|on| on.crew.clone()).collect(),
            visits,
        };
        hand::loosen(&mut problem);
        let problem_text = columns::json(&problem)?;
        let digest = digest(&problem_text, &entries, &left_out)?;
        Ok(Self {
            table: entries.into_iter().map(|e| (e.key.clone(), e)).collect(),
            inputs,
            problem,
            problem_text,
            crews,
            left_out,
            hours,
            hand_runs,
            digest,
        })
    }
}

/// What a date asks for, before anything is planned.
pub struct Work {
    /// The crews on shift.
    pub crews: Vec<OnShift>,
    /// From when to when anybody is on shift, overtime included; the whole date where nobody is.
    pub on_shift: Span,
    /// Where things stand.
    pub places: Places,
    /// When each court is in play and shut.
    pub hours: HashMap<i64, CourtHours>,
    /// The work, and what cannot be put to the planner.
    pub asked: Vec<Asked>,
    /// The runs of valves that somebody opens and closes.
    pub hand_runs: HandRuns,
}

impl Work {
    /// The work of the inputs' date.
    pub fn of(inputs: &Inputs) -> Self {
        let crews = crews::on_shift(inputs);
        let on_shift = together(&crews).unwrap_or([0, inputs.clock.length_s()]);
        let places = Places::of(inputs);
        let mut hours: HashMap<i64, CourtHours> = inputs
            .courts
            .iter()
            .map(|court| (court.id, CourtHours::of(inputs, court.id)))
            .collect();
        let soaks = soaks(inputs, &hours);
        let mut asking = Asking {
            inputs,
            places: &places,
            on_shift,
            hands: most_hands(&crews),
            by_hand: water::by_hand_alone(inputs),
            soaks,
        };
        let hand_runs = asking.hand_runs(&hours, &crews);
        for run in &hand_runs.runs {
            for court in &run.valve.courts {
                if let Some(hours) = hours.get_mut(court) {
                    hours.keep_free(run.kept_free);
                }
            }
        }
        let mut asked = asking.asked(&hours, &hand_runs);
        pricing::price(&mut asked, &crews);
        Self {
            crews,
            on_shift,
            places,
            hours,
            asked,
            hand_runs,
        }
    }
}

/// People in the largest crew.
fn most_hands(crews: &[OnShift]) -> usize {
    let most = crews.iter().map(|on| on.crew.hands).max().unwrap_or(1);
    usize::try_from(most).unwrap_or(1)
}

/// The midday soaks that go with the turnarounds.
fn soaks(inputs: &Inputs, hours: &HashMap<i64, CourtHours>) -> Soaks {
    let around = inputs.clock.local(0, inputs.standards.soak_around);
    let wanting = hours
        .iter()
        .filter_map(|(court, hours)| turnarounds::midday(inputs, hours).map(|_| *court));
    Soaks::of(inputs, &wanting.collect(), around)
}

/// From when to when anybody is on shift, overtime included.
fn together(crews: &[OnShift]) -> Option<Span> {
    let from = crews.iter().map(|on| on.crew.shift[0]).min()?;
    let until = crews.iter().map(|on| on.crew.overtime_until).max()?;
    Some([from, until])
}

/// What a date's work is asked for with.
struct Asking<'a> {
    inputs: &'a Inputs,
    places: &'a Places,
    on_shift: Span,
    /// People in the largest crew.
    hands: usize,
    /// The courts whose sprinklers somebody opens by hand, and nothing else does.
    by_hand: Vec<i64>,
    soaks: Soaks,
}

impl Asking<'_> {
    fn court<'c>(&self, row: &'c CourtRow, hours: &'c CourtHours) -> CourtDay<'c> {
        CourtDay {
            soak: self.soaks.court(row.id),
            by_hand: self.by_hand.contains(&row.id),
            row,
            hours,
            place: self.places.court(row.id),
            on_shift: self.on_shift,
            hands: self.hands,
        }
    }

    /// The runs of valves that somebody opens and closes: they are chosen before anything is planned.
    fn hand_runs(&mut self, hours: &HashMap<i64, CourtHours>, crews: &[OnShift]) -> HandRuns {
        let inputs = self.inputs;
        if !inputs.water.has_by_hand() {
            return HandRuns::default();
        }
        let courts = inputs.courts.iter();
        let courts = courts.filter_map(|row| Some((row, hours.get(&row.id)?)));
        let shortest = courts
            .flat_map(|(row, hours)| turnarounds::shortest(inputs, &self.court(row, hours)))
            .collect();
        let choosing = Choosing {
            inputs,
            places: self.places,
            crews,
            hours,
            shortest: &shortest,
            allowances: self.soaks.take_left(),
            taken: water::taken_of_others(inputs),
        };
        choosing.runs()
    }

    /// Everything the day asks for: bank by bank, each with its courts.
    fn asked(&self, hours: &HashMap<i64, CourtHours>, hand_runs: &HandRuns) -> Vec<Asked> {
        let inputs = self.inputs;
        let mut asked: Vec<Asked> = self
            .soaks
            .left_out(inputs, self.on_shift)
            .map(Asked::LeftOut)
            .collect();
        for bank in &inputs.banks {
            let of_bank = || {
                let courts = inputs.courts.iter();
                courts.filter(|court| court.bank_id == bank.id)
            };
            let all: Vec<&CourtHours> =
                of_bank().filter_map(|court| hours.get(&court.id)).collect();
            let (on_shift, hands) = (self.on_shift, self.hands);
            let tasks = care::of_bank(inputs, self.places, bank, &all, on_shift, hands);
            asked.extend(tasks);
            let visits = water::valve_visits(inputs, self.places, hand_runs, bank.id, hands);
            asked.extend(visits);
            for row in of_bank() {
                if let Some(hours) = hours.get(&row.id) {
                    let court = self.court(row, hours);
                    asked.extend(turnarounds::of_court(inputs, &court));
                    asked.extend(care::of_court(inputs, &court));
                }
            }
        }
        asked
    }
}

/// The banks' supply lines, with what other days' plans and the valves that are opened by hand take of them.
fn lines(inputs: &Inputs, hand_runs: &HandRuns) -> Vec<WaterGroup> {
    let clock = &inputs.clock;
    inputs
        .banks
        .iter()
        .map(|bank| {
            let others = inputs
                .waterings
                .iter()
                .filter(|run| run.bank_id == bank.id && clock.ends(run.ends_at) > 0)
                .map(|run| Taken {
                    from: clock.begins(run.starts_at).max(0),
                    to: clock.ends(run.ends_at),
                    flow_mlps: run.flow_mlps,
                });
            // Where nothing may run the line is as good as taken whole.
            let closed = water::closed(inputs, bank.id);
            let closed = closed.into_iter().filter(|span| span[1] > 0);
            let closed = closed.map(|span| Taken {
                from: span[0].max(0),
                to: span[1],
                flow_mlps: bank.line_capacity_mlps,
            });
            let of_bank = hand_runs.runs.iter();
            let of_bank = of_bank.filter(|run| run.valve.bank_id == bank.id);
            let by_hand = of_bank.filter_map(|run| {
                let [from, to] = run.flows()?;
                (to > 0).then_some(Taken {
                    from: from.max(0),
                    to,
                    flow_mlps: run.valve.flow_mlps,
                })
            });
            let taken: Vec<Taken> = others.chain(closed).chain(by_hand).collect();
            WaterGroup {
                group: line_key(bank.id),
                capacity_mlps: bank.line_capacity_mlps,
                taken: (!taken.is_empty()).then_some(taken),
            }
        })
        .collect()
}

fn digest(problem: &str, table: &impl Serialize, left_out: &impl Serialize) -> Result<String> {
    let mut hash = Sha256::new();
    for part in [problem, &columns::json(table)?, &columns::json(left_out)?] {
        hash.update(part);
        hash.update([0]);
    }
    Ok(columns::hex(&hash.finalize()))
}
