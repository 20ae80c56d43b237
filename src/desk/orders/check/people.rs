//! Who worked on an order and when: people of the site, each in one place at a time.

use std::collections::HashMap;

use serde_json::json;
use trade::calendar::Span;
use trade::labour::{Worked, in_two_places, minutes_before};

use super::Check;
use crate::desk::happened::is_ahead;
use crate::desk::orders::told::TimeTold;
use crate::store::hours::{HoursRow, hours_between};
use crate::store::{self, Page, crews};

/// The longest time one person may have been on one order, minutes.
const LONGEST_MIN: i64 = 960;

impl Check<'_> {
    /// Somebody must have done a finished order.
    pub(in crate::desk::orders) fn somebody(&mut self, told: &[TimeTold]) {
        if told.is_empty() {
            let mend = "say who did it, and how long it took";
            self.fault("people_missing", "/people", mend);
        }
    }

    /// Who worked and when: people of the site, each in one place at a time.
    pub(in crate::desk::orders) fn people(
        &mut self,
        told: &[TimeTold],
    ) -> store::Result<Vec<Worked>> {
        let known: HashMap<i64, _> = crews::person_list(self.conn, self.scope, Page::ALL)?
            .items
            .into_iter()
            .map(|person| (person.id, person.left_on))
            .collect();
        let date = self.order.work_date;
        let mut places = Vec::new();
        let mut worked = Vec::new();
        for (at, time) in told.iter().enumerate() {
            let field = format!("/people/{at}/person_id");
            match known.get(&time.person_id) {
                None => self.fault("person_unknown", &field, "nobody of this site has this id"),
                Some(Some(left)) if *left < date => {
                    let code = ("person_left", [("date", json!(left))]);
                    self.fault(code, &field, format!("this person left on {left}"));
                }
                Some(_) if self.rates.cents_per_h(time.person_id, date).is_none() => {
                    self.fault(
                        ("no_pay_rate", [("date", json!(date))]),
                        &field,
                        format!(
                            "no pay rate of this person is in force on {date}: enter one first"
                        ),
                    );
                }
                Some(_) => {}
            }
            if let Some(span) = self.span(at, time) {
                places.push(at);
                worked.push(Worked {
                    person: time.person_id,
                    span,
                });
            }
        }
        self.nobody_is_in_two_places(&places, &worked)?;
        Ok(worked)
    }

    /// From when until when somebody worked; none where that is not told well.
    fn span(&mut self, at: usize, time: &TimeTold) -> Option<Span> {
        let path = format!("/people/{at}");
        let (field, span) = match (time.minutes, time.started_at, time.ended_at) {
            (Some(minutes), None, None) => {
                let field = format!("{path}/minutes");
                if !(1..=LONGEST_MIN).contains(&minutes) {
                    let code = ("minutes_range", [("most", json!(LONGEST_MIN))]);
                    self.fault(code, field, format!("give 1 to {LONGEST_MIN} minutes"));
                    return None;
                }
                let span = minutes_before(self.at.utc(), minutes).ok()?;
                (field, span)
            }
            (None, Some(from), Some(to)) => {
                let field = format!("{path}/ended_at");
                let (from, to) = (from.utc(), to.utc());
                let minutes = (to - from).num_minutes();
                if to <= from || minutes > LONGEST_MIN {
                    self.fault(
                        ("span_range", [("most", json!(LONGEST_MIN))]),
                        field,
                        format!("let it be after started_at, by at most {LONGEST_MIN} minutes"),
                    );
                    return None;
                }
                if is_ahead(self.now, to.into()) {
                    let code = ("in_future", [("now", json!(self.now))]);
                    self.fault(
                        code,
                        field,
                        "this has not happened yet: set the clock right",
                    );
                    return None;
                }
                (format!("{path}/started_at"), Span { from, to })
            }
            _ => {
                self.fault(
                    "time_missing",
                    path,
                    "tell either minutes, or both started_at and ended_at, of this person",
                );
                return None;
            }
        };
        if span.from < self.day_start() {
            let date = self.order.work_date;
            self.fault(
                ("before_day", [("date", json!(date))]),
                field,
                format!("the order is for {date}: work on it cannot begin before that day"),
            );
            return None;
        }
        Some(span)
    }

    /// Holds what is told against itself and against what is booked. `places` says where in the
    /// request each stretch stands.
    fn nobody_is_in_two_places(
        &mut self,
        places: &[usize],
        worked: &[Worked],
    ) -> store::Result<()> {
        let (Some(from), Some(to)) = (
            worked.iter().map(|w| w.span.from).min(),
            worked.iter().map(|w| w.span.to).max(),
        ) else {
            return Ok(());
        };
        let people: Vec<i64> = worked.iter().map(|w| w.person).collect();
        let booked = hours_between(self.conn, self.scope, &people, from.into(), to.into())?;
        let mut all = worked.to_vec();
        all.extend(booked.iter().map(|entry| Worked {
            person: entry.person_id,
            span: Span {
                from: entry.starts_at.utc(),
                to: entry.ends_at.utc(),
            },
        }));
        for (one, other) in in_two_places(&all) {
            if one >= worked.len() {
                // Both are booked already: nothing of this request.
                continue;
            }
            if let Some(entry) = other.checked_sub(worked.len()).map(|at| &booked[at]) {
                let code = (
                    "two_places",
                    [
                        ("order_id", json!(entry.order_id)),
                        ("from", json!(entry.starts_at)),
                        ("to", json!(entry.ends_at)),
                    ],
                );
                self.fault(code, format!("/people/{}", places[one]), elsewhere(entry));
            } else {
                let detail = format!(
                    "this person is told to be at work in the same minutes at /people/{}",
                    places[one]
                );
                let code = ("told_twice", [("at", json!(places[one]))]);
                self.fault(code, format!("/people/{}", places[other]), detail);
            }
        }
        Ok(())
    }
}

/// Says where a booked entry has the person.
fn elsewhere(entry: &HoursRow) -> String {
    let on = match entry.order_id {
        Some(order) => format!("work order {order}"),
        None => format!("other work ({})", entry.kind),
    };
    format!(
        "this person is on {on} from {} to {} (hours entry {}): nobody is in two places at once",
        entry.starts_at, entry.ends_at, entry.id
    )
}
