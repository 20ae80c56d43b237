//! What each operation answers to whom. A new endpoint is a new row; its body is the least that
//! reads (`$email`, `$password` and `$refresh` stand for an account's own).

use super::personas::Persona;

/// One operation.
#[derive(Debug)]
pub struct Row {
    /// Its name in the OpenAPI document.
    pub operation: &'static str,
    statuses: [u16; 9],
    /// What is sent.
    pub body: &'static str,
}

impl Row {
    /// What this persona gets.
    pub const fn status(&self, persona: Persona) -> u16 {
        self.statuses[persona as usize]
    }
}

const fn row(operation: &'static str, statuses: [u16; 9], body: &'static str) -> Row {
    Row {
        operation,
        statuses,
        body,
    }
}

#[rustfmt::skip]
pub const TABLE: &[Row] = &[
    //                                                    un-    mana-  crew   crew   fi-    front         other  switched
    //                                                    signed ger    lead   member nance  desk   owner  site   off
    row("post_sign_in",                                   [200,   200,   200,   200,   200,   200,   200,   200,   200], SIGN_IN),
    row("post_refresh",                                   [200,   200,   200,   200,   200,   200,   200,   200,   200], REFRESH),
    row("post_sign_out",                                  [204,   204,   204,   204,   204,   204,   204,   204,   204], REFRESH),

    row("get_sites",                                      [401,   200,   200,   200,   200,   200,   200,   200,   401], ""),
    row("get_sites_by_site_id",                           [401,   200,   200,   200,   200,   200,   200,   404,   404], ""),
    row("patch_sites_by_site_id",                         [401,   200,   403,   403,   403,   403,   200,   404,   404], SITE),
    row("get_sites_settings",                             [401,   200,   200,   200,   200,   200,   200,   404,   404], ""),
    row("patch_sites_settings",                           [401,   200,   403,   403,   403,   403,   200,   404,   404], SETTINGS),
    row("get_sites_banks",                                [401,   200,   200,   200,   200,   200,   200,   404,   404], ""),
    row("get_sites_courts",                               [401,   200,   200,   200,   200,   200,   200,   404,   404], ""),
    row("get_sites_courts_by_court_id",                   [401,   200,   200,   200,   200,   200,   200,   404,   404], ""),

    row("get_sites_crews",                                [401,   200,   200,   200,   200,   403,   200,   404,   404], ""),
    row("get_sites_crews_by_crew_id",                     [401,   200,   200,   200,   200,   403,   200,   404,   404], ""),
    row("get_sites_people",                               [401,   200,   200,   200,   200,   403,   200,   404,   404], ""),
    row("get_sites_people_by_person_id",                  [401,   200,   200,   200,   200,   403,   200,   404,   404], ""),
    row("get_sites_shifts",                               [401,   200,   200,   200,   200,   403,   200,   404,   404], ""),

    row("get_sites_tool_classes",                         [401,   200,   200,   200,   403,   403,   200,   404,   404], ""),
    row("get_sites_tools",                                [401,   200,   200,   200,   403,   403,   200,   404,   404], ""),
    row("get_sites_tools_by_tool_id",                     [401,   200,   200,   200,   403,   403,   200,   404,   404], ""),
    row("get_sites_wear_parts",                           [401,   200,   200,   200,   403,   403,   200,   404,   404], ""),
    row("get_sites_wear_parts_by_wear_part_id_readings",  [401,   200,   200,   200,   403,   403,   200,   404,   404], ""),
    row("get_sites_readings",                             [401,   200,   200,   200,   403,   403,   200,   404,   404], ""),

    row("get_sites_materials",                            [401,   200,   200,   403,   200,   403,   200,   404,   404], ""),
    row("get_sites_materials_by_material_id",             [401,   200,   200,   403,   200,   403,   200,   404,   404], ""),
    row("get_sites_stock_moves",                          [401,   200,   200,   403,   200,   403,   200,   404,   404], ""),

    row("get_sites_days_by_date",                         [401,   200,   200,   200,   403,   403,   200,   404,   404], ""),
    row("get_sites_days_by_date_rounds",                  [401,   200,   200,   200,   403,   403,   200,   404,   404], ""),
    row("get_sites_days_by_date_changes",                 [401,   200,   200,   200,   403,   403,   200,   404,   404], ""),
    row("post_sites_days_by_date_changes",                [401,   409,   403,   403,   403,   403,   409,   404,   404], CHANGE),
    row("get_sites_look_ahead",                           [401,   200,   200,   200,   403,   403,   200,   404,   404], ""),
    // Nothing is planned on the date: whoever may issue it hears of that.
    row("post_sites_days_by_date_issue",                  [401,   409,   403,   403,   403,   403,   409,   404,   404], ""),
    row("get_sites_days_by_date_plan_runs",               [401,   200,   403,   403,   403,   403,   200,   404,   404], ""),
    // A run of no seconds is refused, so that nothing is planned here.
    row("post_sites_days_by_date_plan_runs",              [401,   422,   403,   403,   403,   403,   422,   404,   404], RUN),
    row("get_sites_plan_runs_by_run_id",                  [401,   200,   403,   403,   403,   403,   200,   404,   404], ""),
    // The run's plan was taken: it can be neither stopped nor taken again.
    row("post_sites_plan_runs_by_run_id_stop",            [401,   409,   403,   403,   403,   403,   409,   404,   404], ""),
    row("post_sites_plan_runs_by_run_id_take",            [401,   409,   403,   403,   403,   403,   409,   404,   404], ""),

    row("get_sites_orders",                               [401,   200,   200,   200,   200,   403,   200,   404,   404], ""),
    row("get_sites_orders_by_order_id",                   [401,   200,   200,   200,   200,   403,   200,   404,   404], ""),
    // The order is planned and not issued: whoever may work on orders hears of its state.
    row("post_sites_orders_by_order_id_start",            [401,   409,   409,   409,   403,   403,   409,   404,   404], START),
    row("post_sites_orders_by_order_id_finish",           [401,   409,   409,   409,   403,   403,   409,   404,   404], FINISH),
    row("post_sites_orders_by_order_id_leave_undone",     [401,   409,   409,   409,   403,   403,   409,   404,   404], LEAVE),

    row("get_sites_costs",                                [401,   200,   403,   403,   200,   403,   200,   404,   404], ""),
    row("get_sites_cost_lines",                           [401,   200,   403,   403,   200,   403,   200,   404,   404], ""),
    row("get_sites_hours",                                [401,   200,   200,   403,   200,   403,   200,   404,   404], ""),

    row("get_sites_week_reports_by_iso_week",             [401,   200,   403,   403,   200,   403,   200,   404,   404], ""),
    row("post_sites_week_reports_by_iso_week_send",       [401,   202,   403,   403,   403,   403,   202,   404,   404], ""),
    row("get_sites_report_subscribers",                   [401,   200,   403,   403,   200,   403,   200,   404,   404], ""),
    // What the manager has done before cannot be done again.
    row("post_sites_report_subscribers",                  [401,   201,   403,   403,   403,   403,   409,   404,   404], SUBSCRIBER),
    row("delete_sites_report_subscribers_by_subscriber_id", [401, 204,   403,   403,   403,   403,   404,   404,   404], ""),
];

const SIGN_IN: &str = r#"{ "email": "$email", "password": "$password" }"#;
const REFRESH: &str = r#"{ "refresh_token": "$refresh" }"#;
const SITE: &str = r#"{ "name": "Lower Meadow Courts", "units": "metric" }"#;
const SETTINGS: &str = r#"{ "soak_around": "12:15" }"#;
const RUN: &str = r#"{ "seconds": 0 }"#;
const SUBSCRIBER: &str = r#"{ "name": "Robin Vale", "email": "robin@example.org" }"#;
const CHANGE: &str = r#"{ "visit_key": "none", "kind": "drop" }"#;
const START: &str = "{}";
const FINISH: &str =
    r#"{ "fit": { "is": "yes" }, "steps_done": [], "people": [{ "person_id": 1, "minutes": 5 }] }"#;
const LEAVE: &str = r#"{ "reason": "court_in_play" }"#;
