//! What a trial changes, as people are told: a short list.

use std::collections::HashMap;

use planner::plan::Stop;
use planner::rest::Note;

use super::asked::{BecameKind, MoveTold, NoteTold, Replanned, Shown};
use super::trial::Trial;
use super::whole::is_begun;
use crate::desk::day_build::{JobWay, crew_id_of, crew_key};
use crate::desk::place::Place;
use crate::store::Instant;
use crate::store::orders::{OrderKind, OrderRow, OrderState};
use crate::words::say;

/// The reason of work whose time was over before anybody came to it.
pub const TIME_OVER: &str = "time_over";

/// A visit that starts so little earlier or later is not worth a word, s.
const WORTH_A_WORD_S: i64 = 60;

impl Trial {
    /// The trial, as it is told.
    pub fn told(&self, taken: bool) -> Replanned {
        let moves = self.moves();
        let told: Vec<&str> = moves.iter().map(|one| one.visit_key.as_str()).collect();
        let kept = self
            .to_do()
            .filter(|(_, stop)| !told.contains(&stop.visit.as_str()));
        Replanned {
            date: self.basis.built.inputs.date,
            taken,
            shown: Shown {
                at: self.basis.now,
                basis: self.basis.digest.clone(),
            },
            cost_before_cents: cents(self.before.total),
            cost_cents: cents(self.after.total),
            pay_before_cents: cents(self.before.pay),
            pay_cents: cents(self.after.pay),
            kept: kept.count(),
            moves,
            notes: self.notes_told(),
        }
    }

    /// The order that a visit has, where it is not begun or given back.
    pub fn open_order(&self, visit: &str) -> Option<&OrderRow> {
        let mut orders = self.basis.orders.iter();
        orders.find(|order| order.visit_key == visit && is_open(order))
    }

    /// What becomes of the visits that do not stay as they are: first what is left out, then in order of time.
    fn moves(&self) -> Vec<MoveTold> {
        let mut moves: Vec<MoveTold> = Vec::new();
        let mut planned: HashMap<&str, &OrderRow> = self
            .basis
            .orders
            .iter()
            .filter(|order| is_open(order))
            .map(|order| (order.visit_key.as_str(), order))
            .collect();
        for (round, stop) in self.to_do() {
            let order = planned.remove(stop.visit.as_str());
            let starts_at = self.instant(stop.start_s);
            let became = match order {
                None => BecameKind::BroughtIn,
                Some(order) if crew_key(order.crew_id) != round.crew => BecameKind::Moved,
                Some(order) if !self.keeps_way(order, stop) => BecameKind::OtherWay,
                Some(order) => {
                    let later = (starts_at.utc() - order.planned_start.utc()).num_seconds();
                    if later.abs() < WORTH_A_WORD_S {
                        continue;
                    }
                    BecameKind::Retimed
                }
            };
            moves.push(MoveTold {
                became,
                from_crew: order.map(|order| self.crew(&crew_key(order.crew_id))),
                was_at: order.map(|order| order.planned_start),
                to_crew: Some(self.crew(&round.crew)),
                starts_at: Some(starts_at),
                reason: None,
                ..self.about(&stop.visit, order)
            });
        }
        moves.extend(planned.into_values().map(|order| MoveTold {
            became: BecameKind::LeftOut,
            from_crew: Some(self.crew(&crew_key(order.crew_id))),
            was_at: Some(order.planned_start),
            reason: Some(self.why(&order.visit_key)),
            ..self.about(&order.visit_key, Some(order))
        }));
        moves.sort_by_key(|one| {
            let is_in = one.became != BecameKind::LeftOut;
            (is_in, one.starts_at.or(one.was_at), one.visit_key.clone())
        });
        moves
    }

    /// Whether the order asks for what a stop does.
    pub fn keeps_way(&self, order: &OrderRow, stop: &Stop) -> bool {
        let Some(way) = self.job_way(stop) else {
            return false;
        };
        let steps = self.basis.steps.iter();
        let steps = steps.filter(|step| step.order_id == order.id);
        order.kind == way.kind
            && order.direction == way.direction
            && order.groom_class == way.groom_class
            && steps
                .map(|step| step.care_task_id)
                .eq(way.steps.iter().map(|step| step.care_task_id))
    }

    fn job_way(&self, stop: &Stop) -> Option<&JobWay> {
        let entry = self.basis.built.table.get(&stop.visit)?;
        entry.ways.get(stop.way).map(|(way, _)| way)
    }

    /// Why a visit is left out.
    fn why(&self, visit: &str) -> String {
        if self.time_is_over(visit) {
            return TIME_OVER.to_owned();
        }
        let unserved = self.plan.unserved.iter().find(|left| left.visit == visit);
        let left_out = self.basis.built.left_out.iter();
        let left_out = || left_out.clone().find(|left| left.key == visit);
        unserved
            .map(|left| left.reason.name())
            .or_else(|| left_out().map(|left| left.reason))
            .unwrap_or("no_longer_due")
            .to_owned()
    }

    /// Whether nothing is left of the time in which a visit could be made.
    pub fn time_is_over(&self, visit: &str) -> bool {
        let mut notes = self.notes.iter();
        notes.any(|note| matches!(note, Note::WindowGone { visit: gone } if gone == visit))
    }

    /// The notes; that a visit's time is over is told with the visit, and a crew that had nothing left to do needs
    /// no word.
    fn notes_told(&self) -> Vec<NoteTold> {
        let notes = self.notes.iter();
        let has_work = |crew: &String| {
            let mut orders = self.basis.orders.iter();
            orders.any(|order| is_open(order) && crew_key(order.crew_id) == *crew)
        };
        let notes = notes.filter(|note| match note {
            Note::WindowGone { .. } => false,
            Note::CrewDone { crew } => has_work(crew),
            _ => true,
        });
        notes.map(|note| self.note(note)).collect()
    }

    fn about(&self, visit: &str, order: Option<&OrderRow>) -> MoveTold {
        let built = &self.basis.built;
        let entry = built.table.get(visit);
        let left = built.left_out.iter().find(|left| left.key == visit);
        let of_order = order.and_then(|order| {
            let court = order.court_id.map(Place::Court);
            court.or(order.bank_id.map(Place::Bank))
        });
        let at = entry
            .map(|entry| entry.at)
            .or(left.map(|left| left.at))
            .or(of_order);
        let title = entry
            .map(|entry| entry.title.clone())
            .or(left.map(|left| left.title.clone()));
        MoveTold {
            visit_key: visit.to_owned(),
            place: at.map(|at| self.place(at)).unwrap_or_default(),
            title: title.unwrap_or_else(|| title_of(order)),
            became: BecameKind::LeftOut,
            from_crew: None,
            was_at: None,
            to_crew: None,
            starts_at: None,
            reason: None,
        }
    }

    fn place(&self, at: Place) -> String {
        let inputs = &self.basis.built.inputs;
        let name = match at {
            Place::Court(id) => {
                let court = inputs.courts.iter().find(|court| court.id == id);
                court.map(|court| court.name.clone())
            }
            Place::Bank(id) => {
                let bank = inputs.banks.iter().find(|bank| bank.id == id);
                bank.map(|bank| bank.name.clone())
            }
        };
        name.unwrap_or_default()
    }

    fn crew(&self, key: &str) -> String {
        let crew = crew_id_of(key).and_then(|id| self.basis.built.inputs.crews.get(&id));
        crew.map(|crew| crew.name.clone()).unwrap_or_default()
    }

    fn instant(&self, second: i64) -> Instant {
        self.basis.built.inputs.clock.instant(second)
    }

    fn note(&self, note: &Note) -> NoteTold {
        let about = match note {
            Note::PinWithoutStart { visit }
            | Note::PinLost { visit }
            | Note::WindowGone { visit }
            | Note::WateringLate { visit } => {
                let about = self.about(visit, self.open_order(visit));
                format!("{}: {}", about.place, about.title)
            }
            Note::CrewDone { crew } | Note::BreakLate { crew, .. } => self.crew(crew),
            Note::ToolLost { crew, class } => {
                let classes = self.basis.built.inputs.classes.iter();
                let mut names = classes.filter(|known| known.code == *class);
                let name = names.next().map_or(class, |known| &known.name);
                format!("{}: {name}", self.crew(crew))
            }
        };
        NoteTold {
            kind: note.kind().to_owned(),
            about,
        }
    }
}

fn title_of(order: Option<&OrderRow>) -> String {
    say(match order.map(|order| order.kind) {
        Some(OrderKind::FullTurnaround) => "order-full-turnaround",
        Some(OrderKind::ShortTurnaround) => "order-short-turnaround",
        Some(OrderKind::Mend) => "order-mend",
        _ => "order-care",
    })
}

/// Whether an order is still to be begun.
pub const fn is_open(order: &OrderRow) -> bool {
    !is_begun(order) && matches!(order.state, OrderState::Planned | OrderState::Issued)
}

/// Whole cents of hundredths.
pub const fn cents(hundredths: i64) -> i64 {
    (hundredths + 50).div_euclid(100)
}
