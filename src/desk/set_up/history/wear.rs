//! What the brushes of a site that was just laid were used: by the orders of the past weeks, and before those.

use chrono::Days;
use trade::wear::Doubt;

use crate::desk::Result;
use crate::desk::booking::Rates;
use crate::desk::wear::{lay, no_use};
use crate::store::tools::newest_readings;
use crate::store::wear::{
    NewPartUse, NewReading, measured, measured_parts, part_uses_add, reading_add, used_until,
};
use crate::store::{Scope, Tx};

/// By how much a ruler is misread that stands an inch off, µm.
const AN_INCH: i64 = 25_400;
/// Which of the brushes was misread.
const MISREAD: usize = 1;

/// Books the use of the past orders, and tells by hand what went before: as much as wore off then, at the rate at which
/// the brush wore since. One brush was misread of late.
pub fn wear_past(tx: &mut Tx<'_>, scope: &Scope, rates: &Rates, user_id: i64) -> Result<()> {
    lay(tx, scope, rates)?;
    let lengths = measured(tx.conn(), scope, None)?;
    let mut before = Vec::new();
    let parts = measured_parts(tx.conn(), scope, None)?;
    for one in &parts {
        let mut of_part = lengths
            .iter()
            .filter(|length| length.wear_part_id == one.part.id);
        let (Some(first), Some(start_um)) = (of_part.next(), one.part.start_um) else {
            continue;
        };
        let last = of_part.next_back().unwrap_or(first);
        let (worn, since) = (start_um - first.length_um, first.length_um - last.length_um);
        if worn <= 0 || since <= 0 {
            continue;
        }
        let far = (last.used_mm - first.used_mm) / since * worn;
        before.push(NewPartUse {
            use_mm: far,
            weighed_mm: far,
            ..no_use(tx, scope, one.part.id, one.part.fitted_on)
        });
    }
    part_uses_add(tx, scope, &before)?;
    let Some(misread) = parts.get(MISREAD) else {
        return Ok(());
    };
    let newest = newest_readings(tx.conn(), scope, &[misread.part.id])?;
    let Some(last) = newest.first() else {
        return Ok(());
    };
    let measured_on = last.measured_on + Days::new(1);
    let new = NewReading {
        wear_part_id: misread.part.id,
        measured_on,
        used_mm: used_until(tx.conn(), scope, misread.part.id, measured_on)?,
        length_um: (last.length_um + AN_INCH).min(misread.part.start_um.unwrap_or(last.length_um)),
        order_id: None,
        user_id,
        booked_at: tx.now(),
        doubt: Some(Doubt::TooLong),
    };
    reading_add(tx, scope, &new)?;
    Ok(())
}
