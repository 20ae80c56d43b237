//! Chemicals that were put on: told whenever a step that takes one was done, and only then.

use serde_json::json;

use super::Check;
use crate::desk::label::limits;
use crate::desk::orders::told::{TimeTold, TreatmentTold};
use crate::store::care::TaskDetail;
use crate::store::crews::person_read;
use crate::store::orders::{StepOfOrder, order_steps_named};
use crate::store::skills::skill_until;
use crate::store::stores::material_list;
use crate::store::treatments::NewTreatment;
use crate::store::{self, Page};

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
                    ("treatment_missing", [("step", json!(name))]),
                    "/treatments",
                    format!("{name}: tell the product, its lot, how much, where, the wind and who put it on"),
                );
            }
            (None, false) => {
                self.fault(
                    "treatment_extra",
                    "/treatments",
                    "no step that was done takes a chemical: leave it out",
                );
            }
            _ => {}
        }
        let wind_limit_mmps = self.wind_limit(&steps, steps_done)?;
        let mut all = Vec::new();
        for (at, one) in told.iter().enumerate() {
            let under = |name: &str| format!("/treatments/{at}/{name}");
            for (name, text, longest) in [
                ("product", &one.product, LONGEST_NAME),
                ("lot", &one.lot, LONGEST_NAME),
                ("place", &one.place, LONGEST_PLACE),
            ] {
                if !(1..=longest).contains(&text.trim().chars().count()) {
                    self.fault(
                        ("text_length", [("most", json!(longest))]),
                        under(name),
                        format!("say it in 1 to {longest} characters"),
                    );
                }
            }
            if !(1..=MOST).contains(&one.amount) {
                self.fault(
                    ("quantity_range", [("most", json!(MOST))]),
                    under("amount"),
                    format!("give 1 to {MOST} grams or millilitres"),
                );
            }
            if !(0..=MOST_WIND).contains(&one.wind_mmps) {
                self.fault(
                    ("wind_range", [("most_mmps", json!(MOST_WIND))]),
                    under("wind_mmps"),
                    format!("give 0 to {MOST_WIND} mm/s"),
                );
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
                wind_limit_mmps,
            });
        }
        Ok(all)
    }

    /// The most wind that the standard and the labels allow for what was put on. More than that is told all the same:
    /// it happened.
    fn wind_limit(
        &mut self,
        steps: &[StepOfOrder],
        steps_done: &[i64],
    ) -> store::Result<Option<i64>> {
        let done = steps
            .iter()
            .filter(|step| step.detail.0.chemical && steps_done.contains(&step.position));
        let details: Vec<&TaskDetail> = done.map(|step| &step.detail.0).collect();
        if details.is_empty() {
            return Ok(None);
        }
        let stores = material_list(self.conn, self.scope, Page::ALL)?.items;
        let winds = details
            .into_iter()
            .filter_map(|detail| limits(detail, &stores).max_wind_mmps);
        Ok(winds.min())
    }

    fn may_put_it_on(
        &mut self,
        field: &str,
        person_id: i64,
        people: &[TimeTold],
    ) -> store::Result<()> {
        if !people.iter().any(|one| one.person_id == person_id) {
            let mend = "name one of the people who worked on the order";
            self.fault("not_of_the_people", field, mend);
            return Ok(());
        }
        let person = match person_read(self.conn, self.scope, person_id) {
            // Named where the hours are checked.
            Err(store::Error::NotFound) => return Ok(()),
            other => other?,
        };
        if !person.skills.0.iter().any(|skill| skill == SKILL) {
            let mend = "this person does not have the skill for chemicals";
            self.fault("no_skill", field, mend);
            return Ok(());
        }
        let until = skill_until(self.conn, self.scope, person_id, SKILL)?;
        if let Some(until) = until.filter(|until| *until < self.order.work_date) {
            self.fault(
                ("skill_over", [("until", json!(until))]),
                field,
                format!("this person's skill for chemicals ended on {until}: it must be in date"),
            );
        }
        Ok(())
    }
}
