//! What a tablet tells, one kind a row, and the use case that each goes to.

use chrono::TimeDelta;
use serde::Deserialize;
use serde::de::DeserializeOwned;
use serde_json::{Map, Value};

use crate::desk::access::{HoldCourt, Permit, TellStop, WorkOrders};
use crate::desk::holds::{HoldTold, court_hold};
use crate::desk::orders::told::{FinishOrder, LeaveUndone, StartOrder, TimeTold};
use crate::desk::orders::{order_finish, order_leave_undone, order_start};
use crate::desk::stops::{StopTold, stop_tell};
use crate::desk::{FieldFault, Office, Result};
use crate::store::Instant;
use crate::store::orders::OrderEvent;
use crate::store::stops::StopKind;

/// Something that happened on the courts.
#[derive(Clone, Debug)]
pub enum Happening {
    /// An order is begun.
    Start(i64, StartOrder),
    /// An order is given back done.
    Finish(i64, FinishOrder),
    /// An order is given back not done.
    LeaveUndone(i64, LeaveUndone),
    /// A court is held.
    Hold(i64, HoldTold),
    /// Thunder was heard, or lightning seen.
    Lightning(StopTold),
}

/// Fields of the happening itself, taken out before the rest is read as what its use case is told.
fn take<T: DeserializeOwned>(fields: &mut Map<String, Value>, name: &str) -> Fields<T> {
    let value = fields.remove(name).unwrap_or(Value::Null);
    serde_json::from_value(value).map_err(|why| fault(name, &why))
}

type Fields<T> = std::result::Result<T, FieldFault>;

fn fault(name: &str, why: &serde_json::Error) -> FieldFault {
    FieldFault::new(format!("/happening/{name}"), why.to_string())
}

/// What is left, as what a use case is told. Its own check of unknown fields refuses what no field takes.
fn rest<T: DeserializeOwned>(fields: Map<String, Value>) -> Fields<T> {
    serde_path_to_error::deserialize(Value::Object(fields))
        .map_err(|why| fault(&why.path().to_string().replace('.', "/"), why.inner()))
}

impl Happening {
    /// Reads a happening as a tablet sent it, with every time in it put right by `off`. The fault names the field.
    pub fn read(told: &Value, at: Instant, off: TimeDelta) -> Fields<Self> {
        let mut fields = told.as_object().cloned().ok_or_else(|| {
            FieldFault::new("/happening", "send an object with the `kind` of happening")
        })?;
        let kind: String = take(&mut fields, "kind")?;
        let happened = serde_json::to_value(at).unwrap_or(Value::Null);
        fields.insert("happened_at".into(), happened);
        let mut happening = match kind.as_str() {
            "start" => Self::Start(take(&mut fields, "order_id")?, rest(fields)?),
            "finish" => Self::Finish(take(&mut fields, "order_id")?, rest(fields)?),
            "leave_undone" => Self::LeaveUndone(take(&mut fields, "order_id")?, rest(fields)?),
            "hold" => Self::Hold(take(&mut fields, "court_id")?, rest(fields)?),
            "lightning" => {
                let Nothing { happened_at } = rest(fields)?;
                Self::Lightning(StopTold {
                    kind: StopKind::Lightning,
                    crew_id: None,
                    happened_at,
                })
            }
            other => {
                let mend = "is known: bring the tablet's page up to date";
                let fault = FieldFault::new(
                    "/happening/kind",
                    format!("nothing of the kind {other:?} {mend}"),
                );
                return Err(fault.coded("old_page"));
            }
        };
        happening.put_right(off);
        Ok(happening)
    }

    /// What it is to the order that it is about.
    pub const fn event_of_order(&self) -> Option<OrderEvent> {
        match self {
            Self::Start(..) => Some(OrderEvent::Started),
            Self::Finish(..) => Some(OrderEvent::Finished),
            Self::LeaveUndone(..) => Some(OrderEvent::LeftUndone),
            Self::Hold(..) | Self::Lightning(_) => None,
        }
    }

    /// Times that were read off the tablet's clock are wrong by as much as the clock is.
    fn put_right(&mut self, off: TimeDelta) {
        let people: &mut [TimeTold] = match self {
            Self::Finish(_, told) => {
                shift(&mut told.fit.until, off);
                &mut told.people
            }
            Self::LeaveUndone(_, told) => &mut told.people,
            _ => return,
        };
        for time in people {
            shift(&mut time.started_at, off);
            shift(&mut time.ended_at, off);
        }
    }

    /// Does it, under the client's own key.
    pub fn take(self, office: &Office, permit: &Permit<WorkOrders>, key: String) -> Result<()> {
        match self {
            Self::Start(order, told) => order_start(office, permit, order, key, &told).map(drop),
            Self::Finish(order, told) => order_finish(office, permit, order, key, &told).map(drop),
            Self::LeaveUndone(order, told) => {
                order_leave_undone(office, permit, order, key, &told).map(drop)
            }
            Self::Hold(court, told) => {
                let permit = Permit::<HoldCourt>::of((**permit).clone())?;
                court_hold(office, &permit, court, key, &told).map(drop)
            }
            Self::Lightning(told) => {
                let permit = Permit::<TellStop>::of((**permit).clone())?;
                stop_tell(office, &permit, key, &told).map(drop)
            }
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Nothing {
    happened_at: Option<Instant>,
}

fn shift(at: &mut Option<Instant>, off: TimeDelta) {
    if let Some(at) = at {
        let right = at.utc().checked_add_signed(off);
        *at = right.map_or(*at, Instant::from);
    }
}
