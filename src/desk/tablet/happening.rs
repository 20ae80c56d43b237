//! What a tablet tells, one kind a row, and the use case that each goes to.

use chrono::TimeDelta;
use serde::Deserialize;
use serde::de::DeserializeOwned;
use serde_json::{Map, Value, json};

use crate::desk::access::{
    ChangeShift, CheckTool, HoldCourt, Permission, Permit, TellAlone, TellAttendance, TellDefect,
    TellIncident, TellStop, WorkOrders,
};
use crate::desk::alone::{AloneTold, SignTold, alone_check_in, alone_end, alone_start};
use crate::desk::attendance::{AttendanceTold, ShiftChangeTold, attendance_tell, shift_change};
use crate::desk::defects::{DefectTold, defect_add};
use crate::desk::holds::{HoldTold, court_hold};
use crate::desk::incidents::{IncidentTold, incident_tell};
use crate::desk::orders::told::{
    FinishOrder, HandOver, LeaveUndone, NoteTold, StartOrder, TakeBack, TimeTold,
};
use crate::desk::orders::{
    order_finish, order_hand_over, order_leave_undone, order_note, order_start, order_take_back,
};
use crate::desk::stops::{StopTold, stop_tell};
use crate::desk::tool_checks::{ToolCheckTold, tool_check};
use crate::desk::{FieldFault, Office, Result};
use crate::store::Instant;
use crate::store::orders::OrderEvent;
use crate::store::stops::StopKind;

/// Something that happened on the courts. The number first is the order, court or shift it is about.
#[derive(Clone, Debug)]
pub enum Happening {
    /// An order is begun.
    Start(i64, StartOrder),
    /// An order is given back done.
    Finish(i64, FinishOrder),
    /// An order is given back not done.
    LeaveUndone(i64, LeaveUndone),
    /// A closing is taken back.
    TakeBack(i64, TakeBack),
    /// An order goes to another crew.
    HandOver(i64, HandOver),
    /// Something is said of an order.
    Note(i64, NoteTold),
    /// A court is held.
    Hold(i64, HoldTold),
    /// Something is wrong with a court.
    Defect(i64, DefectTold),
    /// Somebody was hurt, or nearly.
    Incident(IncidentTold),
    /// Somebody begins to work alone, under the watch's key.
    AloneBegun(String, AloneTold),
    /// They are well.
    AloneWell(String, SignTold),
    /// They work alone no more.
    AloneEnded(String, SignTold),
    /// Somebody comes, takes a break, goes.
    Attendance(AttendanceTold),
    /// Somebody joins a crew's shift, or leaves it.
    CrewChange(i64, ShiftChangeTold),
    /// Tools or a court's parts were looked at.
    ToolCheck(ToolCheckTold),
    /// Thunder was heard, or lightning seen.
    Lightning(StopTold),
}

/// Who told it, when, and how wrong their clock was.
#[derive(Clone, Copy, Debug)]
pub struct Told {
    /// When it happened, by the office's clock.
    pub at: Instant,
    /// How far the tablet's clock was behind that.
    pub off: TimeDelta,
    /// Who held the tablet.
    pub person_id: Option<i64>,
    /// The crew whose tablet it was.
    pub crew_id: Option<i64>,
}

/// Boxed, since it is seldom and large.
type Fields<T> = std::result::Result<T, Box<FieldFault>>;

/// The fields of a happening, as a tablet sent them.
struct Sent(Map<String, Value>);

impl Sent {
    /// A field of the happening itself.
    fn take<T: DeserializeOwned>(&mut self, name: &str) -> Fields<T> {
        let value = self.0.remove(name).unwrap_or(Value::Null);
        serde_json::from_value(value).map_err(|why| fault(name, &why))
    }

    /// A field goes by another name at the use case: `kind` is the happening's own.
    fn rename(mut self, from: &str, to: &str) -> Self {
        if let Some(value) = self.0.remove(from) {
            self.0.insert(to.into(), value);
        }
        self
    }

    /// A field of the event is one of the use case's.
    fn with(mut self, name: &str, value: Option<i64>) -> Self {
        self.0.insert(name.into(), json!(value));
        self
    }

    /// What is left, as what a use case is told. Its own check of unknown fields refuses what no field takes.
    fn rest<T: DeserializeOwned>(self) -> Fields<T> {
        serde_path_to_error::deserialize(Value::Object(self.0))
            .map_err(|why| fault(&why.path().to_string().replace('.', "/"), why.inner()))
    }
}

fn fault(name: &str, why: &serde_json::Error) -> Box<FieldFault> {
    Box::new(FieldFault::new(
        format!("/happening/{name}"),
        why.to_string(),
    ))
}

impl Happening {
    /// Reads a happening as a tablet sent it, with every time in it put right. The fault names the field.
    pub fn read(happening: &Value, told: &Told) -> Fields<Self> {
        let fields = happening.as_object().cloned().ok_or_else(|| {
            let mend = "send an object with the `kind` of happening";
            Box::new(FieldFault::new("/happening", mend))
        })?;
        let mut sent = Sent(fields);
        let kind: String = sent.take("kind")?;
        sent.0.insert("happened_at".into(), json!(told.at));
        let mut happening = match kind.as_str() {
            "start" => Self::Start(sent.take("order_id")?, sent.rest()?),
            "finish" => Self::Finish(sent.take("order_id")?, sent.rest()?),
            "leave_undone" => Self::LeaveUndone(sent.take("order_id")?, sent.rest()?),
            "take_back" => Self::TakeBack(sent.take("order_id")?, sent.rest()?),
            "hand_over" => Self::HandOver(sent.take("order_id")?, sent.rest()?),
            "note" => {
                let order = sent.take("order_id")?;
                Self::Note(order, sent.with("person_id", told.person_id).rest()?)
            }
            "hold" => Self::Hold(sent.take("court_id")?, sent.rest()?),
            "defect" => {
                let court = sent.take("court_id")?;
                let sent = sent.rename("defect", "kind");
                Self::Defect(court, sent.with("person_id", told.person_id).rest()?)
            }
            "incident" => {
                let sent = sent.rename("incident", "kind");
                Self::Incident(sent.with("person_id", told.person_id).rest()?)
            }
            "alone" => Self::alone(sent, told)?,
            "attendance" => {
                let sent = sent.rename("event", "kind");
                Self::Attendance(sent.with("crew_id", told.crew_id).rest()?)
            }
            "crew_change" => Self::CrewChange(sent.take("shift_id")?, sent.rest()?),
            "tool_check" => Self::ToolCheck(sent.with("person_id", told.person_id).rest()?),
            "lightning" => {
                let Nothing { happened_at } = sent.rest()?;
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
                return Err(Box::new(fault.coded("old_page")));
            }
        };
        happening.put_right(told.off);
        Ok(happening)
    }

    fn alone(mut sent: Sent, told: &Told) -> Fields<Self> {
        let watch: uuid::Uuid = sent.take("watch")?;
        let watch = watch.to_string();
        let event: String = sent.take("event")?;
        Ok(match event.as_str() {
            "begun" => {
                let sent = sent.with("crew_id", told.crew_id);
                Self::AloneBegun(watch, sent.with("person_id", told.person_id).rest()?)
            }
            "well" | "ended" => {
                // Where they are now is told with every sign; a watch is of the court where it began.
                sent.0.remove("court_id");
                if event == "well" {
                    Self::AloneWell(watch, sent.rest()?)
                } else {
                    Self::AloneEnded(watch, sent.rest()?)
                }
            }
            _ => {
                let mend = "give `begun`, `well` or `ended`";
                return Err(Box::new(FieldFault::new("/happening/event", mend)));
            }
        })
    }

    /// What it is to the order that it is about.
    pub const fn event_of_order(&self) -> Option<OrderEvent> {
        match self {
            Self::Start(..) => Some(OrderEvent::Started),
            Self::Finish(..) => Some(OrderEvent::Finished),
            Self::LeaveUndone(..) => Some(OrderEvent::LeftUndone),
            Self::TakeBack(..) => Some(OrderEvent::TakenBack),
            Self::HandOver(..) => Some(OrderEvent::HandedOver),
            _ => None,
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
    pub fn take(&self, office: &Office, permit: &Permit<WorkOrders>, key: String) -> Result<()> {
        match self {
            Self::Start(order, told) => order_start(office, permit, *order, key, told).map(drop),
            Self::Finish(order, told) => order_finish(office, permit, *order, key, told).map(drop),
            Self::LeaveUndone(order, told) => {
                order_leave_undone(office, permit, *order, key, told).map(drop)
            }
            Self::TakeBack(order, told) => {
                order_take_back(office, permit, *order, key, told).map(drop)
            }
            Self::HandOver(order, told) => {
                order_hand_over(office, permit, *order, key, told).map(drop)
            }
            Self::Note(order, told) => order_note(office, permit, *order, key, told).map(drop),
            Self::Hold(court, told) => {
                court_hold(office, &may::<HoldCourt>(permit)?, *court, key, told).map(drop)
            }
            Self::Defect(court, told) => {
                defect_add(office, &may::<TellDefect>(permit)?, *court, key, told).map(drop)
            }
            Self::Incident(told) => {
                incident_tell(office, &may::<TellIncident>(permit)?, key, told).map(drop)
            }
            // What is told of a watch later names it by this key.
            Self::AloneBegun(watch, told) => {
                let permit = may::<TellAlone>(permit)?;
                alone_start(office, &permit, watch.clone(), told).map(drop)
            }
            Self::AloneWell(watch, told) => {
                alone_check_in(office, &may::<TellAlone>(permit)?, watch, key, told).map(drop)
            }
            Self::AloneEnded(watch, told) => {
                alone_end(office, &may::<TellAlone>(permit)?, watch, key, told).map(drop)
            }
            Self::Attendance(told) => {
                attendance_tell(office, &may::<TellAttendance>(permit)?, key, told).map(drop)
            }
            Self::CrewChange(shift, told) => {
                shift_change(office, &may::<ChangeShift>(permit)?, *shift, key, told).map(drop)
            }
            Self::ToolCheck(told) => {
                tool_check(office, &may::<CheckTool>(permit)?, key, told).map(drop)
            }
            Self::Lightning(told) => {
                stop_tell(office, &may::<TellStop>(permit)?, key, told).map(drop)
            }
        }
    }
}

/// Whoever works on orders may not do all that a tablet tells.
fn may<P: Permission>(permit: &Permit<WorkOrders>) -> Result<Permit<P>> {
    Permit::of((**permit).clone())
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
