//! One past day: who did what, when, and what was left.

use std::collections::HashMap;

use chrono::{NaiveDate, NaiveTime};
use trade::calendar::local_to_instant;

use super::crews::{BETWEEN, Day, Next};
use super::dice::Dice;
use super::season::Season;
use super::visits::{Ask, Memory, asks};
use super::water::Running;
use crate::desk::place::Place;
use crate::store::orders::{OrderKind, UndoneReason};

/// The most by which a visit starts later than planned, s; and ends.
const LATE_START: i64 = 40;
const LATE_END: i64 = 60;
// Nobody is late into the next visit.
const _: () = assert!(LATE_START < BETWEEN && LATE_END < BETWEEN);

/// A day as it went.
pub struct PastDay<'a> {
    pub date: NaiveDate,
    pub crews: Vec<Day>,
    /// In the order in which they were given back.
    pub visits: Vec<Visit<'a>>,
    /// What the plan could not fit.
    pub unfitted: Vec<Ask<'a>>,
    /// When it rained, if it did: seconds since 1970.
    pub rain: Option<(i64, i64)>,
}

/// A visit as it was planned and as it went. Times are seconds since 1970.
pub struct Visit<'a> {
    pub ask: Ask<'a>,
    pub next: Next,
    /// Which of the day's crews.
    pub crew: usize,
    /// Place in the crew's round, from 1.
    pub position: i64,
    pub outcome: Went,
    /// When its soak ran, if there was one: what could not run in time was not started.
    pub soak: Option<(i64, i64)>,
    /// Material taken: code and quantity.
    pub took: Option<(&'static str, i64)>,
}

/// How a visit went.
#[derive(Clone, Copy)]
pub enum Went {
    /// Done between the two.
    Done { started: i64, ended: i64 },
    /// Not done, known at that time.
    Undone { at: i64, reason: UndoneReason },
}

impl Went {
    /// When the office learned of it.
    pub const fn at(self) -> i64 {
        match self {
            Self::Done { ended, .. } => ended,
            Self::Undone { at, .. } => at,
        }
    }
}

/// Lets a day pass.
pub fn pass<'a>(
    season: &'a Season,
    memory: &mut Memory,
    date: NaiveDate,
    dice: &mut Dice,
) -> PastDay<'a> {
    let shed = (season.site.shed_x_mm, season.site.shed_y_mm);
    let rain = rain(season, date, dice);
    let mut left = asks(season, memory, date);
    let turnarounds = left
        .iter()
        .filter(|ask| ask.ways[0].kind != OrderKind::Care);
    let gaps: Vec<(i64, i64)> = turnarounds.map(|ask| (ask.opens, ask.closes)).collect();
    let mut crews: Vec<Day> = season
        .on_shift(date)
        .into_iter()
        .map(|crew| Day::of(crew, shed, season.site.walk_mm_per_s, &gaps))
        .collect();
    let ago = (season.today - date).num_days();
    let mut visits = Vec::new();
    while let Some((crew, which, next)) = earliest(&crews, &left, ago) {
        let ask = left.remove(which);
        crews[crew].take(&ask, next);
        let position = crews[crew].stops;
        let outcome = went(&ask, next, rain, dice);
        let took = took(&ask, next, outcome, dice);
        remember(memory, &ask, next, outcome, date);
        visits.push(Visit {
            ask,
            next,
            crew,
            position,
            outcome,
            soak: None,
            took,
        });
    }
    visits.sort_by_key(|visit| (visit.outcome.at(), visit.crew, visit.position));
    soak(season, &mut visits);
    PastDay {
        date,
        crews,
        visits,
        unfitted: left,
        rain,
    }
}

/// Lets the soaks run, bank by bank, as the line has room.
fn soak(season: &Season, visits: &mut [Visit<'_>]) {
    let banks = season.banks.iter();
    let mut lines: HashMap<i64, Running> = banks
        .map(|bank| (bank.id, Running::of(bank.line_capacity_mlps)))
        .collect();
    for visit in visits {
        let Went::Done { ended, .. } = visit.outcome else {
            continue;
        };
        let wants = visit.ask.ways[visit.next.way].soak_s.is_some();
        let court = season
            .courts
            .iter()
            .find(|court| visit.ask.place == Place::Court(court.id));
        if let Some(court) = court.filter(|_| wants)
            && let Some(line) = lines.get_mut(&court.bank_id)
        {
            visit.soak = line.soak(court, ended, visit.ask.closes);
        }
    }
}

/// Which crew begins which visit next: the earliest start, then the one that closes first.
fn earliest(crews: &[Day], left: &[Ask<'_>], ago: i64) -> Option<(usize, usize, Next)> {
    let mut best: Option<((i64, i64, usize, usize), Next)> = None;
    for (crew, day) in crews.iter().enumerate() {
        for (which, ask) in left.iter().enumerate() {
            // Three courts of four get the short turnaround where it may follow, in turns.
            let turn = ask.place.court().unwrap_or(0) + ago;
            if let Some(next) = day.next(ask, turn % 4 != 0) {
                let rank = (next.start, ask.closes, which, crew);
                if best.is_none_or(|(known, _)| rank < known) {
                    best = Some((rank, next));
                }
            }
        }
    }
    best.map(|((_, _, which, crew), next)| (crew, which, next))
}

/// A shower on one day in eight, some time after noon.
fn rain(season: &Season, date: NaiveDate, dice: &mut Dice) -> Option<(i64, i64)> {
    let (is, into, long) = (
        dice.once_in(8),
        dice.between(0, 4 * 3_600),
        dice.between(2_700, 7_200),
    );
    let noon = local_to_instant(season.zone, date, NaiveTime::from_hms_opt(12, 30, 0)?).timestamp();
    is.then_some((noon + into, noon + into + long))
}

fn went(ask: &Ask<'_>, next: Next, rain: Option<(i64, i64)>, dice: &mut Dice) -> Went {
    let (late, over) = (dice.between(0, LATE_START), dice.between(-90, LATE_END));
    let trouble = dice.between(1, 200);
    if rain.is_some_and(|(from, to)| next.start < to && next.end > from) {
        return Went::Undone {
            at: next.start,
            reason: UndoneReason::Weather,
        };
    }
    let reason = match (trouble, ask.ways[next.way].kind) {
        (1 | 2, OrderKind::FullTurnaround | OrderKind::ShortTurnaround) => {
            Some(UndoneReason::CourtInPlay)
        }
        (3, _) => Some(UndoneReason::NoTool),
        (4 | 5, OrderKind::Care) => Some(UndoneReason::NoTime),
        _ => None,
    };
    match reason {
        Some(reason) => Went::Undone {
            at: next.start + late,
            reason,
        },
        None => Went::Done {
            started: next.start + late,
            ended: (next.end + over).max(next.start + late + 60),
        },
    }
}

/// Nails for a raised tape now and then; dressing for a hole or a marked spot; algae on the edges.
fn took(ask: &Ask<'_>, next: Next, outcome: Went, dice: &mut Dice) -> Option<(&'static str, i64)> {
    let (chance, amount) = (dice.between(1, 60), dice.between(1, 6));
    if matches!(outcome, Went::Undone { .. }) {
        return None;
    }
    let does = |code| {
        ask.ways[next.way]
            .tasks
            .iter()
            .any(|step| step.task.code == code)
    };
    match chance {
        1..=3 if does("look_over") => Some(("line_nails", amount)),
        4..=5 if does("look_over") => Some(("top_dressing", amount * 1_500)),
        _ if does("low_spots") => Some(("top_dressing", amount * 3_000)),
        1..=20 if does("edges_and_weeds") => Some(("algaecide", amount * 40)),
        1..=15 if does("net_and_strap") => Some(("line_nails", amount)),
        _ => None,
    }
}

fn remember(memory: &mut Memory, ask: &Ask<'_>, next: Next, outcome: Went, date: NaiveDate) {
    let way = &ask.ways[next.way];
    if matches!(outcome, Went::Undone { .. }) {
        return;
    }
    if let (Place::Court(court), Some(direction)) = (ask.place, way.direction) {
        memory.groomed.insert(court, (date, direction));
    }
    if way.kind == OrderKind::Care {
        for step in &way.tasks {
            memory.done.insert((step.task.id, ask.place), date);
        }
    }
}
