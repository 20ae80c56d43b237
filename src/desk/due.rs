//! What is due at a site on a date, and what is withheld and until when, before anything is planned.

use std::collections::HashMap;

use chrono::NaiveDate;
use serde::Serialize;
use utoipa::ToSchema;

use super::access::{Permit, SeeDay};
use super::day_build::{Asked, Inputs, Job, LeftOut, Work};
use super::place::Place;
use super::{Office, Result};
use crate::store::Instant;

/// What a date asks for.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct DueView {
    /// The site's own date.
    pub date: NaiveDate,
    /// What is to be done: the most pressing first, then by place.
    pub due: Vec<DueWork>,
    /// What is due and may not be done, with why.
    pub withheld: Vec<WithheldWork>,
}

/// A piece of due work.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct DueWork {
    /// The court, where it is work on one.
    pub court_id: Option<i64>,
    /// The bank, where it is work on one.
    pub bank_id: Option<i64>,
    /// The place's name.
    pub place: String,
    /// What it is.
    pub title: String,
    /// `before_play`, `today`, `this_week` or `can_wait`.
    pub urgency: String,
    /// Whether somebody may be hurt where it is left out: the court is then held.
    pub safety: bool,
    /// Days since it fell due.
    pub late_days: i64,
    /// From when it can be done.
    pub opens_at: Instant,
    /// Until when.
    pub closes_at: Instant,
    /// How long its usual way takes as few people as may do it, person-seconds.
    pub work_s: i64,
}

/// A piece of due work that is withheld.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct WithheldWork {
    /// The court, where it is work on one.
    pub court_id: Option<i64>,
    /// The bank, where it is work on one.
    pub bank_id: Option<i64>,
    /// The place's name.
    pub place: String,
    /// What it is.
    pub title: String,
    /// Why: a reason of the day plan, or of what keeps from a court.
    pub reason: String,
    /// Until when, where that is known.
    pub until: Option<Instant>,
}

/// What a site's date asks for as it stands now, in a fixed number of queries.
pub fn due_read(office: &Office, permit: &Permit<SeeDay>, date: NaiveDate) -> Result<DueView> {
    let now = office.now();
    let inputs = office
        .db
        .read(|conn| Inputs::read(conn, permit, date, now))?;
    let names = Names::of(&inputs);
    let (mut due, mut withheld) = (Vec::new(), Vec::new());
    for asked in Work::of(&inputs).asked {
        match asked {
            Asked::Job(job) => due.push((job.pressing, due_work(&inputs, &names, &job))),
            Asked::LeftOut(one) => withheld.push(withheld_work(&inputs, &names, one)),
        }
    }
    due.sort_by_key(|(pressing, _)| {
        let most = (pressing.safety, pressing.urgency, pressing.late_days);
        std::cmp::Reverse(most)
    });
    Ok(DueView {
        date,
        due: due.into_iter().map(|(_, work)| work).collect(),
        withheld,
    })
}

/// The names of places.
struct Names {
    courts: HashMap<i64, String>,
    banks: HashMap<i64, String>,
}

impl Names {
    fn of(inputs: &Inputs) -> Self {
        let courts = inputs.courts.iter();
        let banks = inputs.banks.iter();
        Self {
            courts: courts.map(|court| (court.id, court.name.clone())).collect(),
            banks: banks.map(|bank| (bank.id, bank.name.clone())).collect(),
        }
    }

    fn name(&self, place: Place) -> String {
        let found = match place {
            Place::Court(id) => self.courts.get(&id),
            Place::Bank(id) => self.banks.get(&id),
        };
        found.cloned().unwrap_or_default()
    }
}

fn due_work(inputs: &Inputs, names: &Names, job: &Job) -> DueWork {
    let clock = &inputs.clock;
    let opens = job.windows.iter().map(|window| window[0]).min();
    let closes = job.windows.iter().map(|window| window[1]).max();
    DueWork {
        court_id: job.at.court(),
        bank_id: job.at.bank(),
        place: names.name(job.at),
        title: job.title.clone(),
        urgency: job.pressing.urgency.as_str().to_owned(),
        safety: job.pressing.safety,
        late_days: job.pressing.late_days,
        opens_at: clock.instant(opens.unwrap_or(0)),
        closes_at: clock.instant(closes.unwrap_or(0)),
        work_s: job.usual_work_s(),
    }
}

fn withheld_work(inputs: &Inputs, names: &Names, one: LeftOut) -> WithheldWork {
    WithheldWork {
        court_id: one.at.court(),
        bank_id: one.at.bank(),
        place: names.name(one.at),
        title: one.title,
        reason: one.reason.to_owned(),
        until: one.until.map(|until| inputs.clock.instant(until)),
    }
}
