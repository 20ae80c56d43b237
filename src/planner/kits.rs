//! Which crew holds which tool classes (rule 6).

use crate::model::{Model, Offer};

/// How often each crew's stops use each class; a crew holds a class that is given to it or used at all.
#[derive(Debug)]
pub(crate) struct Kits {
    classes: usize,
    uses: Vec<u32>,
    /// Classes held by each crew.
    size: Vec<usize>,
}

impl Clone for Kits {
    fn clone(&self) -> Self {
        Self {
            classes: self.classes,
            uses: self.uses.clone(),
            size: self.size.clone(),
        }
    }

    fn clone_from(&mut self, from: &Self) {
        self.classes = from.classes;
        self.uses.clone_from(&from.uses);
        self.size.clone_from(&from.size);
    }
}

impl Kits {
    /// The given kits. They count as one use, so that they stay.
    pub fn new(model: &Model) -> Self {
        let classes = model.count.len();
        let mut kits = Self {
            classes,
            uses: vec![0; classes * model.crews.len()],
            size: vec![0; model.crews.len()],
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
            }
        }
    }

    pub fn give_back(&mut self, crew: usize, tools: &[usize]) {
        for &class in tools {
            let uses = &mut self.uses[crew * self.classes + class];
            *uses -= 1;
            if *uses == 0 {
                self.size[crew] -= 1;
            }
        }
    }

    /// The crew holds the offer's tools or may take them along as well.
    pub fn allow(&self, model: &Model, offer: &Offer) -> bool {
        let crew = offer.crew;
        let new = offer
            .tools
            .iter()
            .filter(|&&k| !self.holds(crew, k))
            .count();
        if new == 0 {
            return true;
        }
        model.crews[crew].given.is_none()
            && self.size[crew] + new <= model.crews[crew].kit_limit
            && offer
                .tools
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
