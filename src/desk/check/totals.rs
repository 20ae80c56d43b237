//! Running totals: what is booked is what is due for what was used, and the lines sum to it.

use std::collections::{BTreeMap, HashMap};

use trade::calendar::Span;
use trade::costing::MILLILITRES_A_CUBIC_METRE;
use trade::labour::SECONDS_AN_HOUR;
use trade::money::{Cents, due};

use super::{Anchor, Found, counted};
use crate::desk::Result;
use crate::desk::booking::Rates;
use crate::store::cost::{CostKind, TotalKind, TotalRow};
use crate::store::proofs::{WHOLE_SITE, booked_hours, lines_by_subject, running_totals_all};
use crate::store::{Conn, Scope};

const AT_ONCE: i64 = 2_000;

/// Whose and which stretch's a sum is.
type Key = (i64, String);

pub(super) fn prove(conn: &mut Conn, scope: &Scope, _: &[Anchor]) -> Result<Found> {
    let totals = running_totals_all(conn, scope)?;
    let mut found = Found {
        looked_at: counted(i64::try_from(totals.len()).unwrap_or(0), "running totals"),
        ..Found::default()
    };
    for total in &totals {
        if let Some(why) = not_due(total) {
            found.note(format!(
                "{}: {why}",
                name(total.kind, total.subject_id, &total.period)
            ));
        }
    }
    for (kind, of_lines) in [
        (TotalKind::Labour, CostKind::Labour),
        (TotalKind::Water, CostKind::Water),
        (TotalKind::ToolWear, CostKind::ToolWear),
    ] {
        let mut sums: BTreeMap<Key, (i64, i64)> = BTreeMap::new();
        for total in totals.iter().filter(|total| total.kind == kind) {
            sums.entry(summed(total)).or_default().0 += total.booked_cents;
        }
        for sum in lines_by_subject(conn, scope, of_lines)? {
            sums.entry((sum.subject, sum.period)).or_default().1 += sum.cents;
        }
        for ((subject, period), (booked, lines)) in sums {
            if booked != lines {
                found.note(format!(
                    "{}: its lines sum to {lines} cents, and {booked} are booked",
                    name(kind, subject, &period)
                ));
            }
        }
    }
    hours_tie(conn, scope, &totals, &mut found)?;
    Ok(found)
}

/// The sum of lines that a total is a part of: water runs by bank and is borne by courts, which may
/// have moved to another bank, so that it ties over the site; a tool's totals run by its life.
fn summed(total: &TotalRow) -> Key {
    match total.kind {
        TotalKind::Labour => (total.subject_id, total.period.clone()),
        TotalKind::Water => (WHOLE_SITE, String::new()),
        TotalKind::ToolWear => (total.subject_id, String::new()),
    }
}

fn not_due(total: &TotalRow) -> Option<String> {
    let per = match total.kind {
        TotalKind::Labour => SECONDS_AN_HOUR,
        TotalKind::Water => MILLILITRES_A_CUBIC_METRE,
        TotalKind::ToolWear => total.period.parse().unwrap_or(0),
    };
    match due(Cents(1), total.used, per) {
        Ok(due) if due.0 == total.booked_cents => None,
        Ok(due) => Some(format!(
            "{} cents are due and {} booked",
            due.0, total.booked_cents
        )),
        Err(why) => Some(why.to_string()),
    }
}

/// The hours on orders, at the rates in force on their dates, are what was used of labour.
fn hours_tie(conn: &mut Conn, scope: &Scope, totals: &[TotalRow], found: &mut Found) -> Result<()> {
    let rates = Rates::read(conn, scope)?;
    let mut weighed: HashMap<Key, i128> = HashMap::new();
    let mut after = 0;
    loop {
        let entries = booked_hours(conn, scope, after, AT_ONCE)?;
        let Some(last) = entries.last() else { break };
        after = last.id;
        for entry in &entries {
            let span = Span {
                from: entry.starts_at.utc(),
                to: entry.ends_at.utc(),
            };
            let Some(rate) = rates.cents_per_h(entry.person_id, entry.work_date) else {
                found.note(format!(
                    "hours entry {}: no pay rate was in force",
                    entry.id
                ));
                continue;
            };
            let week = rates.pay_week(entry.work_date).to_string();
            *weighed.entry((entry.person_id, week)).or_default() +=
                i128::from(span.length().0) * i128::from(rate);
        }
    }
    for total in totals
        .iter()
        .filter(|total| total.kind == TotalKind::Labour)
    {
        let key = (total.subject_id, total.period.clone());
        let hours = weighed.remove(&key).unwrap_or(0);
        if hours != i128::from(total.used) {
            found.note(format!(
                "{}: the hours at the rates as they stand come to {hours} cent-seconds, and {} were used",
                name(total.kind, total.subject_id, &total.period),
                total.used
            ));
        }
    }
    let mut left: Vec<Key> = weighed
        .into_iter()
        .filter(|(_, h)| *h != 0)
        .map(|(key, _)| key)
        .collect();
    left.sort_unstable();
    for (person, week) in left {
        found.note(format!(
            "{}: there are hours, and nothing was booked for them",
            name(TotalKind::Labour, person, &week)
        ));
    }
    Ok(())
}

fn name(kind: TotalKind, subject: i64, period: &str) -> String {
    match kind {
        TotalKind::Labour => format!("labour of person {subject} in the pay week from {period}"),
        TotalKind::Water if subject == WHOLE_SITE => "water of the site".into(),
        TotalKind::Water => format!("water of bank {subject}"),
        TotalKind::ToolWear => format!("wear of tool {subject}"),
    }
}
