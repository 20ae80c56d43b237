//! Whether what a crew tells of an order can be so. Every fault is named, not only the first.

mod people;
mod treatments;

use chrono::{DateTime, TimeDelta, Utc};
use serde_json::json;
use trade::calendar::day_start;

use super::told::{FitTold, MaterialTold, ReadingTold, ToolUseTold};
use crate::desk::booking::{Fitness, Rates, Taken, ToolUse};
use crate::desk::error::Code;
use crate::desk::happened::{ahead, is_ahead};
use crate::desk::{Error, FieldFault, Result};
use crate::store::holds::HoldReason;
use crate::store::orders::{Fit, OrderRow, ReadingOfOrder, order_steps, order_tools};
use crate::store::{self, Conn, Instant, Scope, stores, tools};

/// The longest time for which a court may be said not to be fit yet.
const LONGEST_SHUT: TimeDelta = TimeDelta::days(366);
const LONGEST_NOTE: usize = 2_000;
const LONGEST_REASON: usize = 500;
/// Beyond what any store gives out at once, in grams, millilitres or pieces.
const MOST_MATERIAL: i64 = 1_000_000_000;
/// Beyond what any tool is used on one order.
const MOST_USES: i64 = 100;

/// A check under way: the order, what it is held against, and the faults so far.
pub(super) struct Check<'a> {
    conn: &'a mut Conn,
    scope: &'a Scope,
    rates: &'a Rates,
    order: &'a OrderRow,
    now: Instant,
    /// When what is told happened.
    pub(super) at: Instant,
    faults: Vec<FieldFault>,
}

/// Whether a picked reason says by itself why a court is held.
fn says_why(picked: Option<HoldReason>) -> bool {
    picked.is_some_and(|reason| reason != HoldReason::Other)
}

impl<'a> Check<'a> {
    /// Begins with when it happened: not in the future, not before the order's date, not before
    /// the order was started.
    pub(super) fn begin(
        conn: &'a mut Conn,
        scope: &'a Scope,
        rates: &'a Rates,
        order: &'a OrderRow,
        now: Instant,
        happened_at: Option<Instant>,
    ) -> Self {
        let mut check = Self::said(conn, scope, rates, order, now, happened_at);
        let at = check.at;
        if is_ahead(now, at) {
            // Named already.
        } else if at.utc() < check.day_start() {
            let date = order.work_date;
            check.fault(
                ("before_day", [("date", json!(date))]),
                "/happened_at",
                format!("the order is for {date}: nothing can happen to it before that day"),
            );
        } else if let Some(start) = order.started_at.filter(|start| at < *start) {
            check.fault(
                ("before_start", [("started_at", json!(start))]),
                "/happened_at",
                format!("the order was started at {start}: it cannot end before"),
            );
        }
        check
    }

    /// Begins with something that is said of an order, at whatever time: not in the future.
    pub(super) fn said(
        conn: &'a mut Conn,
        scope: &'a Scope,
        rates: &'a Rates,
        order: &'a OrderRow,
        now: Instant,
        happened_at: Option<Instant>,
    ) -> Self {
        let at = happened_at.unwrap_or(now);
        let mut check = Self {
            conn,
            scope,
            rates,
            order,
            now,
            at,
            faults: Vec::new(),
        };
        check.faults.extend(ahead(now, at, "/happened_at"));
        check
    }

    /// That it does not happen before the order ended.
    pub(super) fn not_before_its_end(&mut self) {
        if let Some(end) = self.order.ended_at.filter(|end| self.at < *end) {
            self.fault(
                ("before_end", [("ended_at", json!(end))]),
                "/happened_at",
                format!("the order was given back at {end}: this comes after"),
            );
        }
    }

    /// That more was told than is kept.
    pub(super) fn too_much(&mut self, field: &str, most: usize) {
        let code = ("too_much", [("most", json!(most))]);
        self.fault(code, field, format!("tell at most {most} bytes of JSON"));
    }

    /// The faults that were found, if any.
    pub(super) fn end(self) -> Result<()> {
        if self.faults.is_empty() {
            Ok(())
        } else {
            Err(Error::Refused(self.faults))
        }
    }

    fn fault(
        &mut self,
        code: impl Into<Code>,
        field: impl Into<String>,
        detail: impl Into<String>,
    ) {
        self.faults.push(FieldFault::new(field, detail).coded(code));
    }

    fn day_start(&self) -> DateTime<Utc> {
        day_start(self.rates.zone, self.order.work_date)
    }

    /// A text of at most `longest` characters; none where it is blank.
    fn text(&mut self, field: &str, text: Option<&str>, longest: usize) -> Option<String> {
        let text = text.map(str::trim).filter(|text| !text.is_empty())?;
        if text.chars().count() > longest {
            let code = ("too_long", [("most", json!(longest))]);
            self.fault(
                code,
                field,
                format!("say it in at most {longest} characters"),
            );
        }
        Some(text.to_owned())
    }

    /// A note; a missing one is a fault where `needed` says why.
    pub(super) fn note(&mut self, note: Option<&str>, needed: Option<&str>) -> Option<String> {
        self.words("/note", note, needed)
    }

    /// The same of another field.
    pub(super) fn words(
        &mut self,
        field: &str,
        text: Option<&str>,
        needed: Option<&str>,
    ) -> Option<String> {
        let text = self.text(field, text, LONGEST_NOTE);
        if let (None, Some(why)) = (&text, needed) {
            self.fault("note_missing", field, why);
        }
        text
    }

    /// What is said of the court: not yet fit until when, or held and why.
    pub(super) fn fitness(&mut self, told: &FitTold) -> Fitness {
        let reason = self.text("/fit/reason", told.reason.as_deref(), LONGEST_REASON);
        match told.is {
            Fit::Yes if told.until.is_some() => {
                let mend = "leave it out where the court is fit";
                self.fault("until_extra", "/fit/until", mend);
            }
            Fit::Yes if reason.is_some() => {
                let mend = "leave it out where the court is fit";
                self.fault("reason_extra", "/fit/reason", mend);
            }
            Fit::NotYet if told.until.is_none() => {
                let mend = "say until when the court is not fit";
                self.fault("until_missing", "/fit/until", mend);
            }
            Fit::Yes | Fit::NotYet if told.hold_reason.is_some() => {
                let mend = "leave it out where the court is not held";
                self.fault("hold_reason_extra", "/fit/hold_reason", mend);
            }
            Fit::Held if reason.is_none() && !says_why(told.hold_reason) => {
                let mend = "say why the court is held";
                self.fault("reason_missing", "/fit/reason", mend);
            }
            _ => {}
        }
        let shut = told.until.map(|until| until.utc() - self.at.utc());
        if shut.is_some_and(|shut| shut <= TimeDelta::zero() || shut > LONGEST_SHUT) {
            self.fault(
                "until_range",
                "/fit/until",
                "give a time after the order ended, at most a year later",
            );
        }
        Fitness {
            is: told.is,
            until: told.until,
            hold_reason: told.hold_reason,
            reason,
        }
    }

    /// The steps that were done: each must be one of the order's.
    pub(super) fn steps(&mut self, done: &[i64]) -> store::Result<Vec<i64>> {
        let steps = order_steps(self.conn, self.scope, &[self.order.id])?;
        let known: Vec<i64> = steps.iter().map(|step| step.position).collect();
        for (at, position) in done.iter().enumerate() {
            if !known.contains(position) {
                let last = known.last().copied().unwrap_or(0);
                self.fault(
                    (
                        "step_unknown",
                        [("step", json!(position)), ("last", json!(last))],
                    ),
                    format!("/steps_done/{at}"),
                    format!("the order has no step {position}; its steps run from 1 to {last}"),
                );
            }
        }
        Ok(done.to_vec())
    }

    /// What was taken from the stores: materials of the site, some of each.
    pub(super) fn materials(&mut self, told: &[MaterialTold]) -> store::Result<Vec<Taken>> {
        let mut taken = Vec::new();
        for (at, material) in told.iter().enumerate() {
            match stores::material_read(self.conn, self.scope, material.material_id) {
                Ok(_) => {}
                Err(store::Error::NotFound) => self.fault(
                    "material_unknown",
                    format!("/materials/{at}/material_id"),
                    "this site keeps no material with this id",
                ),
                Err(why) => return Err(why),
            }
            if !(1..=MOST_MATERIAL).contains(&material.quantity) {
                self.fault(
                    ("quantity_range", [("most", json!(MOST_MATERIAL))]),
                    format!("/materials/{at}/quantity"),
                    format!("give 1 to {MOST_MATERIAL} of the material's unit"),
                );
            }
            taken.push(Taken {
                material_id: material.material_id,
                quantity: material.quantity,
            });
        }
        Ok(taken)
    }

    /// Which tools were used: tools of the site, each told once. The order's own, once each, where
    /// nothing is told.
    pub(super) fn tools(&mut self, told: Option<&[ToolUseTold]>) -> store::Result<Vec<ToolUse>> {
        let Some(told) = told else {
            let own = order_tools(self.conn, self.scope, &[self.order.id])?;
            let own = own.into_iter().map(|tool| ToolUse {
                tool_id: tool.tool_id,
                uses: 1,
            });
            return Ok(own.collect());
        };
        for (at, tool) in told.iter().enumerate() {
            let field = format!("/tool_uses/{at}/tool_id");
            if self.rates.wear(tool.tool_id).is_none() {
                self.fault("tool_unknown", &field, "this site has no tool with this id");
            }
            if told[..at].iter().any(|other| other.tool_id == tool.tool_id) {
                let mend = "tell all uses of a tool in one place";
                self.fault("tool_twice", &field, mend);
            }
            if !(0..=MOST_USES).contains(&tool.uses) {
                self.fault(
                    ("uses_range", [("most", json!(MOST_USES))]),
                    format!("/tool_uses/{at}/uses"),
                    format!("give 0 to {MOST_USES} uses"),
                );
            }
        }
        let uses = told.iter().map(|tool| ToolUse {
            tool_id: tool.tool_id,
            uses: tool.uses,
        });
        Ok(uses.collect())
    }

    /// What was measured: parts of the site that are measured, that were fitted then, and no
    /// longer than they were when new.
    pub(super) fn readings(&mut self, told: &[ReadingTold]) -> store::Result<Vec<ReadingOfOrder>> {
        let date = self.order.work_date;
        for (at, reading) in told.iter().enumerate() {
            let of_part = format!("/readings/{at}/wear_part_id");
            let of_length = format!("/readings/{at}/length_um");
            let part = match tools::wear_part_read(self.conn, self.scope, reading.wear_part_id) {
                Ok(part) => part,
                Err(store::Error::NotFound) => {
                    let mend = "this site has no wear part with this id";
                    self.fault("part_unknown", of_part, mend);
                    continue;
                }
                Err(why) => return Err(why),
            };
            if part.fitted_on > date || part.retired_on.is_some_and(|off| off < date) {
                let code = ("part_not_fitted", [("date", json!(date))]);
                self.fault(code, of_part, format!("this part was not fitted on {date}"));
            }
            match part.start_um {
                None => self.fault(
                    "part_by_eye",
                    format!("/readings/{at}/wear_part_id"),
                    "this part is judged by eye, not measured",
                ),
                Some(new) if !(0..=new).contains(&reading.length_um) => self.fault(
                    ("longer_than_new", [("new_um", json!(new))]),
                    of_length,
                    format!("the part was {new} µm long when new: give 0 to {new}"),
                ),
                Some(_) => {}
            }
        }
        let readings = told.iter().map(|reading| ReadingOfOrder {
            wear_part_id: reading.wear_part_id,
            length_um: reading.length_um,
        });
        Ok(readings.collect())
    }
}
