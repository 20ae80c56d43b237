//! How tools wear: what their parts were used, what was measured on them, and when they will be worn out.

mod drawn;
mod forecast;
mod known;
mod readings;
mod used;

pub use forecast::{Point, WearDay, WearNow, WearView, WearWhole, wear_now, wear_whole};
pub use readings::{VerdictTold, part_of_reading, reading_judge};
pub use used::{UseTold, part_use_list, part_use_tell};

pub(super) use drawn::gives_out_next;
pub(super) use readings::{Measure, keep};
pub(super) use used::{book, lay};
