//! How much parts were used, what was measured on them and which readings count, what they cost, and how new ones come.

/// The parts of a site that were fitted on a date, to be filtered on: of that day a part was changed on, the new one.
macro_rules! fitted_on {
    ($scope:expr, $on:expr) => {{
        let newer = diesel::alias!(wear_parts as newer);
        let replaced = newer
            .filter(newer.field(wear_parts::site_id).eq($scope.site_id()))
            .filter(
                newer
                    .field(wear_parts::follows_id)
                    .eq(wear_parts::id.nullable()),
            )
            .filter(newer.field(wear_parts::fitted_on).le($on));
        wear_parts::table
            .filter(
                wear_parts::site_id
                    .eq($scope.site_id())
                    .and(wear_parts::fitted_on.le($on)),
            )
            .filter(
                wear_parts::retired_on
                    .is_null()
                    .or(wear_parts::retired_on.ge($on)),
            )
            .filter(diesel::dsl::not(diesel::dsl::exists(replaced)))
    }};
}

mod carried;
mod lengths;
mod readings;
mod supplies;
mod uses;

pub use carried::{
    CarriedPart, NewPart, PartBooked, PartLife, Served, carried_keep, carried_on, carried_read,
    part_add, part_after, part_last_told, part_lives, part_take_off, parts_of_tool, served_by,
    tool_retire, tool_uses_of, used_on_order,
};
pub use lengths::{PartAndLength, parts_and_lengths};
pub use readings::{
    Doubted, DoubtedReading, Measured, NewReading, NewVerdict, ReadingState, ReadingVerdict,
    doubted_of, doubted_readings, measured, reading_add, reading_decide,
};
pub use supplies::{
    PartSupply, PartSupplyRow, part_supply_add, part_supply_list, part_supply_of, part_supply_read,
    part_supply_set,
};
pub use uses::{
    Counted, MeasuredPart, NewPartUse, PartUseRow, TIGHTENED, ToolPlanned, ToolTaken,
    measured_parts, part_use_list, part_use_newest, part_used, part_uses_add, part_uses_lay,
    part_uses_reverse, part_uses_since, parts_counted, tightenings_of, tightenings_until,
    tools_planned, tools_taken, used_by_day, used_until,
};
