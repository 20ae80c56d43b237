//! What a past day asked for: turnarounds between sessions of play, and the care that was due.

use std::collections::HashMap;

use chrono::{Days, NaiveDate};
use trade::calendar::day_start;
use trade::care::{
    Cadence, CareTask, CourtToday, Due, Ground, TurnaroundKind, due, facts, service_s, steps,
};
use trade::court::Lines;
use trade::grooming::{Condition, Drag, direction_today, grooming_time, line_time};
use trade::units::{Millimetres, Seconds};
use trade::watering::WateringKind;

use super::season::{Season, resurfacing};
use crate::desk::place::Place;
use crate::store::care::{CareTaskRow, DoneAt};
use crate::store::courts::{BankRow, CourtRow, Watering};
use crate::store::orders::{Direction, OrderKind};
use crate::words::say_with;

/// What is kept in mind from one day to the next.
#[derive(Default)]
pub struct Memory {
    /// Each court's last day of grooming, and its direction.
    pub groomed: HashMap<i64, (NaiveDate, trade::grooming::Direction)>,
    /// When each task was last done at each place.
    pub done: HashMap<(i64, Place), NaiveDate>,
}

/// Something a day asks for. Times are seconds since 1970.
pub struct Ask<'a> {
    pub place: Place,
    /// On the site's plan, mm.
    pub at: (i64, i64),
    pub key: String,
    pub title: String,
    pub opens: i64,
    pub closes: i64,
    /// The ways of doing it, the best first.
    pub ways: Vec<Way<'a>>,
}

/// One way of doing it.
#[derive(Clone)]
pub struct Way<'a> {
    pub kind: OrderKind,
    pub direction: Option<trade::grooming::Direction>,
    pub groom_class: Option<String>,
    pub tasks: Vec<Step<'a>>,
    /// The tool classes it takes.
    pub classes: Vec<&'a crate::store::tools::ToolClassRow>,
    /// The court's soak follows it, and lasts so long.
    pub soak_s: Option<i64>,
}

/// A step, with its seconds for 1, 2, … hands.
#[derive(Clone)]
pub struct Step<'a> {
    pub task: &'a CareTaskRow,
    pub service_s: Vec<i64>,
}

impl Way<'_> {
    /// Seconds that so many people need for it.
    pub fn service_s(&self, hands: usize) -> i64 {
        self.tasks.iter().map(|step| step.of(hands)).sum()
    }

    /// The fewest people who may do it.
    pub fn min_hands(&self) -> i64 {
        self.tasks
            .iter()
            .map(|step| step.task.min_hands)
            .max()
            .unwrap_or(1)
    }

    /// The direction as it is stored.
    pub fn heading(&self) -> Option<Direction> {
        self.direction.map(|direction| match direction {
            trade::grooming::Direction::Along => Direction::Along,
            trade::grooming::Direction::Across => Direction::Across,
        })
    }
}

impl Step<'_> {
    /// Seconds that so many people need for it.
    pub fn of(&self, hands: usize) -> i64 {
        let last = self.service_s.len().saturating_sub(1);
        self.service_s
            .get(hands.saturating_sub(1).min(last))
            .copied()
            .unwrap_or(0)
    }
}

/// The most people a crew has, for tables of service times.
const MOST_HANDS: usize = 5;

/// Everything the day asks for; what comes first in the list goes first where times are equal.
pub fn asks<'a>(season: &'a Season, memory: &Memory, date: NaiveDate) -> Vec<Ask<'a>> {
    let mut all = Vec::new();
    for bank in &season.banks {
        all.extend(of_bank(season, memory, bank, date));
    }
    for (nth, court) in season.courts.iter().enumerate() {
        if resurfacing(court, date) {
            continue;
        }
        all.extend(turnarounds(season, memory, court, date));
        all.extend(of_court(season, memory, court, nth, date));
    }
    all
}

/// The turnarounds after each of the day's sessions; the full way first where it may be short too.
fn turnarounds<'a>(
    season: &'a Season,
    memory: &Memory,
    court: &CourtRow,
    date: NaiveDate,
) -> Vec<Ask<'a>> {
    let sessions: Vec<_> = season.play(court.id, date).collect();
    let night = day_start(season.zone, next(date)).timestamp();
    let mut found = Vec::new();
    for (nth, session) in sessions.iter().enumerate() {
        let opens = session.ends_at.utc().timestamp();
        let following = sessions
            .get(nth + 1)
            .map(|after| after.starts_at.utc().timestamp());
        let closes = following.unwrap_or(night);
        // The midday soak follows the day's first session.
        let soaks = nth == 0 && following.is_some();
        let kinds: &[_] = if session.short_turnaround {
            &[TurnaroundKind::Full, TurnaroundKind::Short]
        } else {
            &[TurnaroundKind::Full]
        };
        let ways: Vec<_> = kinds
            .iter()
            .filter_map(|kind| turnaround(season, memory, court, date, *kind, soaks))
            .collect();
        if !ways.is_empty() && closes > opens {
            found.push(Ask {
                place: Place::Court(court.id),
                at: (court.x_mm, court.y_mm),
                key: format!("turnaround:{}", session.id),
                title: say_with(
                    "day-turnaround-after",
                    &[("session", session.name.as_str().into())],
                ),
                opens,
                closes,
                ways,
            });
        }
    }
    found
}

fn turnaround<'a>(
    season: &'a Season,
    memory: &Memory,
    court: &CourtRow,
    date: NaiveDate,
    kind: TurnaroundKind,
    soaks: bool,
) -> Option<Way<'a>> {
    let condition = season.condition(court, date);
    let today = CourtToday {
        condition,
        ground: Ground {
            firm: condition != Condition::Soaked,
            ..Ground::default()
        },
        leaves: false,
        baselines_packed: false,
        loosened_today: false,
        watering: match court.watering {
            Watering::Sprinkler => WateringKind::Sprinklers,
            Watering::Subsurface => WateringKind::Subsurface,
            Watering::Hand => WateringKind::ByHand,
        },
        water_after: soaks,
    };
    let class = season.grooms(condition)?;
    let direction = direction_today(memory.groomed.get(&court.id).copied(), date);
    let surface =
        trade::court::CourtSurface::new(Millimetres(court.length_mm), Millimetres(court.width_mm));
    let drag = Drag::new(Millimetres(class.width_mm?), class.pulled.0);
    let groom = grooming_time(&surface.ok()?, &drag, direction).ok()?;
    let mut classes = vec![class];
    let mut tasks = Vec::new();
    for task in steps(kind, &today).ok()? {
        let row = season
            .tasks
            .iter()
            .find(|row| row.done_at == DoneAt::Turnaround && row.code == task.as_str());
        let Some(row) = row else { continue };
        let base = match task {
            CareTask::Groom => groom.0,
            CareTask::ClearLines => line_time(Lines::Doubles).0,
            _ => row.base_s,
        };
        tasks.push(step(row, base));
        classes.extend(season.class_of(row).filter(|_| task != CareTask::Groom));
    }
    let soak = soaks && court.watering == Watering::Sprinkler && court.soak_s > 0;
    Some(Way {
        kind: match kind {
            TurnaroundKind::Full => OrderKind::FullTurnaround,
            _ => OrderKind::ShortTurnaround,
        },
        direction: Some(direction),
        groom_class: Some(class.code.clone()),
        tasks,
        classes,
        soak_s: soak.then_some(court.soak_s),
    })
}

fn step(row: &CareTaskRow, base_s: i64) -> Step<'_> {
    let sharing = row
        .code
        .parse::<CareTask>()
        .map_or(trade::care::Sharing::Alone, |task| facts(task).sharing);
    let service = service_s(Seconds(base_s.clamp(0, 1_000_000)), sharing, MOST_HANDS);
    Step {
        task: row,
        service_s: service.map_or_else(|_| vec![base_s], |all| all.iter().map(|s| s.0).collect()),
    }
}

/// The care due on a court: done in the morning before the players.
fn of_court<'a>(
    season: &'a Season,
    memory: &Memory,
    court: &CourtRow,
    nth: usize,
    date: NaiveDate,
) -> Vec<Ask<'a>> {
    let first_play = season.play(court.id, date).next();
    let opens = day_start(season.zone, date).timestamp();
    let closes = first_play.map_or(opens + 86_400 / 2, |play| play.starts_at.utc().timestamp());
    let place = Place::Court(court.id);
    season
        .tasks
        .iter()
        .enumerate()
        .filter(|(_, row)| row.done_at == DoneAt::Court)
        .filter(|(which, row)| is_due(season, memory, row, place, nth * 3 + which, date))
        .map(|(_, row)| {
            let mut tasks = vec![step(row, row.base_s)];
            let lines = season.task(CareTask::ClearLines.as_str());
            if row.code == CareTask::Roll.as_str() {
                // After rolling the lines are cleared.
                tasks.extend(lines.map(|row| step(row, row.base_s)));
            }
            care(
                season,
                row,
                place,
                (court.x_mm, court.y_mm),
                (opens, closes),
                tasks,
            )
        })
        .collect()
}

/// The care due on a bank: the walk before its first play, the closing round after its last, the
/// rest while its morning is played.
fn of_bank<'a>(
    season: &'a Season,
    memory: &Memory,
    bank: &BankRow,
    date: NaiveDate,
) -> Vec<Ask<'a>> {
    let courts = season
        .courts
        .iter()
        .filter(|court| court.bank_id == bank.id);
    let mut play: Vec<(i64, i64)> = courts
        .flat_map(|court| season.play(court.id, date))
        .map(|s| (s.starts_at.utc().timestamp(), s.ends_at.utc().timestamp()))
        .collect();
    play.sort_unstable();
    let (Some((first, morning_over)), Some(last)) =
        (play.first().copied(), play.iter().map(|p| p.1).max())
    else {
        return Vec::new();
    };
    let (midnight, next_midnight) = (
        day_start(season.zone, date).timestamp(),
        day_start(season.zone, next(date)).timestamp(),
    );
    let place = Place::Bank(bank.id);
    let nth = usize::try_from(bank.position).unwrap_or(0);
    season
        .tasks
        .iter()
        .enumerate()
        .filter(|(_, row)| row.done_at == DoneAt::Bank)
        .filter(|(which, row)| is_due(season, memory, row, place, nth * 3 + which, date))
        .map(|(_, row)| {
            let hours = match row.code.parse::<CareTask>() {
                Ok(CareTask::OpeningWalk) => (midnight, first),
                Ok(CareTask::ClosingRound) => (last, next_midnight),
                _ => (first, morning_over),
            };
            care(
                season,
                row,
                place,
                (bank.x_mm, bank.y_mm),
                hours,
                vec![step(row, row.base_s)],
            )
        })
        .collect()
}

fn care<'a>(
    season: &'a Season,
    row: &'a CareTaskRow,
    place: Place,
    at: (i64, i64),
    (opens, closes): (i64, i64),
    tasks: Vec<Step<'a>>,
) -> Ask<'a> {
    let mut classes: Vec<_> = tasks
        .iter()
        .filter_map(|step| season.class_of(step.task))
        .collect();
    classes.dedup_by_key(|class| class.id);
    let key = match place {
        Place::Court(id) => format!("care:{}:court:{id}", row.id),
        Place::Bank(id) => format!("care:{}:bank:{id}", row.id),
    };
    Ask {
        place,
        at,
        key,
        title: row.name.clone(),
        opens,
        closes,
        ways: vec![Way {
            kind: OrderKind::Care,
            direction: None,
            groom_class: None,
            tasks,
            classes,
            soak_s: None,
        }],
    }
}

/// Whether a task was due. What was never done falls due on one day of its first period, each
/// place and task on another.
fn is_due(
    season: &Season,
    memory: &Memory,
    row: &CareTaskRow,
    place: Place,
    spread: usize,
    date: NaiveDate,
) -> bool {
    let Ok(cadence) = row.cadence.parse::<Cadence>() else {
        return false;
    };
    if let Some(last) = memory.done.get(&(row.id, place)) {
        return matches!(
            due(cadence, Some(*last), date),
            Due::Due | Due::Overdue { .. }
        );
    }
    let period = match cadence {
        Cadence::AfterEachSession | Cadence::AsFound => return false,
        Cadence::Daily => return true,
        Cadence::Weekly => 7,
        Cadence::EveryDays(days) => i64::from(days.get()),
        Cadence::Monthly => 30,
        Cadence::Yearly => 365,
    };
    let ago = (season.today - date).num_days();
    ago.rem_euclid(period) == i64::try_from(spread).unwrap_or(0).rem_euclid(period)
}

fn next(date: NaiveDate) -> NaiveDate {
    date.checked_add_days(Days::new(1)).unwrap_or(date)
}
