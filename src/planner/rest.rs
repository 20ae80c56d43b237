//! The rest of a day: what is still to be done at a moment of it, as a problem of its own.
//!
//! [`rest_of_day`] takes the day's problem and plan, the moment, what has happened ([`Record`]) and what
//! changed ([`Change`]). Where the record is silent, what the plan says up to the moment has happened. From
//! bottom to top: `record` and `change` (what comes from outside, and its faults), `facts` (what is done and
//! what is running), `standing` (where and when each crew comes free), `crews`, `windows` and `visits` (the
//! parts of the new problem), `sound` (pins and kits that no longer go together), `moves` (what a new plan
//! changes).
//!
//! What is decided here, beyond the contract:
//! - What is running is finished, by a crew that then goes as well. Where it was broken off, the record says
//!   that it waits.
//! - A crew under way arrives before it turns elsewhere: the matrix knows no place between two places.
//! - A crew that has left holds its kit to the end of its hours; one that has not left chooses anew.
//! - A break whose start window has passed is taken as soon as the crew comes free; a crew that had nothing
//!   to do meanwhile has had it. A planned break that has begun it has had, but where it worked meanwhile.
//! - A start that a pin gives and that can no longer be kept falls, the pin's crew stays; where the crew can
//!   no longer do it either, the pin falls. Notes say so.
//! - Nobody waits for a visit that is dropped.
//! - A watering follows a finished or running visit when the plan said, later only where the work ends later;
//!   it is `taken` on its line, and its place stays free until it is ready.
//! - The way home of a crew that has nothing left to do is not in the new problem's cost, as a crew without a
//!   stop has no round.
//!
//! Measured on large-1 (241 visits; one core of a busy machine, CPU time), from a plan of 4000 steps, cut at 0:00,
//! 7:00 and 10:40, with rain from 10:40 to 11:30, a crew gone, a court closed, a tool broken: the rest as a problem
//! 4 ms, a first sound plan of it 3 to 7 ms more, with 1000 steps 60 to 90 ms. A change of hands at 200 cents
//! moves 11 to 16 of some 200 visits in rain or for a crew gone and 0 to 3 for a court closed, where a plan made
//! afresh moves 90 to 180 and is at most 2.5 % cheaper.

mod change;
mod crews;
mod facts;
mod moves;
mod record;
mod sound;
mod standing;
mod visits;
mod windows;

pub use change::{CHANGES_FORMAT, Change, changes_from_json};
pub use moves::{Became, Move, moves};
pub use record::{Happened, RECORD_FORMAT, Record, Stands, State, plan_from_json};

use crate::form::MOST;
use crate::plan::{self, Cost, Plan, Round, Stop};
use crate::problem::{Checked, Problem, Span, Taken};
use crate::{Control, Fault, Options, Progress, improve};
use facts::Fact;
use windows::Blocks;

/// The moment of a day and what is known of it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct News {
    /// The moment, seconds; nothing starts before it.
    pub at: i64,
    /// What has happened.
    pub record: Record,
    /// What is different from what the problem says.
    pub changes: Vec<Change>,
    /// Cents for giving a visit to another crew than the plan does.
    pub change_cost: i64,
}

/// The rest of a day.
#[derive(Clone, Debug, PartialEq)]
pub struct Rest {
    /// The rest as a problem.
    pub problem: Checked,
    /// What the day's plan says about it, in the new problem's ways; its times and its cost mean nothing.
    pub present: Plan,
    /// For each visit of the new problem and each of its ways, the way of the day's problem.
    pub ways: Vec<Vec<usize>>,
    /// What is done or running.
    pub done: Vec<Done>,
    /// What could not be kept.
    pub notes: Vec<Note>,
}

/// A visit that is done or running.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Done {
    /// Its id.
    pub visit: String,
    /// The id of the crew that did it.
    pub crew: String,
    /// In which of its ways.
    pub way: usize,
    /// When it started.
    pub start_s: i64,
    /// When it ended, or is to end.
    pub end_s: i64,
    /// When its watering starts or started, where it has one.
    pub watering_s: Option<i64>,
}

/// Something of the day that the rest cannot keep.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Note {
    /// A pin's start was given up, its crew kept.
    PinWithoutStart {
        /// The visit's id.
        visit: String,
    },
    /// A pin was given up.
    PinLost {
        /// The visit's id.
        visit: String,
    },
    /// Nothing of a visit's windows is left.
    WindowGone {
        /// The visit's id.
        visit: String,
    },
    /// A crew can do nothing more.
    CrewDone {
        /// The crew's id.
        crew: String,
    },
    /// A break starts after its window.
    BreakLate {
        /// The crew's id.
        crew: String,
        /// Its place in the crew's list of breaks.
        nth: usize,
    },
    /// A crew's tool is lost to it, and to the stand-in that holds its kit while it finishes what is running.
    ToolLost {
        /// The crew's id.
        crew: String,
        /// The tool's class.
        class: String,
    },
    /// A watering ends after it should be ready.
    WateringLate {
        /// The visit's id.
        visit: String,
    },
}

impl Note {
    /// Its kind, as one word.
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::PinWithoutStart { .. } => "pin_without_start",
            Self::PinLost { .. } => "pin_lost",
            Self::WindowGone { .. } => "window_gone",
            Self::CrewDone { .. } => "crew_done",
            Self::BreakLate { .. } => "break_late",
            Self::ToolLost { .. } => "tool_lost",
            Self::WateringLate { .. } => "watering_late",
        }
    }

    /// What it is about: fields and their values.
    pub fn about(&self) -> Vec<(&'static str, String)> {
        match self {
            Self::PinWithoutStart { visit }
            | Self::PinLost { visit }
            | Self::WindowGone { visit }
            | Self::WateringLate { visit } => vec![("visit", visit.clone())],
            Self::CrewDone { crew } => vec![("crew", crew.clone())],
            Self::BreakLate { crew, nth } => {
                vec![("crew", crew.clone()), ("break", nth.to_string())]
            }
            Self::ToolLost { crew, class } => {
                vec![("crew", crew.clone()), ("class", class.clone())]
            }
        }
    }
}

/// The rest of a day as a problem. Faults of the news are named with `/record` or `/changes` in front (or are
/// `/at` or `/change_cost`), those of a plan that is not the problem's with `/plan`.
pub fn rest_of_day(problem: &Checked, plan: &Plan, news: &News) -> Result<Rest, Vec<Fault>> {
    let day = problem.problem();
    let mut faults = facts::plan_faults(day, plan);
    faults.extend(record::time_fault("/at", news.at));
    faults.extend(record::time_fault("/change_cost", news.change_cost));
    faults.extend(change::faults(day, &news.changes));
    if !faults.is_empty() {
        return Err(faults);
    }
    let facts = facts::facts(day, plan, news)?;
    let mut notes = Vec::new();
    let water = water(day, &facts, news, &mut notes);
    let on_duty = crews::crews(day, plan, &facts, news, &mut notes);
    let mut rest = Problem {
        tools: day.tools.clone(),
        water,
        crews: on_duty.crews,
        visits: Vec::new(),
        ..day.clone()
    };
    for change in &news.changes {
        if let Change::ToolBroken {
            class, how_many, ..
        } = change
        {
            for tool in rest.tools.iter_mut().filter(|t| t.class == *class) {
                tool.count = (tool.count - how_many).max(0);
            }
        }
    }
    let blocks = blocks(day, &facts, news);
    let (visits, ways) = visits::visits(day, plan, &facts, news, &blocks, &rest.crews, &mut notes);
    rest.visits = visits;
    let present = present(&rest, plan, &ways);
    let problem = sound::sound(rest, &on_duty.kit_of, &present, news, &mut notes)?;
    let done = facts.iter().map(|f| Done {
        visit: day.visits[f.visit].id.clone(),
        crew: day.crews[f.crew].id.clone(),
        way: f.way,
        start_s: f.start,
        end_s: f.end,
        watering_s: f.watering,
    });
    Ok(Rest {
        done: done.collect(),
        problem,
        present,
        ways,
        notes,
    })
}

/// Plans the rest of a day, beginning with what the day's plan says about it.
pub fn replan(
    problem: &Checked,
    plan: &Plan,
    news: &News,
    options: &Options,
    report: &mut dyn FnMut(&Progress) -> Control,
) -> Result<(Rest, Plan), Vec<Fault>> {
    let rest = rest_of_day(problem, plan, news)?;
    let plan = improve(&rest.problem, &rest.present, options, report);
    Ok((rest, plan))
}

/// The supply lines with what finished and running visits still get.
fn water(
    day: &Problem,
    facts: &[Fact],
    news: &News,
    notes: &mut Vec<Note>,
) -> Vec<crate::problem::WaterGroup> {
    let mut lines = day.water.clone();
    for change in &news.changes {
        if let Change::WaterCut {
            group,
            capacity_mlps,
        } = change
        {
            for line in lines.iter_mut().filter(|l| l.group == *group) {
                line.capacity_mlps = *capacity_mlps;
            }
        }
    }
    for fact in facts {
        let visit = &day.visits[fact.visit];
        let Some((water, from)) = visit.water.as_ref().zip(fact.watering) else {
            continue;
        };
        let to = (from + water.run_s).min(MOST);
        if to <= news.at {
            continue;
        }
        if to > water.ready_by {
            notes.push(Note::WateringLate {
                visit: visit.id.clone(),
            });
        }
        for line in lines.iter_mut().filter(|l| l.group == water.group) {
            line.taken.get_or_insert_default().push(Taken {
                from,
                to,
                flow_mlps: water.flow_mlps,
            });
        }
    }
    lines
}

/// When no work can be done where.
fn blocks(day: &Problem, facts: &[Fact], news: &News) -> Blocks {
    let mut blocks = Blocks::new(day.travel_s.len());
    for change in &news.changes {
        match change {
            Change::Rain {
                from,
                to,
                places: None,
            } => blocks.everywhere([*from, *to]),
            Change::Rain {
                from,
                to,
                places: Some(places),
            } => {
                for &place in places {
                    blocks.at(place, [*from, *to]);
                }
            }
            Change::PlaceClosed { place, from, to } => blocks.at(*place, [*from, *to]),
            _ => {}
        }
    }
    for fact in facts {
        let visit = &day.visits[fact.visit];
        if day.open_places.iter().flatten().any(|&p| p == visit.place) {
            continue;
        }
        blocks.at(visit.place, [fact.start, fact.end]);
        if let Some((water, from)) = visit.water.as_ref().zip(fact.watering) {
            let held: Span = [from, water.ready_by.max(from + water.run_s)];
            blocks.at(visit.place, held);
        }
    }
    blocks
}

/// The plan's stops that are still to be made, each in the way that comes next to what it was.
fn present(rest: &Problem, plan: &Plan, ways: &[Vec<usize>]) -> Plan {
    let mut rounds: Vec<Round> = Vec::new();
    for round in &plan.rounds {
        let stops = round.stops.iter().filter_map(|stop| {
            let i = rest.visits.iter().position(|v| v.id == stop.visit)?;
            let visit = &rest.visits[i];
            let far = |w: usize| {
                let [open, close] = visit.window_of(&visit.ways[w]);
                let off = (open - stop.start_s).max(stop.end_s - close).max(0);
                (ways[i][w] != stop.way, off)
            };
            Some(Stop {
                way: (0..visit.ways.len()).min_by_key(|&w| far(w))?,
                ..stop.clone()
            })
        });
        let stops: Vec<Stop> = stops.collect();
        if !stops.is_empty() {
            rounds.push(Round {
                stops,
                ..round.clone()
            });
        }
    }
    Plan {
        format: plan::FORMAT.to_owned(),
        rounds,
        watering: Vec::new(),
        unserved: Vec::new(),
        cost: Cost::default(),
        lower_bound: crate::money::Total::default(),
        seed: plan.seed,
        elapsed_ms: 0,
    }
}
