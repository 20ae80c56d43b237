//! The outbox of a tablet: what it kept while it had no signal, taken in order, each answered on its own.
//!
//! Every event is written down as it came before anything else is done with it, so that none is lost whatever becomes of it.
//! Then it goes to its use case under its own key. What cannot be done any more, since another tablet or the office was
//! first, stands as a note on its order. What is wrong in itself is refused with the mend, and the tablet asks its crew.

use std::collections::HashMap;

use chrono::{Datelike, TimeDelta};
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};
use utoipa::ToSchema;
use uuid::Uuid;

use super::happening::{Happening, Told};
use super::late;
use crate::desk::access::{Permit, WorkOrders};
use crate::desk::{Error, FieldFault, Office, Result, is_plain_year};
use crate::store::crews::{crew_list, person_list};
use crate::store::orders::{OrderRow, OrderState, orders_by_id};
use crate::store::tablet_events::{
    NewTabletEvent, Outcome, TabletEventRow, tablet_answer_add, tablet_event_add,
    tablet_events_by_key,
};
use crate::store::{self, Instant, Page, Scope};

/// Most events in one sending.
const MOST_EVENTS: usize = 100;
/// Clocks that differ by less are taken to be the same: a sending takes its time on a slow line.
const CLOCKS_AGREE: TimeDelta = TimeDelta::seconds(60);

/// What a tablet sends.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct OutboxTold {
    /// The tablet's own clock as it sends this: by it the office reckons how far that clock is off.
    pub sent_at: Instant,
    /// What happened, in order; at most 100.
    #[schema(max_items = 100, min_items = 1)]
    pub events: Vec<OutboxEvent>,
}

/// One thing that happened.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct OutboxEvent {
    /// The tablet's own UUID of it: whatever is sent twice is taken once.
    pub key: Uuid,
    /// When, by the tablet's clock.
    pub at: Instant,
    /// Who held the tablet.
    pub person_id: Option<i64>,
    /// The crew whose tablet it was.
    pub crew_id: Option<i64>,
    /// The key of a refused event that this one mends.
    pub mends: Option<Uuid>,
    /// What: `kind`, and the fields of that kind. With `order_id`: `start`, `finish`, `leave_undone`, `take_back`,
    /// `hand_over`, `note`; with `court_id`: `hold`, `defect` (its own kind as `defect`); `incident` (its kind as
    /// `incident`); `alone` with `watch`, the key of the watch, and `event`: `begun`, `well`, `ended`; `attendance` (its kind
    /// as `event`); `crew_change` with `shift_id`; `tool_check`; `lightning`. The further fields are those of the
    /// operation that tells the same: `FinishOrder`, `DefectTold` and so on. When it happened is told by `at` alone, who
    /// told it by `person_id`.
    #[schema(value_type = Object, example = json!({ "kind": "start", "order_id": 17 }))]
    pub happening: Map<String, Value>,
}

/// What became of a sending.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct OutboxTaken {
    /// The office's clock.
    pub now: Instant,
    /// How far the tablet's clock is behind it, ms; 0 where the two agree to the minute.
    pub clock_off_ms: i64,
    /// What became of each event, in the order they were sent.
    pub answers: Vec<OutboxAnswer>,
}

/// What became of an event.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct OutboxAnswer {
    /// Its key.
    pub key: String,
    /// What became of it.
    pub outcome: Outcome,
    /// Why it was not done as told.
    #[serde(flatten)]
    pub why: Why,
    /// How its order stands now.
    pub order: Option<OrderStands>,
}

/// How an order stands.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct OrderStands {
    /// Id.
    pub id: i64,
    /// Its state.
    pub state: OrderState,
    /// Its version.
    pub version: i64,
}

/// Why something was not done as told; nothing where it was.
#[derive(Clone, Debug, Default, Serialize, Deserialize, ToSchema)]
#[schema(as = OutboxWhy)]
pub struct Why {
    /// A stable word for it, where there is one.
    pub code: Option<String>,
    /// What the words for it are filled in with.
    #[serde(default)]
    #[schema(value_type = Object)]
    pub values: Map<String, Value>,
    /// The same in English.
    pub detail: Option<String>,
    /// The fields that were refused, and the mend.
    pub errors: Vec<FieldFault>,
}

/// Takes what a tablet sends. An event whose key came before gets its first answer.
pub fn outbox_take(
    office: &Office,
    permit: &Permit<WorkOrders>,
    told: &OutboxTold,
) -> Result<OutboxTaken> {
    if !(1..=MOST_EVENTS).contains(&told.events.len()) {
        let mend = format!("send 1 to {MOST_EVENTS} events at once");
        return Err(Error::refused("/events", mend));
    }
    plain_times(told)?;
    let now = office.now();
    let off = clock_off(told.sent_at, now);
    write_down(office, permit, told, off, now)?;
    let keys: Vec<String> = told.events.iter().map(|e| e.key.to_string()).collect();
    let rows = office
        .db
        .read(|conn| tablet_events_by_key(conn, permit, &keys))?;
    let rows: HashMap<&str, &TabletEventRow> = rows
        .iter()
        .map(|row| (row.client_key.as_str(), row))
        .collect();
    let mut done = HashMap::new();
    for key in &keys {
        let Some(row) = rows.get(key.as_str()) else {
            return Err(store::Error::NotFound.into());
        };
        if !done.contains_key(key) {
            done.insert(key.clone(), outcome_of(office, permit, row)?);
        }
    }
    let orders = stands(office, permit, rows.values().filter_map(|row| row.order_id))?;
    let answers = keys.into_iter().filter_map(|key| {
        let order = rows.get(key.as_str()).and_then(|row| row.order_id);
        let (outcome, why) = done.get(&key).cloned()?;
        Some(OutboxAnswer {
            key,
            outcome,
            why,
            order: order.and_then(|id| orders.get(&id)).cloned(),
        })
    });
    Ok(OutboxTaken {
        now,
        clock_off_ms: off.num_milliseconds(),
        answers: answers.collect(),
    })
}

/// A clock that has lost its battery says 1970; no clock says a year that no database keeps.
fn plain_times(told: &OutboxTold) -> Result<()> {
    let mut times = vec![("/sent_at".to_owned(), told.sent_at)];
    let events = told.events.iter().enumerate();
    times.extend(events.map(|(at, event)| (format!("/events/{at}/at"), event.at)));
    let odd = times
        .iter()
        .filter(|(_, at)| !is_plain_year(at.utc().year()));
    let faults: Vec<FieldFault> = odd
        .map(|(field, _)| FieldFault::new(field, "give a time of the years 1970 to 2199"))
        .collect();
    if faults.is_empty() {
        Ok(())
    } else {
        Err(Error::Refused(faults))
    }
}

/// How far the tablet's clock is behind the office's.
fn clock_off(sent_at: Instant, now: Instant) -> TimeDelta {
    let off = now.utc() - sent_at.utc();
    if off.abs() < CLOCKS_AGREE {
        TimeDelta::zero()
    } else {
        off
    }
}

/// Keeps the events that are new as they came, before anything else.
fn write_down(
    office: &Office,
    scope: &Scope,
    told: &OutboxTold,
    off: TimeDelta,
    now: Instant,
) -> Result<()> {
    let user_id = scope
        .user_id()
        .ok_or(Error::NotSignedIn("a tablet's events are told by a user"))?;
    office.db.write(scope, |tx| -> Result<()> {
        let keys: Vec<String> = told.events.iter().map(|e| e.key.to_string()).collect();
        let mut known: Vec<String> = tablet_events_by_key(tx.conn(), scope, &keys)?
            .into_iter()
            .map(|row| row.client_key)
            .collect();
        let people = person_list(tx.conn(), scope, Page::ALL)?.items;
        let crews = crew_list(tx.conn(), scope, Page::ALL)?.items;
        let named: Vec<i64> = told
            .events
            .iter()
            .filter_map(|e| order_of(&e.happening))
            .collect();
        let orders = orders_by_id(tx.conn(), scope, &named)?;
        for (event, key) in told.events.iter().zip(keys) {
            if known.contains(&key) {
                continue;
            }
            known.push(key.clone());
            let at = event.at.utc().checked_add_signed(off);
            let kind = event.happening.get("kind").and_then(Value::as_str);
            let kind = kind.unwrap_or("unreadable");
            let order = order_of(&event.happening);
            let new = NewTabletEvent {
                client_key: key,
                user_id,
                person_id: event
                    .person_id
                    .filter(|id| people.iter().any(|p| p.id == *id)),
                crew_id: event.crew_id.filter(|id| crews.iter().any(|c| c.id == *id)),
                order_id: order.filter(|id| orders.iter().any(|o| o.id == *id)),
                kind: kind.chars().take(LONGEST_KIND).collect(),
                told: store::columns::json(&event.happening)?,
                device_at: event.at,
                clock_off_ms: off.num_milliseconds(),
                // Nothing has happened later than now, whatever a clock says.
                happened_at: at.map_or(now, |at| Instant::from(at.min(now.utc()))),
                mends_key: event.mends.map(|key| key.to_string()),
            };
            tablet_event_add(tx, scope, &new)?;
        }
        Ok(())
    })
}

/// What a kind is called is ours to say; one that is made up is cut off.
const LONGEST_KIND: usize = 40;

fn order_of(happening: &Map<String, Value>) -> Option<i64> {
    happening.get("order_id")?.as_i64()
}

/// The outcome of an event: its first one, or what comes of it now.
fn outcome_of(
    office: &Office,
    permit: &Permit<WorkOrders>,
    row: &TabletEventRow,
) -> Result<(Outcome, Why)> {
    if let (Some(outcome), Some(answer)) = (row.outcome, &row.why) {
        let why = serde_json::from_str(answer)
            .map_err(|e| store::Error::Unreadable(format!("a tablet event's answer: {e}")))?;
        return Ok((outcome, why));
    }
    let (outcome, why) = take(office, permit, row)?;
    let answer = store::columns::json(&why)?;
    office.db.write(permit, |tx| {
        tablet_answer_add(tx, permit, row.id, outcome, &answer)
    })?;
    Ok((outcome, why))
}

/// Does what the event tells. An error is one of the service's own: the event is sent again.
fn take(
    office: &Office,
    permit: &Permit<WorkOrders>,
    row: &TabletEventRow,
) -> Result<(Outcome, Why)> {
    let told: Value = serde_json::from_str(&row.told)
        .map_err(|e| store::Error::Unreadable(format!("a tablet event: {e}")))?;
    let by = Told {
        at: row.happened_at,
        off: TimeDelta::milliseconds(row.clock_off_ms),
        person_id: row.person_id,
        crew_id: row.crew_id,
    };
    let happening = match Happening::read(&told, &by) {
        Ok(happening) => happening,
        Err(fault) => return Ok((Outcome::Refused, Why::of(vec![*fault]))),
    };
    match happening.take(office, permit, row.client_key.clone()) {
        Ok(()) => Ok((Outcome::Taken, Why::default())),
        Err(Error::Refused(faults)) => Ok((Outcome::Refused, Why::of(faults))),
        Err(why @ Error::State(..)) => {
            let outcome = late::outcome(office, permit, row, &happening, &told)?;
            Ok((outcome, Why::told(&why)))
        }
        Err(why @ (Error::NotFound(_) | Error::NotAllowed(_) | Error::KeyReused)) => {
            Ok((Outcome::Refused, Why::told(&why)))
        }
        // The database is away, or the service is at its limit: all of it is sent again.
        Err(why @ (Error::Failed(store::Error::Unreachable(_)) | Error::Busy(..))) => Err(why),
        // One event that the service cannot bear must not hold up what was told after it.
        Err(why) => {
            tracing::error!(error = %why, key = row.client_key, "a tablet's event could not be taken");
            Ok((Outcome::Refused, Why::of_the_office()))
        }
    }
}

impl Why {
    fn of(faults: Vec<FieldFault>) -> Self {
        Self {
            errors: faults,
            ..Self::default()
        }
    }

    fn told(why: &Error) -> Self {
        let code = match why {
            Error::State(_, code) => code.as_ref(),
            _ => None,
        };
        Self {
            code: code.map(|code| code.word.to_owned()),
            values: code.map(|code| code.values.clone()).unwrap_or_default(),
            detail: Some(why.to_string()),
            errors: Vec::new(),
        }
    }

    fn of_the_office() -> Self {
        Self {
            code: Some("office".into()),
            detail: Some("the office could not take this: it is kept; send it again later".into()),
            ..Self::default()
        }
    }
}

fn stands(
    office: &Office,
    scope: &Scope,
    ids: impl Iterator<Item = i64>,
) -> Result<HashMap<i64, OrderStands>> {
    let ids: Vec<i64> = ids.collect();
    let orders: Vec<OrderRow> = office.db.read(|conn| orders_by_id(conn, scope, &ids))?;
    let stands = orders.into_iter().map(|order| {
        let stands = OrderStands {
            id: order.id,
            state: order.state,
            version: order.version,
        };
        (order.id, stands)
    });
    Ok(stands.collect())
}
