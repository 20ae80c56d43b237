//! How much parts were used, what was measured on them, and which readings count.

mod lengths;
mod readings;
mod uses;

pub use lengths::{PartAndLength, parts_and_lengths};
pub use readings::{
    Doubted, DoubtedReading, Measured, NewReading, NewVerdict, ReadingState, ReadingVerdict,
    doubted_of, doubted_readings, measured, reading_add, reading_decide,
};
pub use uses::{
    MeasuredPart, NewPartUse, PartUseRow, ToolTaken, measured_parts, part_use_list,
    part_use_newest, part_uses_add, part_uses_lay, part_uses_reverse, part_uses_since,
    parts_of_tools, tools_taken, used_until,
};
