//! The work between two play sessions, court by court.

use chrono::NaiveTime;
use planner::plan::Reason;
use planner::problem::{Span, Watering};
use trade::care::{CourtToday, TurnaroundKind, Urgency};
use trade::grooming::{Direction as Heading, direction_of};
use trade::watering::WateringKind;

use super::clock::minus;
use super::inputs::Inputs;
use super::jobs::{Job, LeftOut, Pressing};
use super::play::{CourtHours, Stretch};
use super::turnaround_ways::{Choice, Ways, before_grooming};
use super::water::{CourtSoak, drain_after_soak_s};
use crate::desk::place::Place;
use crate::store::courts::{CourtRow, Watering as CourtWatering};
use crate::store::orders::Direction;
use crate::words::{say, say_with};

/// Between which local times a court's play must end for its turnaround to bring the midday soak.
/// Common practice, no source.
const MIDDAY: (NaiveTime, NaiveTime) = (
    NaiveTime::from_hms_opt(10, 0, 0).expect("ten o'clock"),
    NaiveTime::from_hms_opt(15, 0, 0).expect("three o'clock"),
);

/// A court on the day, and who could work on it.
pub struct CourtDay<'a> {
    /// The court.
    pub row: &'a CourtRow,
    /// When it is in play and shut.
    pub hours: &'a CourtHours,
    /// Its midday soak by sprinklers of its own.
    pub soak: Option<CourtSoak>,
    /// Somebody opens its sprinklers by hand, and nothing else does.
    pub by_hand: bool,
    /// Its place's number.
    pub place: i64,
    /// From when to when anybody is on shift, overtime included.
    pub on_shift: Span,
    /// People in the largest crew.
    pub hands: usize,
}

impl CourtDay<'_> {
    /// When work beside the turnarounds may be done on the court: nobody plays, it is not shut, and
    /// it is not draining after its soak.
    pub fn free(&self, inputs: &Inputs) -> Vec<Span> {
        let draining: Vec<Span> = soak(inputs, self)
            .filter(|_| self.row.watering == CourtWatering::Sprinkler)
            .map(|soak| [soak.ready_by, soak.drained_at])
            .into_iter()
            .collect();
        let free = self.hours.free(self.on_shift);
        free.iter()
            .flat_map(|window| minus(*window, &draining))
            .collect()
    }
}

/// What a court's day asks for: work to be planned, or work to be told as left out.
pub enum Asked {
    /// To be planned.
    Job(Box<Job>),
    /// To be told.
    LeftOut(LeftOut),
}

/// The name of the visit after a session.
pub fn turnaround_key(session: i64) -> String {
    format!("turnaround:{session}")
}

/// The session after which the visit of this name comes.
pub fn session_of_key(key: &str) -> Option<i64> {
    key.strip_prefix("turnaround:")?.parse().ok()
}

/// The supply line's name in the day problem.
pub fn line_key(bank: i64) -> String {
    format!("bank:{bank}")
}

/// The turnarounds of a court: after each session of the day, and before them the one that the
/// day before still owes.
pub fn of_court(inputs: &Inputs, court: &CourtDay<'_>) -> Vec<Asked> {
    let soak = soak(inputs, court);
    let mut all: Vec<After> = owed(inputs, court).into_iter().collect();
    all.extend(court.hours.turnarounds().map(|(stretch, next)| {
        let whole = gap(court, stretch.span[1], next);
        let reopens =
            reopens(inputs, court).filter(|_| next.is_some_and(|at| at < inputs.clock.length_s()));
        let gap = before_water(court, whole);
        After {
            key: turnaround_key(stretch.session),
            title: say_with(
                if reopens.is_some() {
                    "day-match-service-after"
                } else {
                    "day-turnaround-after"
                },
                &[("session", stretch.name.as_str().into())],
            ),
            players_follow: next == Some(whole[1]),
            before_water: gap != whole,
            gap,
            kinds: match reopens {
                Some(_) => vec![(TurnaroundKind::MatchService, 0)],
                None => kinds(inputs, stretch),
            },
            reopens,
            soak: soak.filter(|soak| soak.after == stretch.session),
            hosts: false,
        }
    }));
    // What comes before grooming is done once a day, where there is most time.
    let grooms = all.iter_mut().filter(|after| after.does_everything());
    let longest = grooms.max_by_key(|after| after.gap[1] - after.gap[0]);
    if let Some(longest) = longest {
        longest.hosts = true;
    }
    let asked = all.into_iter().enumerate();
    asked
        .flat_map(|(nth, after)| after.asked(inputs, court, nth))
        .collect()
}

/// How long the shortest turnaround after each session of a court takes 1, 2, … hands, s; that of the day before among
/// them where it is owed.
pub fn shortest(inputs: &Inputs, court: &CourtDay<'_>) -> Vec<(i64, Vec<i64>)> {
    let asked = of_court(inputs, court).into_iter();
    let of_session = |key: &str| key.rsplit(':').next()?.parse().ok();
    let of_hands = |job: &Job, hands: usize| {
        let ways = job.ways.iter();
        ways.filter_map(|(way, _)| way.service_s.get(hands).copied())
            .min()
    };
    asked
        .filter_map(|one| match one {
            Asked::Job(job) => {
                let takes = (0..court.hands).filter_map(|hands| of_hands(&job, hands));
                Some((of_session(&job.key)?, takes.collect()))
            }
            Asked::LeftOut(_) => None,
        })
        .collect()
}

/// Whether a turnaround of the day takes along what comes before grooming.
pub fn hosts(inputs: &Inputs, court: &CourtDay<'_>) -> bool {
    let mut of_the_day = court.hours.turnarounds();
    of_the_day.any(|(stretch, _)| !stretch.players_brush)
        || owed(inputs, court).is_some_and(|owed| owed.does_everything())
}

/// How the court stands in the order in which a tournament's courts reopen: the first has the greatest weight, the
/// last 1; none where it is not played on that day.
fn reopens(inputs: &Inputs, court: &CourtDay<'_>) -> Option<i64> {
    let mut from_last = inputs.tournament.iter().rev();
    let at = from_last.position(|one| one.court_id == court.row.id)?;
    i64::try_from(at).ok()?.checked_add(1)
}

/// The kinds of turnaround that will do after a session, each with what taking it instead of the
/// first is taken to cost.
fn kinds(inputs: &Inputs, stretch: &Stretch) -> Vec<(TurnaroundKind, i64)> {
    if stretch.players_brush {
        return vec![(TurnaroundKind::LookedOver, 0)];
    }
    let short = (TurnaroundKind::Short, inputs.standards.short_cents);
    let short = stretch.may_be_short.then_some(short);
    [(TurnaroundKind::Full, 0)]
        .into_iter()
        .chain(short)
        .collect()
}

/// The turnaround that was not made after the last play of the day before: due before the players
/// come.
fn owed(inputs: &Inputs, court: &CourtDay<'_>) -> Option<After> {
    let last = court.hours.last_before_the_day()?;
    if !inputs.owes(last.session) {
        return None;
    }
    let next = court.hours.next_play(last.span[1]);
    let opens = last.span[1].max(court.on_shift[0]);
    let closes = next.map_or(court.on_shift[1], |next| next.min(court.on_shift[1]));
    let whole = [opens, closes.max(opens)];
    let gap = before_water(court, whole);
    Some(After {
        key: format!("owed:{}", last.session),
        title: say_with(
            "day-turnaround-owed",
            &[("session", last.name.as_str().into())],
        ),
        players_follow: next == Some(whole[1]),
        before_water: gap != whole,
        gap,
        kinds: kinds(inputs, last),
        reopens: None,
        soak: None,
        hosts: false,
    })
}

/// A court's soak by day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Soak {
    /// The session it follows.
    pub after: i64,
    /// By when it has run, so that the court drains before the players come.
    pub ready_by: i64,
    /// Until when the court drains.
    pub drained_at: i64,
}

/// The session of midday, after which the court is watered, if there is one.
pub fn midday(inputs: &Inputs, hours: &CourtHours) -> Option<i64> {
    let at = |time| inputs.clock.local(0, time);
    let around = at(inputs.standards.soak_around);
    let (from, until) = (at(MIDDAY.0), at(MIDDAY.1));
    hours
        .turnarounds()
        .map(|(stretch, _)| (stretch.span[1], stretch.session))
        .filter(|(end, _)| (from..=until).contains(end))
        .min_by_key(|(end, session)| (end.abs_diff(around), *session))
        .map(|(_, session)| session)
}

/// The day's soak of a court: after the session of midday, where the court is watered then.
pub fn soak(inputs: &Inputs, court: &CourtDay<'_>) -> Option<Soak> {
    let session = midday(inputs, court.hours).filter(|_| !court.by_hand)?;
    let mut turnarounds = court.hours.turnarounds();
    let (stretch, next) = turnarounds.find(|(stretch, _)| stretch.session == session)?;
    let gap = gap(court, stretch.span[1], next);
    let drains = match court.row.watering {
        CourtWatering::Sprinkler if next == Some(gap[1]) => {
            drain_after_soak_s(inputs, court.row.id)
        }
        _ => 0,
    };
    Some(Soak {
        after: session,
        ready_by: (gap[1] - drains).max(gap[0]),
        drained_at: gap[1],
    })
}

/// From the end of play to the next play on the court, or to the end of the last shift where that
/// comes before. Where nobody is on shift any more, the whole gap is told.
fn gap(court: &CourtDay<'_>, end: i64, next: Option<i64>) -> Span {
    let last = court.on_shift[1];
    let close = match next {
        Some(next) if last <= end => next,
        Some(next) => next.min(last),
        None => last.max(end),
    };
    [end, close]
}

/// What of a gap comes before the water that somebody lets run in it.
fn before_water(court: &CourtDay<'_>, gap: Span) -> Span {
    let runs = court.hours.kept_free.iter().map(|span| span[0]);
    let first = runs.filter(|from| (gap[0]..gap[1]).contains(from)).min();
    [gap[0], first.unwrap_or(gap[1])]
}

/// A turnaround as it is asked for.
struct After {
    /// The visit's name.
    key: String,
    /// What it is, as people say it.
    title: String,
    /// From the end of play to when the court must be given back.
    gap: Span,
    /// Players come at the end of the gap.
    players_follow: bool,
    /// Water that somebody lets run by hand ends the gap before.
    before_water: bool,
    /// The kinds that will do.
    kinds: Vec<(TurnaroundKind, i64)>,
    /// In a tournament, how much more its court's lateness weighs than that of the court that reopens last.
    reopens: Option<i64>,
    /// The court is soaked after it.
    soak: Option<Soak>,
    /// It takes along what comes before grooming.
    hosts: bool,
}

impl After {
    /// The job, or why it cannot be planned; it is the court's `nth` grooming of the day. A soak
    /// for which the gap is too short, draining included, is told and not planned.
    fn asked(mut self, inputs: &Inputs, court: &CourtDay<'_>, nth: usize) -> Vec<Asked> {
        let mut ways = self.choice(inputs, court, nth).ways(inputs, court);
        let mut asked = Vec::new();
        if let (Ok(found), Some((soak, water))) = (&ways, self.sprinkled(court)) {
            let shortest = found.iter().flat_map(|(way, _)| &way.service_s).min();
            let first_end = self.gap[0] + shortest.copied().unwrap_or(0);
            if first_end + water.run_s > soak.ready_by {
                asked.push(Asked::LeftOut(self.left_out(
                    court,
                    format!("soak:{}", soak.after),
                    say("day-midday-soak"),
                    Reason::WaterCannotFinish.name(),
                    Pressing::new(Urgency::Today),
                )));
                self.soak = None;
                ways = self.choice(inputs, court, nth).ways(inputs, court);
            }
        }
        asked.push(match ways {
            Ok(ways) => Asked::Job(Box::new(self.job(inputs, court, ways))),
            Err(reason) => {
                let (key, title) = (self.key.clone(), self.title.clone());
                Asked::LeftOut(self.left_out(court, key, title, reason, self.pressing()))
            }
        });
        asked
    }

    /// Whether the full turnaround is one of its kinds.
    fn does_everything(&self) -> bool {
        let mut kinds = self.kinds.iter();
        kinds.any(|(kind, _)| *kind == TurnaroundKind::Full)
    }

    /// The soak, where sprinklers of the court's own make it.
    fn sprinkled(&self, court: &CourtDay<'_>) -> Option<(Soak, CourtSoak)> {
        self.soak.zip(court.soak)
    }

    /// Before the players come where they come; else the same day, for it is owed in the morning.
    fn pressing(&self) -> Pressing {
        Pressing::new(if self.players_follow {
            Urgency::BeforePlay
        } else {
            Urgency::Today
        })
    }

    fn left_out(
        &self,
        court: &CourtDay<'_>,
        key: String,
        title: String,
        reason: &'static str,
        pressing: Pressing,
    ) -> LeftOut {
        LeftOut {
            key,
            at: Place::Court(court.row.id),
            title,
            reason,
            opens: self.gap[0],
            closes: self.gap[1],
            until: None,
            pressing,
        }
    }

    fn choice<'a>(&self, inputs: &'a Inputs, court: &CourtDay<'_>, nth: usize) -> Choice<'a> {
        let condition = inputs.condition(court.row.id);
        let today = CourtToday {
            condition,
            ground: inputs.ground(court.row.id),
            leaves: inputs.leaves.contains(&court.row.id),
            baselines_packed: self.hosts && inputs.baselines_packed(court.row.id),
            loosened_today: false,
            watering: watering(court.row.watering),
            water_after: self.soak.is_some(),
        };
        Choice {
            optional: if self.hosts {
                before_grooming(inputs, court)
            } else {
                Vec::new()
            },
            kinds: self.kinds.clone(),
            court: today,
            heading: heading(inputs, court.row.id, nth),
        }
    }

    fn job(self, inputs: &Inputs, court: &CourtDay<'_>, ways: Ways) -> Job {
        let (standards, pressing) = (&inputs.standards, self.pressing());
        let mut windows = minus(self.gap, &court.hours.shut);
        if windows.is_empty() {
            // Shut throughout: the planner then tells that the time is shorter than the work.
            windows.push([self.gap[0], self.gap[0]]);
        }
        let row = court.row;
        let (aim_before_s, late_cost_per_h) = match self.reopens {
            // As soon as it can be, and the earlier in the order the dearer to wait.
            Some(weight) => (
                self.gap[1] - self.gap[0],
                weight.saturating_mul(standards.late_cents_per_h),
            ),
            None if self.players_follow && !self.before_water => {
                (standards.aim_before_play_s, standards.late_cents_per_h)
            }
            None => (0, 0),
        };
        let soak = self.sprinkled(court);
        Job {
            key: self.key,
            at: Place::Court(row.id),
            title: self.title,
            place: court.place,
            windows,
            aim_before_s,
            late_cost_per_h,
            skip_cost: 0,
            pressing,
            care_task_id: None,
            rest_s: 0,
            ways,
            water: soak.map(|(soak, water)| Watering {
                group: line_key(water.bank_id),
                flow_mlps: water.flow_mlps,
                run_s: water.run_s,
                ready_by: soak.ready_by,
            }),
            after: Vec::new(),
        }
    }
}

fn watering(kind: CourtWatering) -> WateringKind {
    match kind {
        CourtWatering::Sprinkler => WateringKind::Sprinklers,
        CourtWatering::Subsurface => WateringKind::Subsurface,
        CourtWatering::Hand => WateringKind::ByHand,
    }
}

/// Which way a court is groomed in its `nth` grooming of the day.
fn heading(inputs: &Inputs, court: i64, nth: usize) -> Heading {
    let last = inputs.groomed.get(&court).map(|(date, direction)| {
        let heading = match direction {
            Direction::Along => Heading::Along,
            Direction::Across => Heading::Across,
        };
        (*date, heading)
    });
    direction_of(inputs.standards.direction_per, last, inputs.date, nth)
}
