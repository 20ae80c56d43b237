//! Chemicals that were put on: told whenever a step that takes one was done, and only then.

use super::Check;
use crate::desk::orders::told::{TimeTold, TreatmentTold};
use crate::store;
use crate::store::orders::order_steps_named;
use crate::store::skills::skill_until;
use crate::store::treatments::NewTreatment;

/// The skill that whoever puts a chemical on has in date.
const SKILL: &str = "chemicals";
const LONGEST_NAME: usize = 120;
const LONGEST_PLACE: usize = 200;
/// Far more than any court takes, in grams or millilitres.
const MOST: i64 = 1_000_000_000;
/// The strongest wind ever measured at the ground is about 113 m/s (from memory), mm/s.
const MOST_WIND: i64 = 120_000;

impl Check<'_> {
    /// What was put on, by people who worked on the order.
    pub(in crate::desk::orders) fn treatments(
        &mut self,
        told: &[TreatmentTold],
        steps_done: &[i64],
        people: &[TimeTold],
    ) -> store::Result<Vec<NewTreatment>> {
        let steps = order_steps_named(self.conn, self.scope, &[self.order.id])?;
        let mut done = steps
            .iter()
            .filter(|step| steps_done.contains(&step.position));
        match (done.find(|step| step.detail.0.chemical), told.is_empty()) {
            (Some(step), true) => {
                let name = step.name.clone();
                self.fault(
                    "/treatments",
                    format!("{name}: tell the product, its lot, how much, where, the wind and who put it on"),
                );
            }
            (None, false) => {
                self.fault(
                    "/treatments",
                    "no step that was done takes a chemical: leave it out",
                );
            }
            _ => {}
        }
        let mut all = Vec::new();
        for (at, one) in told.iter().enumerate() {
            let under = |name: &str| format!("/treatments/{at}/{name}");
            for (name, text, longest) in [
                ("product", &one.product, LONGEST_NAME),
                ("lot", &one.lot, LONGEST_NAME),
                ("place", &one.place, LONGEST_PLACE),
            ] {
                if !(1..=longest).contains(&text.trim().chars().count()) {
                    self.fault(under(name), format!("say it in 1 to {longest} characters"));
                }
            }
            if !(1..=MOST).contains(&one.amount) {
                self.fault(
                    under("amount"),
                    format!("give 1 to {MOST} grams or millilitres"),
                );
            }
            if !(0..=MOST_WIND).contains(&one.wind_mmps) {
                self.fault(under("wind_mmps"), format!("give 0 to {MOST_WIND} mm/s"));
            }
            self.may_put_it_on(&under("person_id"), one.person_id, people)?;
            all.push(NewTreatment {
                person_id: one.person_id,
                product: one.product.trim().to_owned(),
                lot: one.lot.trim().to_owned(),
                amount: one.amount,
                unit: one.unit,
                place: one.place.trim().to_owned(),
                wind_mmps: one.wind_mmps,
            });
        }
        Ok(all)
    }

    fn may_put_it_on(
        &mut self,
        field: &str,
        person_id: i64,
        people: &[TimeTold],
    ) -> store::Result<()> {
        if !people.iter().any(|one| one.person_id == person_id) {
            self.fault(field, "name one of the people who worked on the order");
            return Ok(());
        }
        let until = skill_until(self.conn, self.scope, person_id, SKILL)?;
        if let Some(until) = until.filter(|until| *until < self.order.work_date) {
            self.fault(
                field,
                format!("this person's skill for chemicals ended on {until}: it must be in date"),
            );
        }
        Ok(())
    }
}
