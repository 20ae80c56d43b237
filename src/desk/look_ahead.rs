//! The look ahead: what the next days ask for, against the hours of the people on shift, so that
//! an overload shows while something can still be done about it. Nothing is planned here: work is
//! counted without the walks between courts.

mod load;

use chrono::{Days, NaiveDate};
use planner::problem::Span;
use serde::Serialize;
use utoipa::ToSchema;

use self::load::{Load, PARTS};
use super::access::{Permit, SeeDay};
use super::day_build::{Asked, Inputs, Work};
use super::{Error, Office, Result};
use crate::store::Instant;

/// The most dates one look takes in.
pub const MOST_DAYS: u64 = 28;
/// How many it takes in usually.
pub const USUAL_DAYS: u64 = 14;

/// What the next days ask for.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct AheadView {
    /// The dates, in order.
    pub days: Vec<AheadDay>,
}

/// What one date asks for.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct AheadDay {
    /// The site's own date.
    pub date: NaiveDate,
    /// Whether anybody is on shift.
    pub rostered: bool,
    /// Work due, person-seconds, without walks.
    pub work_s: i64,
    /// Hours of the people on shift without breaks and overtime, person-seconds.
    pub cover_s: i64,
    /// Where the work outgrows the hours most, even with the shortest way of everything; null where
    /// it never does. Between two sessions there can be too much while the day as a whole is quiet.
    pub tight: Option<AheadStretch>,
    /// The work and the hours by part of the day.
    pub parts: Vec<AheadPart>,
    /// What takes a skill, and the hours of the people who have it.
    pub skills: Vec<AheadSkill>,
    /// What is due, the most work first.
    pub tasks: Vec<AheadTask>,
    /// How much work is withheld: the ground, a closure or something else forbids it.
    pub withheld: usize,
}

/// A stretch of a day with more work than hours.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct AheadStretch {
    /// From when.
    pub from: Instant,
    /// Until when.
    pub until: Instant,
    /// Work that must lie within, person-seconds.
    pub work_s: i64,
    /// Hours of the people on shift within, person-seconds.
    pub cover_s: i64,
}

/// The same on the date's clock.
struct Tight {
    span: Span,
    work_s: i64,
    cover_s: i64,
}

/// A part of a day.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct AheadPart {
    /// `before_play`, `between` the day's sessions, `after_play`, or `any_time`.
    pub part: &'static str,
    /// Work that can be done only then, person-seconds.
    pub work_s: i64,
    /// Hours of the people on shift then, person-seconds; null for `any_time`, which takes what the
    /// others leave.
    pub cover_s: Option<i64>,
}

/// Work that takes a skill.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct AheadSkill {
    /// The skill, in the site's own word.
    pub skill: String,
    /// The work, person-seconds.
    pub work_s: i64,
    /// Hours of the people on shift who have it, person-seconds.
    pub cover_s: i64,
}

/// Work of one name.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct AheadTask {
    /// What it is.
    pub title: String,
    /// On how many courts or banks.
    pub places: usize,
    /// The work, person-seconds.
    pub work_s: i64,
}

/// What the dates from `first` on ask for, `days` of them: as many queries for all as for one. What
/// falls due on one date is taken as done on it when the next is looked at.
pub fn look_ahead(
    office: &Office,
    permit: &Permit<SeeDay>,
    first: NaiveDate,
    days: u64,
) -> Result<AheadView> {
    if !(1..=MOST_DAYS).contains(&days) {
        return Err(Error::refused(
            "days",
            format!("look 1 to {MOST_DAYS} days ahead"),
        ));
    }
    let last = first
        .checked_add_days(Days::new(days - 1))
        .ok_or_else(|| Error::refused("from", "give an earlier date"))?;
    let now = office.now();
    let mut span = office
        .db
        .read(|conn| Inputs::read_span(conn, permit, first, last, now))?;
    let dates = first.iter_days().take_while(|date| *date <= last);
    Ok(AheadView {
        days: dates.map(|date| ahead_day(&mut span, date)).collect(),
    })
}

fn ahead_day(span: &mut Inputs, date: NaiveDate) -> AheadDay {
    let inputs = span.on(date);
    let work = Work::of(&inputs);
    let play = first_and_last_play(&work);
    let mut load = Load::of(&inputs, &work, play);
    let mut withheld = 0;
    for asked in &work.asked {
        match asked {
            Asked::Job(job) => {
                load.add(job);
                if let Some(task) = job.care_task_id {
                    span.care.take_as_done(task, job.at, date);
                }
            }
            Asked::LeftOut(_) => withheld += 1,
        }
    }
    AheadDay {
        date,
        rostered: !work.crews.is_empty(),
        work_s: load.work_s(),
        cover_s: load.cover_s(),
        tight: load.tight().map(|tight| AheadStretch {
            from: inputs.clock.instant(tight.span[0]),
            until: inputs.clock.instant(tight.span[1]),
            work_s: tight.work_s,
            cover_s: tight.cover_s,
        }),
        parts: PARTS
            .iter()
            .map(|part| AheadPart {
                part: part.as_str(),
                work_s: load.work_in(*part),
                cover_s: load.cover_in(*part),
            })
            .collect(),
        skills: load.skills(),
        tasks: load.tasks(),
        withheld,
    }
}

/// From the first to the last second of the date's play, over all courts.
fn first_and_last_play(work: &Work) -> Option<Span> {
    let stretches = work.hours.values().flat_map(|court| &court.play);
    let spans = || stretches.clone().filter(|s| s.of_the_day).map(|s| s.span);
    Some([
        spans().map(|span| span[0]).min()?,
        spans().map(|span| span[1]).max()?,
    ])
}
