//! The crew's tablet: its day, taken along where there is no signal, and what it sends back.

mod day;
mod happening;
mod late;
mod outbox;
mod sent;

pub use day::{
    CourtOfTablet, CrewOfTablet, MaterialOfTablet, PartOfTablet, PersonOfTablet, ShiftOfTablet,
    SiteOfTablet, TabletDay, ToolOfTablet, tablet_day,
};
pub use happening::Happening;
pub(in crate::desk) use late::{key_behind, late_key};
pub use outbox::{OutboxAnswer, OutboxEvent, OutboxTaken, OutboxTold, outbox_take};
pub(in crate::desk) use sent::sent_by;
pub use sent::{SentView, sent_list};
