//! How tools wear: what their parts were used, what was measured on them, when they will be worn out, what they cost, and how
//! new ones come.

mod change;
mod drawn;
mod expected;
mod forecast;
mod known;
mod outlook;
mod parts;
mod readings;
mod supplies;
mod used;

pub use change::{PartChangeTold, PartChanged, ToolRetireTold, part_change, tool_retired};
pub use forecast::{Point, WearDay, WearNow, WearView, WearWhole, wear_now, wear_whole};
pub use outlook::{
    ClassLife, PartChance, SeasonClass, SeasonMonth, ShareOfTool, SpareOrderView, SpareView,
    SupplierList, WearOutlook, wear_outlook,
};
pub use parts::{PartByEye, PartSeen, part_seen, parts_by_eye};
pub use readings::{VerdictTold, part_of_reading, reading_judge};
pub use supplies::{
    PartSupplyEdit, PartSupplyTold, part_supply_edit, part_supply_list, part_supply_read,
    part_supply_tell,
};
pub use used::{UseTold, part_use_list, part_use_tell};

pub(super) use drawn::gives_out_next;
pub(super) use outlook::shares_of;
pub(super) use readings::{Measure, keep};
pub(super) use used::{book, lay, no_use};
