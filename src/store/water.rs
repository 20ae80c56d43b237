//! Water: valves, the rules it runs by, what is a court's own of it, and the runs.

mod court_waters;
mod needs;
mod rules;
mod runs;
mod valves;

pub use court_waters::{
    CourtWaterRow, Finding, LevelRow, NewLevel, court_water_list, court_water_put, findings_since,
    level_add, level_list, level_read,
};
pub use needs::{NeedRow, NewNeed, needs_add, needs_of};
pub use rules::{
    NewRule, RuleKind, RuleRow, rule_add, rule_change, rule_list, rule_list_all, rule_read,
    rule_remove,
};
pub use runs::{
    RunRow, SumOfCourt, Told, ToldBy, again_add, run_read, runs_beside, runs_of_plan, runs_to_book,
    runs_withdraw, site_has_to_book, soak_move, soak_withdraw, told_set, visits_between,
    water_booked, water_sums,
};
pub use valves::{
    NewValve, Opened, ValveRow, valve_add, valve_change, valve_court_list, valve_courts_set,
    valve_list, valve_list_all, valve_read, valve_retire,
};
