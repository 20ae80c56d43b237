//! What a finished order teaches of how long such work takes on its court.

use std::collections::HashSet;

use trade::labour::{log_ratio, together};
use trade::units::Seconds;

use super::{Closing, Outcome};
use crate::desk::Result;
use crate::desk::day_build::for_hands;
use crate::store::times::{NewTime, StepTimed, order_steps_timed, time_add, work_name};
use crate::store::{Scope, Tx};

/// Keeps how long a finished order took beside what the standard gives, for the steps that were
/// done and as many people as did them. An order on no one court, or of before the standard was
/// kept with it, teaches nothing.
pub(super) fn book(tx: &mut Tx<'_>, scope: &Scope, closing: &Closing<'_>) -> Result<()> {
    if !matches!(closing.outcome, Outcome::Finished(_)) || closing.order.court_id.is_none() {
        return Ok(());
    }
    let steps = order_steps_timed(tx.conn(), scope, closing.order.id)?;
    if let Some(time) = timed(closing, &steps) {
        time_add(tx, scope, &time)?;
    }
    Ok(())
}

/// How long an order took its people, and what the standard gives them for the steps they did.
pub fn timed(closing: &Closing<'_>, steps: &[StepTimed]) -> Option<NewTime> {
    let order = closing.order;
    let people: HashSet<i64> = closing.people.iter().map(|worked| worked.person).collect();
    let hands = people.len().max(1);
    let done = steps
        .iter()
        .filter(|step| closing.steps_done.contains(&step.position));
    let standard_s = done
        .map(|step| for_hands(&step.code, step.alone_s?, hands).last().copied())
        .sum::<Option<i64>>()?;
    let taken = together(&closing.people);
    Some(NewTime {
        order_id: order.id,
        court_id: order.court_id?,
        work_date: order.work_date,
        work: work_name(
            order.kind,
            order.groom_class.as_deref(),
            steps.iter().map(|step| step.code.as_str()),
        ),
        standard_s,
        taken_s: taken.0,
        log_ratio: log_ratio(taken, Seconds(standard_s))?,
    })
}
