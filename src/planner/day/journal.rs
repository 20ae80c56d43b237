//! What a day was before its last changes, so that a step that led nowhere is undone at the cost of what it
//! touched, not of the whole day.

use crate::day::{Busy, Day, Round, Run, Served};

/// The old states of what was touched since the last mark.
#[derive(Debug, Default)]
pub(crate) struct Journal {
    /// Counts marks; a thing whose stamp is this number was kept already.
    mark: u64,
    rounds: Kept<Round>,
    places: Kept<Vec<Busy>>,
    lines: Kept<Vec<Run>>,
    served: Vec<(usize, Option<Served>)>,
    kits: Vec<(usize, Vec<u32>)>,
    missing: i64,
}

/// Old states of numbered things, each kept once; the memory is used again after a mark.
#[derive(Debug)]
struct Kept<T> {
    stamps: Vec<u64>,
    used: usize,
    old: Vec<(usize, T)>,
}

impl<T> Default for Kept<T> {
    fn default() -> Self {
        Self {
            stamps: Vec::new(),
            used: 0,
            old: Vec::new(),
        }
    }
}

impl<T: Clone> Kept<T> {
    /// Says whether it is the first time since the mark.
    fn keep(&mut self, mark: u64, number: usize, now: &T) -> bool {
        if self.stamps.len() <= number {
            self.stamps.resize(number + 1, 0);
        }
        if self.stamps[number] == mark {
            return false;
        }
        self.stamps[number] = mark;
        if let Some(slot) = self.old.get_mut(self.used) {
            slot.0 = number;
            slot.1.clone_from(now);
        } else {
            self.old.push((number, now.clone()));
        }
        self.used += 1;
        true
    }

    fn put_back(&mut self, all: &mut [T]) {
        for (number, old) in &mut self.old[..self.used] {
            std::mem::swap(&mut all[*number], old);
        }
        self.used = 0;
    }
}

impl Day<'_> {
    /// From here on changes can be undone.
    pub fn mark(&mut self) {
        let j = &mut self.journal;
        j.mark += 1;
        (j.rounds.used, j.places.used, j.lines.used) = (0, 0, 0);
        j.served.clear();
        j.kits.clear();
        j.missing = self.missing;
    }

    /// Back to the last mark.
    pub fn undo(&mut self) {
        let j = &mut self.journal;
        j.rounds.put_back(&mut self.rounds);
        j.places.put_back(&mut self.places);
        j.lines.put_back(&mut self.lines);
        for (visit, old) in j.served.drain(..).rev() {
            self.served[visit] = old;
        }
        for (crew, old) in j.kits.drain(..) {
            self.kits.restore(crew, &old);
        }
        self.missing = j.missing;
        self.mark();
    }

    /// Keeps a crew's round and kit.
    pub(super) fn keep_round(&mut self, crew: usize) {
        let j = &mut self.journal;
        if j.mark > 0 && j.rounds.keep(j.mark, crew, &self.rounds[crew]) {
            j.kits.push((crew, self.kits.uses_of(crew).to_vec()));
        }
    }

    pub(super) fn keep_place(&mut self, place: usize) {
        let j = &mut self.journal;
        if j.mark > 0 {
            j.places.keep(j.mark, place, &self.places[place]);
        }
    }

    pub(super) fn keep_line(&mut self, line: usize) {
        let j = &mut self.journal;
        if j.mark > 0 {
            j.lines.keep(j.mark, line, &self.lines[line]);
        }
    }

    pub(super) fn set_served(&mut self, visit: usize, served: Option<Served>) {
        if self.journal.mark > 0 {
            self.journal.served.push((visit, self.served[visit]));
        }
        self.served[visit] = served;
    }
}
