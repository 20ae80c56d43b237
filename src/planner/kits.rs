//! Which crew holds which tool classes (rule 6).

use std::cell::Cell;

use crate::model::{Model, Offer};

/// How often each crew's stops use each class; a crew holds a class that is given to it or used at all.
#[derive(Debug)]
pub(crate) struct Kits {
    classes: usize,
    uses: Vec<u32>,
    /// Classes held by each crew.
    size: Vec<usize>,
    /// Counts the changes of who holds what.
    version: u64,
    sets: usize,
    /// For each crew and set of classes used together: whether the crew may have them, as of which version
    /// (`2 * version + allowed`). The search asks far more often than anything changes.
    allowed: Vec<Cell<u64>>,
}

impl Clone for Kits {
    fn clone(&self) -> Self {
        Self {
            uses: self.uses.clone(),
            size: self.size.clone(),
            allowed: self.allowed.clone(),
            ..*self
        }
    }

    fn clone_from(&mut self, from: &Self) {
        self.classes = from.classes;
        self.uses.clone_from(&from.uses);
        self.size.clone_from(&from.size);
        self.version = from.version;
        self.sets = from.sets;
        self.allowed.clone_from(&from.allowed);
    }
}

impl Kits {
    /// The given kits. They count as one use, so that they stay.
    pub fn new(model: &Model) -> Self {
        let (classes, sets) = (model.count.len(), model.sets.len());
        let mut kits = Self {
            classes,
            uses: vec![0; classes * model.crews.len()],
            size: vec![0; model.crews.len()],
            version: 1,
            sets,
            allowed: vec![Cell::new(0); sets * model.crews.len()],
        };
        for (c, crew) in model.crews.iter().enumerate() {
            kits.take(c, crew.given.as_deref().unwrap_or_default());
        }
        kits
    }

    pub fn holds(&self, crew: usize, class: usize) -> bool {
        self.uses[crew * self.classes + class] > 0
    }

    /// The classes a crew holds.
    pub fn of(&self, crew: usize) -> impl Iterator<Item = usize> {
        (0..self.classes).filter(move |&k| self.holds(crew, k))
    }

    pub fn take(&mut self, crew: usize, tools: &[usize]) {
        for &class in tools {
            let uses = &mut self.uses[crew * self.classes + class];
            *uses += 1;
            if *uses == 1 {
                self.size[crew] += 1;
                self.version += 1;
            }
        }
    }

    pub fn give_back(&mut self, crew: usize, tools: &[usize]) {
        for &class in tools {
            let uses = &mut self.uses[crew * self.classes + class];
            *uses -= 1;
            if *uses == 0 {
                self.size[crew] -= 1;
                self.version += 1;
            }
        }
    }

    /// How often a crew uses each class.
    pub fn uses_of(&self, crew: usize) -> &[u32] {
        &self.uses[crew * self.classes..(crew + 1) * self.classes]
    }

    /// A crew's uses as they were.
    pub fn restore(&mut self, crew: usize, uses: &[u32]) {
        let now = &mut self.uses[crew * self.classes..(crew + 1) * self.classes];
        if now.iter().zip(uses).any(|(a, b)| (*a > 0) != (*b > 0)) {
            self.version += 1;
        }
        now.copy_from_slice(uses);
        self.size[crew] = uses.iter().filter(|&&n| n > 0).count();
    }

    /// The crew holds the offer's tools or may take them along as well.
    pub fn allow(&self, model: &Model, offer: &Offer) -> bool {
        let cell = &self.allowed[offer.crew() * self.sets + offer.set()];
        if cell.get() / 2 != self.version {
            let allowed = self.decide(model, offer.crew(), offer.tools(model));
            cell.set(2 * self.version + u64::from(allowed));
        }
        cell.get() % 2 == 1
    }

    fn decide(&self, model: &Model, crew: usize, tools: &[usize]) -> bool {
        let new = tools.iter().filter(|&&k| !self.holds(crew, k)).count();
        if new == 0 {
            return true;
        }
        model.crews[crew].given.is_none()
            && self.size[crew] + new <= model.crews[crew].kit_limit
            && tools
                .iter()
                .all(|&k| self.holds(crew, k) || self.one_more(model, crew, k))
    }

    /// At every moment of the crew's kit hours there is one more tool of the class. The number of holders
    /// only rises where the hours of one begin.
    fn one_more(&self, model: &Model, crew: usize, class: usize) -> bool {
        let [from, to] = model.crews[crew].kit_span;
        let spans = || {
            let others = (0..model.crews.len()).filter(move |&c| c != crew && self.holds(c, class));
            others.map(|c| model.crews[c].kit_span)
        };
        let free_at = |x: i64| {
            let held = spans().filter(|s| s[0] <= x && x < s[1]).count();
            i64::try_from(held).is_ok_and(|held| held < model.count[class])
        };
        from >= to
            || (free_at(from)
                && spans().all(|s| s[0] <= from || s[0] >= to || s[0] >= s[1] || free_at(s[0])))
    }
}
