//! Which readings count: one that something speaks against waits until somebody confirms or strikes it, or a further one
//! says the same.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use serde_json::json;
use trade::wear::{Doubt, confirms};
use utoipa::ToSchema;

use super::known::{doubt_of, left_mm};
use crate::desk::access::{JudgeReading, Permit, SeeTools};
use crate::desk::booking::{Rates, reckon};
use crate::desk::error::Named;
use crate::desk::once::Once;
use crate::desk::stops::actor;
use crate::desk::{Error, Office, Result};
use crate::store::audit::{Deed, audit_append_about};
use crate::store::tools::{ReadingRow, WearPartRow, reading_read, wear_part_read};
use crate::store::wear::{
    NewReading, NewVerdict, ReadingState, ReadingVerdict, carried_read, doubted_of, reading_add,
    reading_decide, used_until,
};
use crate::store::{Instant, Scope, Tx};

const LONGEST_WHY: usize = 500;

/// A length of a part that was measured.
#[derive(Clone, Copy, Debug)]
pub struct Measure {
    /// The part.
    pub part: i64,
    /// The day.
    pub on: NaiveDate,
    /// How long it was, µm.
    pub length_um: i64,
    /// The order it was measured on.
    pub order_id: Option<i64>,
    /// Who told it.
    pub user_id: i64,
    /// When the office learned of it.
    pub learned_at: Instant,
}

/// Keeps a reading; gives its id and what speaks against it. One that says the same as one doubted before confirms that,
/// and counts itself.
pub(in crate::desk) fn keep(
    tx: &mut Tx<'_>,
    scope: &Scope,
    rates: &Rates,
    length: Measure,
) -> Result<(i64, Option<Doubt>)> {
    let part = wear_part_read(tx.conn(), scope, length.part)?;
    let used_mm = used_until(tx.conn(), scope, length.part, length.on)?;
    let at = (used_mm, length.length_um);
    let (mut doubt, known, reading) = doubt_of(tx.conn(), scope, rates, &part, at)?;
    if let (Some(_), Some(known)) = (doubt, known) {
        for before in doubted_of(tx.conn(), scope, length.part)? {
            let earlier = known.reading(before.used_mm, before.length_um);
            if earlier.used <= reading.used && confirms(&known.wear, earlier, reading) {
                let confirmed = NewVerdict {
                    reading_id: before.id,
                    verdict: ReadingVerdict::Confirmed,
                    why: None,
                    user_id: None,
                    client_key: None,
                };
                reading_decide(tx, scope, &confirmed)?;
                doubt = None;
            }
        }
    }
    let new = NewReading {
        wear_part_id: length.part,
        measured_on: length.on,
        length_um: length.length_um,
        order_id: length.order_id,
        user_id: length.user_id,
        booked_at: length.learned_at,
        used_mm,
        doubt,
    };
    let id = reading_add(tx, scope, &new)?;
    if doubt.is_none() {
        reckon_anew(tx, scope, rates, &part)?;
    }
    Ok((id, doubt))
}

/// Spreads what is still to be booked of a part over the use it has left, by what counts of what was measured.
fn reckon_anew(tx: &mut Tx<'_>, scope: &Scope, rates: &Rates, part: &WearPartRow) -> Result<()> {
    if part.cost_cents.is_none() || part.retired_on.is_some() {
        return Ok(());
    }
    let Some(carried) = carried_read(tx.conn(), scope, part.id)? else {
        return Ok(());
    };
    if let Some(left_mm) = left_mm(tx.conn(), scope, rates, part)? {
        reckon(tx, scope, &carried, left_mm)?;
    }
    Ok(())
}

/// What somebody decides of a reading.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = ReadingVerdictTold)]
pub struct VerdictTold {
    /// Why, at most 500 characters; needed where it is struck.
    pub why: Option<String>,
}

/// Confirms a reading that is doubted, or strikes one that is wrong. A struck one stays to be seen, and counts no more.
pub fn reading_judge(
    office: &Office,
    permit: &Permit<JudgeReading>,
    id: i64,
    verdict: ReadingVerdict,
    client_key: String,
    told: &VerdictTold,
) -> Result<ReadingRow> {
    let once = Once::new(client_key, format!("{verdict} reading {id}"), told)?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let reading = reading_read(tx.conn(), permit, id).named("reading")?;
            let is_open = match verdict {
                ReadingVerdict::Confirmed => reading.state == ReadingState::Doubted,
                ReadingVerdict::Struck => reading.state != ReadingState::Struck,
            };
            if !is_open {
                let detail = match verdict {
                    ReadingVerdict::Confirmed => format!(
                        "the reading is {}; only a doubted one is confirmed",
                        reading.state
                    ),
                    ReadingVerdict::Struck => "the reading was struck before".to_owned(),
                };
                return Err(Error::state(detail));
            }
            let why = told
                .why
                .as_deref()
                .map(str::trim)
                .filter(|why| !why.is_empty());
            if verdict == ReadingVerdict::Struck && why.is_none() {
                return Err(Error::refused(
                    "/why",
                    "say why it is wrong: it stays to be seen",
                ));
            }
            if why.is_some_and(|why| why.chars().count() > LONGEST_WHY) {
                let mend = format!("say it in at most {LONGEST_WHY} characters");
                return Err(Error::refused("/why", mend));
            }
            let new = NewVerdict {
                reading_id: id,
                verdict,
                why,
                user_id: Some(actor(permit)?),
                client_key: Some(&once.client_key),
            };
            reading_decide(tx, permit, &new)?;
            let part = wear_part_read(tx.conn(), permit, reading.wear_part_id)?;
            if part.cost_cents.is_some() {
                let rates = Rates::read(tx.conn(), permit)?;
                reckon_anew(tx, permit, &rates, &part)?;
            }
            let deed = Deed {
                verb: verdict.as_str(),
                subject: "reading",
                id,
                data: json!({ "part": reading.wear_part_id, "length_um": reading.length_um }),
            };
            let about: Vec<_> = part
                .tool_id
                .map(|tool| ("tool", tool))
                .into_iter()
                .collect();
            audit_append_about(tx, permit, &deed, &about)?;
            Ok(reading_read(tx.conn(), permit, id)?)
        })
    })
}

/// The part that a reading is of.
pub fn part_of_reading(office: &Office, permit: &Permit<SeeTools>, id: i64) -> Result<i64> {
    office.db.read(|conn| {
        let reading = reading_read(conn, permit, id).named("reading")?;
        Ok(reading.wear_part_id)
    })
}
