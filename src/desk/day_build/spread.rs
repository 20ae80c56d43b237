//! From which day care work counts at a place where nobody knows when it was last done: spread, so that no day has too
//! much of it.

use std::collections::{BTreeMap, HashMap};

use chrono::NaiveDate;
use trade::care::{Rule, interval_days, spread};

use crate::desk::place::Place;
use crate::store::Instant;
use crate::store::care::{CareTaskRow, DoneAt, ToldRow};
use crate::store::courts::{BankRow, CourtRow};

/// Where somebody said that nobody knows when a task was last done.
#[derive(Clone, Debug, Default)]
pub struct Unknown {
    said: HashMap<(i64, Place), Said>,
}

/// Such a word, among those on the same task of the same day: they are spread with each other.
#[derive(Clone, Copy, Debug)]
struct Said {
    on: NaiveDate,
    nth: usize,
    of: usize,
}

impl Unknown {
    /// From the newest word on each task and place.
    pub fn of(told: &[ToldRow], day: impl Fn(Instant) -> NaiveDate) -> Self {
        let mut together: BTreeMap<(i64, NaiveDate), Vec<(i64, Place)>> = BTreeMap::new();
        for one in told.iter().filter(|one| one.done_on.is_none()) {
            let court = one.court_id.map(|id| (id, Place::Court(id)));
            let bank = one.bank_id.map(|id| (id, Place::Bank(id)));
            if let Some(at) = court.or(bank) {
                let group = (one.care_task_id, day(one.told_at));
                together.entry(group).or_default().push(at);
            }
        }
        let mut said = HashMap::new();
        for ((task, on), mut places) in together {
            places.sort_unstable_by_key(|(id, _)| *id);
            let of = places.len();
            for (nth, (_, at)) in places.into_iter().enumerate() {
                said.insert((task, at), Said { on, nth, of });
            }
        }
        Self { said }
    }

    /// Whether somebody said so of a task at a place, and that is the newest word.
    pub fn is_said(&self, task: i64, at: Place) -> bool {
        self.said.contains_key(&(task, at))
    }
}

/// What the spread of a site rests on.
#[derive(Clone, Copy, Debug)]
pub struct Spread<'a> {
    /// The care standard, in its own order.
    pub tasks: &'a [CareTaskRow],
    /// The courts, in the site's own order.
    pub courts: &'a [CourtRow],
    /// The banks, in the site's own order.
    pub banks: &'a [BankRow],
    /// The site's own date on which it was set up.
    pub founded_on: NaiveDate,
    /// Where somebody said that nobody knows.
    pub unknown: &'a Unknown,
}

impl Spread<'_> {
    /// The day from which a task counts at a place where it was never done. Days are spread over the task's interval: over
    /// all places from the day on which the site was set up or the task taken up, or over those of which somebody said
    /// on one day that nobody knows, from that day. Play, rain and recurrences count from that day itself.
    pub fn counts_from(&self, row: &CareTaskRow, rule: &Rule, at: Place) -> NaiveDate {
        let begun = self.founded_on.max(row.taken_up_on.unwrap_or_default());
        let said = self.unknown.said.get(&(row.id, at));
        let said = said.filter(|said| said.on >= begun);
        let from = said.map_or(begun, |said| said.on);
        let Some(interval) = interval_days(rule) else {
            return from;
        };
        let (place, places) = said.map_or_else(|| self.place(at), |said| (said.nth, said.of));
        let (which, kinds) = self.among(row.id, row.done_at);
        // Places of one task lie evenly apart, and the tasks of one place between them.
        spread(place * kinds + which, places * kinds, interval, from)
    }

    fn place(&self, at: Place) -> (usize, usize) {
        let (place, places) = match at {
            Place::Court(id) => (
                self.courts.iter().position(|court| court.id == id),
                self.courts.len(),
            ),
            Place::Bank(id) => (
                self.banks.iter().position(|bank| bank.id == id),
                self.banks.len(),
            ),
        };
        (place.unwrap_or(0), places)
    }

    fn among(&self, task: i64, done_at: DoneAt) -> (usize, usize) {
        let alike = || self.tasks.iter().filter(|row| row.done_at == done_at);
        let which = alike().position(|row| row.id == task);
        (which.unwrap_or(0), alike().count())
    }
}
