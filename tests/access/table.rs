//! What each operation answers to whom. A new endpoint is a new row; its body is the least that
//! reads (`$email`, `$password` and `$refresh` stand for an account's own, `$anybody` for a name that
//! is new each time).

use super::personas::Persona;

/// One operation.
#[derive(Debug)]
pub struct Row {
    /// Its name in the OpenAPI document.
    pub operation: &'static str,
    statuses: [u16; 12],
    /// What is sent.
    pub body: &'static str,
}

impl Row {
    /// What this persona gets.
    pub const fn status(&self, persona: Persona) -> u16 {
        self.statuses[persona as usize]
    }
}

const fn row(operation: &'static str, statuses: [u16; 12], body: &'static str) -> Row {
    Row {
        operation,
        statuses,
        body,
    }
}

#[rustfmt::skip]
pub const TABLE: &[Row] = &[
    //                                                    un-    mana-  crew   crew   fi-    front  dep-          other  switched
    //                                                    signed ger    lead   member nance  desk   uty    owner  site   off    device key
    row("post_sign_in",                                   [200,   200,   200,   200,   200,   200,   200,   200,   200,   200,   200,   200], SIGN_IN),
    row("post_refresh",                                   [200,   200,   200,   200,   200,   200,   200,   200,   200,   200,   200,   200], REFRESH),
    row("post_sign_out",                                  [204,   204,   204,   204,   204,   204,   204,   204,   204,   204,   204,   204], REFRESH),
    row("post_sign_out_everywhere",                       [401,   204,   204,   204,   204,   204,   204,   204,   204,   401,   403,   403], ""),

    row("post_pair",                                      [422,   422,   422,   422,   422,   422,   422,   422,   422,   422,   422,   422], PAIRING),
    // The same answer whether there is such an account or not.
    row("post_new_password",                              [202,   202,   202,   202,   202,   202,   202,   202,   202,   202,   202,   202], FORGOTTEN),
    row("post_password_by_secret",                        [422,   422,   422,   422,   422,   422,   422,   422,   422,   422,   422,   422], BY_SECRET),
    // There is an owner.
    row("post_first_owner",                               [409,   409,   409,   409,   409,   409,   409,   409,   409,   409,   409,   409], FIRST_OWNER),
    row("get_me",                                         [401,   200,   200,   200,   200,   200,   200,   200,   200,   401,   403,   403], ""),
    row("post_me_password",                               [401,   422,   422,   422,   422,   422,   422,   422,   422,   401,   403,   403], PASSWORD),
    row("get_me_sign_ins",                                [401,   200,   200,   200,   200,   200,   200,   200,   200,   401,   403,   403], ""),
    row("post_me_sign_ins_by_sign_in_id_end",             [401,   422,   422,   422,   422,   422,   422,   422,   422,   401,   403,   403], AGAIN),
    row("post_me_second_factor",                          [401,   422,   422,   422,   422,   422,   422,   422,   422,   401,   403,   403], AGAIN),
    row("post_me_second_factor_confirm",                  [401,   409,   409,   409,   409,   409,   409,   409,   409,   401,   403,   403], CODE),
    row("post_me_second_factor_remove",                   [401,   422,   422,   422,   422,   422,   422,   422,   422,   401,   403,   403], REMOVAL),

    row("get_installation_backup_standing",               [401,   403,   403,   403,   403,   403,   403,   200,   403,   401,   403,   403], ""),
    row("get_installation_backups",                       [401,   403,   403,   403,   403,   403,   403,   200,   403,   401,   403,   403], ""),
    // No folder is set.
    row("post_installation_backups",                      [401,   403,   403,   403,   403,   403,   403,   409,   403,   401,   403,   403], ""),

    row("get_sites",                                      [401,   200,   200,   200,   200,   200,   200,   200,   200,   401,   200,   403], ""),
    row("get_sites_by_site_id",                           [401,   200,   200,   200,   200,   200,   200,   200,   404,   401,   200,   403], ""),
    row("patch_sites_by_site_id",                         [401,   200,   403,   403,   403,   403,   403,   200,   404,   401,   403,   403], SITE),
    row("get_sites_settings",                             [401,   200,   200,   200,   200,   200,   200,   200,   404,   401,   200,   403], ""),
    row("patch_sites_settings",                           [401,   200,   403,   403,   403,   403,   403,   200,   404,   401,   403,   403], SETTINGS),
    row("get_sites_audit_events",                         [401,   200,   403,   403,   403,   403,   403,   200,   404,   401,   403,   403], ""),
    row("get_sites_users",                                [401,   200,   403,   403,   403,   403,   403,   200,   404,   401,   403,   403], ""),
    row("post_sites_users",                               [401,   201,   403,   403,   403,   403,   403,   409,   404,   401,   403,   403], MEMBER),
    row("get_sites_users_by_user_id",                     [401,   200,   403,   403,   403,   403,   403,   200,   404,   401,   403,   403], ""),
    row("patch_sites_users_by_user_id",                   [401,   200,   403,   403,   403,   403,   403,   200,   404,   401,   403,   403], ROLES),
    // They have set a password.
    row("post_sites_users_by_user_id_invitation",         [401,   409,   403,   403,   403,   403,   403,   409,   404,   401,   403,   403], ""),
    // The site would have no manager.
    row("delete_sites_users_by_user_id",                  [401,   409,   403,   403,   403,   403,   403,   409,   404,   401,   403,   403], ""),
    row("get_sites_devices",                              [401,   200,   200,   403,   403,   403,   403,   200,   404,   401,   403,   403], ""),
    row("post_sites_devices",                             [401,   201,   201,   403,   403,   403,   403,   201,   404,   401,   403,   403], DEVICE),
    row("post_sites_devices_by_device_id_code",           [401,   409,   409,   403,   403,   403,   403,   409,   404,   401,   403,   403], ""),
    row("delete_sites_devices_by_device_id",              [401,   204,   403,   403,   403,   403,   403,   409,   404,   401,   403,   403], ""),
    row("get_sites_api_keys",                             [401,   200,   403,   403,   200,   403,   403,   200,   404,   401,   403,   403], ""),
    row("post_sites_api_keys",                            [401,   201,   403,   403,   201,   403,   403,   201,   404,   401,   403,   403], KEY),
    row("post_sites_api_keys_by_key_id_extend",           [401,   200,   403,   403,   404,   403,   403,   404,   404,   401,   403,   403], ""),
    row("delete_sites_api_keys_by_key_id",                [401,   204,   403,   403,   404,   403,   403,   404,   404,   401,   403,   403], ""),
    row("get_sites_banks",                                [401,   200,   200,   200,   200,   200,   200,   200,   404,   401,   200,   403], ""),
    row("get_sites_courts",                               [401,   200,   200,   200,   200,   200,   200,   200,   404,   401,   200,   403], ""),
    row("get_sites_courts_by_court_id",                   [401,   200,   200,   200,   200,   200,   200,   200,   404,   401,   200,   403], ""),
    row("get_sites_site_words",                           [401,   200,   200,   200,   200,   200,   200,   200,   404,   401,   200,   403], ""),
    // What the manager has added is there already; then it is gone.
    row("post_sites_site_words",                          [401,   201,   403,   403,   403,   403,   403,   409,   404,   401,   403,   403], WORD),
    row("get_sites_site_words_by_site_word_id",           [401,   200,   200,   200,   200,   200,   200,   200,   404,   401,   200,   403], ""),
    row("patch_sites_site_words_by_site_word_id",         [401,   200,   403,   403,   403,   403,   403,   200,   404,   401,   403,   403], WORD_EDIT),
    row("delete_sites_site_words_by_site_word_id",        [401,   204,   403,   403,   403,   403,   403,   404,   404,   401,   403,   403], ""),

    row("get_sites_calendars",                            [401,   200,   200,   403,   403,   200,   403,   200,   404,   401,   403,   403], ""),
    row("get_sites_calendars_by_calendar_id",             [401,   200,   200,   403,   403,   200,   403,   200,   404,   401,   403,   403], ""),
    row("post_sites_calendars",                           [401,   201,   403,   403,   403,   403,   403,   409,   404,   401,   403,   403], CALENDAR),
    row("patch_sites_calendars_by_calendar_id",           [401,   200,   403,   403,   403,   403,   403,   200,   404,   401,   403,   403], CALENDAR),
    // By then the calendar is removed.
    row("post_sites_calendars_by_calendar_id_import",     [401,   404,   403,   403,   403,   403,   403,   404,   404,   401,   403,   403], CALENDAR_FILE),
    row("delete_sites_calendars_by_calendar_id",          [401,   204,   403,   403,   403,   403,   403,   404,   404,   401,   403,   403], ""),
    row("get_sites_calendar_changes",                     [401,   200,   200,   403,   403,   200,   403,   200,   404,   401,   403,   403], ""),
    // Nothing waits.
    row("post_sites_calendar_changes_by_change_id_accept", [401,  404,   403,   403,   403,   403,   403,   404,   404,   401,   403,   403], ""),
    row("post_sites_calendar_changes_by_change_id_refuse", [401,  404,   403,   403,   403,   403,   403,   404,   404,   401,   403,   403], ""),
    row("patch_sites_courts_by_court_id",                 [401,   200,   403,   403,   403,   403,   403,   200,   404,   401,   403,   403], COURT),
    row("get_sites_treatments",                           [401,   200,   200,   200,   200,   403,   403,   200,   404,   401,   200,   403], ""),
    row("get_sites_play_sessions",                        [401,   200,   200,   200,   403,   200,   200,   200,   404,   401,   200,   403], ""),
    // On no court at all, so that nothing is added here. The first session is called off by whoever comes first, and
    // then neither over nor called off again.
    row("post_sites_play_sessions",                       [401,   422,   403,   403,   403,   403,   403,   422,   404,   401,   403,   403], SESSIONS),
    row("get_sites_play_sessions_by_session_id",          [401,   200,   200,   200,   403,   200,   200,   200,   404,   401,   200,   403], ""),
    row("patch_sites_play_sessions_by_session_id",        [401,   422,   403,   403,   403,   403,   403,   422,   404,   401,   403,   403], SESSION),
    row("post_sites_play_sessions_by_session_id_over",    [401,   409,   409,   403,   403,   409,   403,   409,   404,   401,   409,   403], START),
    row("post_sites_play_sessions_by_session_id_cancel",  [401,   200,   403,   403,   403,   403,   403,   409,   404,   401,   403,   403], ""),
    row("get_sites_closures",                             [401,   200,   200,   200,   403,   200,   200,   200,   404,   401,   200,   403], ""),
    row("post_sites_closures",                            [401,   422,   403,   403,   403,   403,   403,   422,   404,   401,   403,   403], CLOSURES),
    row("post_sites_closures_by_closure_id_cancel",       [401,   200,   403,   403,   403,   403,   403,   409,   404,   401,   403,   403], ""),
    row("get_sites_days_by_date_tournament",                      [401,   200,   200,   200,   403,   200,   200,   200,   404,   401,   200,   403], ""),
    row("post_sites_days_by_date_tournament",                     [401,   200,   403,   403,   403,   403,   403,   200,   404,   401,   403,   403], TOURNAMENT),
    row("get_sites_conditions",                           [401,   200,   200,   200,   200,   200,   200,   200,   404,   401,   200,   403], ""),
    row("get_sites_courts_by_court_id_inspections",       [401,   200,   200,   200,   200,   200,   200,   200,   404,   401,   200,   403], ""),
    row("post_sites_courts_by_court_id_inspections",      [401,   201,   201,   201,   403,   403,   403,   201,   404,   401,   201,   403], INSPECTION),
    row("get_sites_weather",                              [401,   200,   200,   200,   200,   200,   200,   200,   404,   401,   200,   403], ""),
    row("post_sites_weather",                             [401,   201,   201,   403,   403,   403,   403,   201,   404,   401,   201,   403], WEATHER),
    row("post_sites_weather_files",                       [401,   200,   200,   403,   403,   403,   403,   200,   404,   401,   200,   403], WEATHER_FILE),
    row("get_sites_heat",                                 [401,   200,   200,   200,   200,   200,   200,   200,   404,   401,   200,   403], ""),

    row("get_sites_crews",                                [401,   200,   200,   200,   200,   403,   403,   200,   404,   401,   200,   403], ""),
    row("get_sites_crews_by_crew_id",                     [401,   200,   200,   200,   200,   403,   403,   200,   404,   401,   200,   403], ""),
    row("get_sites_people",                               [401,   200,   200,   200,   200,   403,   403,   200,   404,   401,   200,   403], ""),
    row("get_sites_people_by_person_id",                  [401,   200,   200,   200,   200,   403,   403,   200,   404,   401,   200,   403], ""),
    row("patch_sites_people_by_person_id",                [401,   200,   403,   403,   403,   403,   403,   200,   404,   401,   403,   403], PERSON),
    row("get_sites_people_by_person_id_skills",           [401,   200,   200,   200,   200,   403,   403,   200,   404,   401,   200,   403], ""),
    row("put_sites_people_by_person_id_skills",           [401,   200,   403,   403,   403,   403,   403,   200,   404,   401,   403,   403], SKILLS),
    row("post_sites_people_by_person_id_export",          [401,   200,   403,   403,   403,   403,   403,   200,   404,   401,   403,   403], ""),
    // Under another name, so that nobody is erased here.
    row("post_sites_people_by_person_id_erase",           [401,   422,   403,   403,   403,   403,   403,   422,   404,   401,   403,   403], ERASURE),
    row("get_sites_shifts",                               [401,   200,   200,   200,   200,   403,   403,   200,   404,   401,   200,   403], ""),

    row("get_sites_care_tasks",                           [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    row("get_sites_care_tasks_by_care_task_id",           [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    row("patch_sites_care_tasks_by_care_task_id",         [401,   200,   403,   403,   403,   403,   403,   200,   404,   401,   403,   403], URGENCY),
    row("get_sites_care_standard",                        [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    // A standard of no tasks, and told of nothing: refused, so that nothing is changed here.
    row("post_sites_care_standard",                       [401,   422,   403,   403,   403,   403,   403,   422,   404,   401,   403,   403], STANDARD),
    // The site has a standard of its own.
    row("post_sites_care_standard_shipped",               [401,   409,   403,   403,   403,   403,   403,   409,   404,   401,   403,   403], BEGIN),
    row("get_sites_banks_by_bank_id_care_told",           [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    row("post_sites_care_told",                           [401,   422,   403,   403,   403,   403,   403,   422,   404,   401,   403,   403], TOLD),

    row("get_sites_tool_classes",                         [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    row("get_sites_tools",                                [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    row("get_sites_tools_by_tool_id",                     [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    row("get_sites_wear_parts",                           [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    row("get_sites_wear_parts_by_wear_part_id_readings",  [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    row("get_sites_wear",                                 [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    row("get_sites_nets",                                 [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    row("get_sites_wear_parts_by_wear_part_id_wear",      [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    row("get_sites_wear_parts_by_wear_part_id_uses",      [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    row("post_sites_wear_parts_by_wear_part_id_uses",     [401,   201,   201,   201,   403,   403,   403,   201,   404,   401,   201,   403], USED),
    // The reading counts already, and nothing is told of why it is wrong.
    row("post_sites_wear_parts_by_wear_part_id_change",   [401,   422,   422,   403,   403,   403,   403,   422,   404,   401,   403,   403], PART_CHANGE),
    row("post_sites_tools_by_tool_id_retire",             [401,   422,   422,   403,   403,   403,   403,   422,   404,   401,   403,   403], RETIRE),
    row("get_sites_wear_outlook",                         [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    row("get_sites_part_supplies",                        [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    row("post_sites_part_supplies",                       [401,   422,   403,   403,   403,   403,   403,   422,   404,   401,   403,   403], SUPPLY),
    row("get_sites_part_supplies_by_part_supply_id",      [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    row("patch_sites_part_supplies_by_part_supply_id",    [401,   200,   403,   403,   403,   403,   403,   200,   404,   401,   403,   403], SUPPLY_EDIT),
    row("post_sites_readings_by_reading_id_confirm",      [401,   409,   409,   403,   403,   403,   403,   409,   404,   401,   403,   403], VERDICT),
    row("post_sites_readings_by_reading_id_strike",       [401,   422,   422,   403,   403,   403,   403,   422,   404,   401,   403,   403], VERDICT),
    row("get_sites_readings",                             [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),

    row("get_sites_materials",                            [401,   200,   200,   403,   200,   403,   403,   200,   404,   401,   403,   403], ""),
    row("get_sites_materials_by_material_id",             [401,   200,   200,   403,   200,   403,   403,   200,   404,   401,   403,   403], ""),
    row("patch_sites_materials_by_material_id",           [401,   200,   403,   403,   403,   403,   403,   200,   404,   401,   403,   403], MATERIAL),
    row("get_sites_stock_moves",                          [401,   200,   200,   403,   200,   403,   403,   200,   404,   401,   403,   403], ""),

    row("get_sites_days_by_date",                         [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    row("get_sites_days_by_date_rounds",                  [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    row("get_sites_days_by_date_changes",                 [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    row("post_sites_days_by_date_changes",                [401,   409,   403,   403,   403,   403,   403,   409,   404,   401,   403,   403], CHANGE),
    row("post_sites_days_by_date_replan",                 [401,   409,   403,   403,   403,   403,   403,   409,   404,   401,   403,   403], "{}"),
    row("get_sites_days_by_date_replans",                 [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    row("get_sites_days_by_date_due",                     [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    row("get_sites_look_ahead",                           [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    // Nothing is planned on the date: whoever may issue it hears of that.
    row("post_sites_days_by_date_issue",                  [401,   409,   403,   403,   403,   403,   403,   409,   404,   401,   403,   403], ""),
    row("get_sites_days_by_date_plan_runs",               [401,   200,   403,   403,   403,   403,   403,   200,   404,   401,   403,   403], ""),
    // A run of no seconds is refused, so that nothing is planned here.
    row("post_sites_days_by_date_plan_runs",              [401,   422,   403,   403,   403,   403,   403,   422,   404,   401,   403,   403], RUN),
    row("get_sites_plan_runs_by_run_id",                  [401,   200,   403,   403,   403,   403,   403,   200,   404,   401,   403,   403], ""),
    // The run's plan was taken: it can be neither stopped nor taken again.
    row("post_sites_plan_runs_by_run_id_stop",            [401,   409,   403,   403,   403,   403,   403,   409,   404,   401,   403,   403], ""),
    row("post_sites_plan_runs_by_run_id_take",            [401,   409,   403,   403,   403,   403,   403,   409,   404,   401,   403,   403], ""),

    row("get_sites_orders",                               [401,   200,   200,   200,   200,   403,   403,   200,   404,   401,   200,   403], ""),
    row("get_sites_orders_by_order_id",                   [401,   200,   200,   200,   200,   403,   403,   200,   404,   401,   200,   403], ""),
    row("get_sites_orders_by_order_id_events",            [401,   200,   200,   200,   200,   403,   403,   200,   404,   401,   200,   403], ""),
    // The order is planned and not issued: whoever may work on orders hears of its state.
    row("post_sites_orders_by_order_id_start",            [401,   409,   409,   409,   403,   403,   403,   409,   404,   401,   409,   403], START),
    row("post_sites_orders_by_order_id_finish",           [401,   409,   409,   409,   403,   403,   403,   409,   404,   401,   409,   403], FINISH),
    row("post_sites_orders_by_order_id_leave_undone",     [401,   409,   409,   409,   403,   403,   403,   409,   404,   401,   409,   403], LEAVE),

    // The order is of a plan, and not handed out.
    row("post_sites_orders_by_order_id_issue",            [401,   409,   403,   403,   403,   403,   403,   409,   404,   401,   403,   403], TO_CREW),
    row("post_sites_orders_by_order_id_withdraw",         [401,   409,   403,   403,   403,   403,   403,   409,   404,   401,   403,   403], START),
    row("post_sites_orders_by_order_id_hand_over",        [401,   409,   409,   409,   403,   403,   403,   409,   404,   401,   409,   403], TO_CREW),
    row("post_sites_orders_by_order_id_take_back",        [401,   409,   409,   409,   403,   403,   403,   409,   404,   401,   409,   403], START),
    row("post_sites_orders_by_order_id_finish_late",      [401,   409,   409,   409,   403,   403,   403,   409,   404,   401,   409,   403], FINISH),
    row("post_sites_orders_by_order_id_recheck",          [401,   409,   403,   403,   403,   403,   403,   409,   404,   401,   403,   403], RECHECK),
    row("post_sites_orders_by_order_id_notes",            [401,   201,   201,   201,   403,   403,   403,   201,   404,   401,   201,   403], NOTE),
    row("get_sites_order_notes",                          [401,   200,   200,   200,   200,   403,   403,   200,   404,   401,   200,   403], ""),
    // What the manager has seen is seen.
    row("post_sites_order_notes_by_note_id_seen",         [401,   200,   403,   403,   403,   403,   403,   409,   404,   401,   403,   403], ""),
    row("get_sites_defects",                              [401,   200,   200,   200,   200,   200,   200,   200,   404,   401,   200,   403], ""),
    row("get_sites_defects_by_defect_id",                 [401,   200,   200,   200,   200,   200,   200,   200,   404,   401,   200,   403], ""),
    row("post_sites_courts_by_court_id_defects",          [401,   201,   201,   201,   403,   201,   403,   201,   404,   401,   201,   403], DEFECT),
    // Nothing is planned.
    row("post_sites_defects_by_defect_id_mend",           [401,   409,   403,   403,   403,   403,   403,   409,   404,   401,   403,   403], ""),
    row("get_sites_stops",                                [401,   200,   200,   200,   200,   200,   200,   200,   404,   401,   200,   403], ""),
    row("post_sites_stops",                               [401,   200,   200,   200,   403,   200,   403,   200,   404,   401,   200,   403], STOP),
    // The lightning that was told goes on waiting, and is no heat stop.
    row("post_sites_stops_by_stop_id_release",            [401,   409,   409,   403,   403,   403,   403,   409,   404,   401,   403,   403], ""),
    row("post_sites_stops_by_stop_id_end",                [401,   409,   409,   409,   403,   409,   403,   409,   404,   401,   409,   403], ""),
    row("get_sites_tablet",                               [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    row("get_sites_tablet_events",                        [401,   200,   403,   403,   403,   403,   403,   200,   404,   401,   403,   403], ""),
    row("post_sites_tablet_events",                       [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], OUTBOX),
    row("get_sites_live",                                 [401,   200,   200,   200,   200,   200,   200,   200,   404,   401,   200,   403], ""),
    row("get_sites_holds",                                [401,   200,   200,   200,   200,   200,   200,   200,   404,   401,   200,   403], ""),
    row("post_sites_courts_by_court_id_holds",            [401,   200,   200,   200,   403,   200,   200,   200,   404,   401,   200,   403], HOLD),
    // What the manager has released cannot be released again.
    row("post_sites_holds_by_hold_id_release",            [401,   200,   403,   403,   403,   403,   409,   409,   404,   401,   403,   403], RELEASE),

    row("get_sites_costs",                                [401,   200,   403,   403,   200,   403,   403,   200,   404,   401,   403,   200], ""),
    row("get_sites_cost_lines",                           [401,   200,   403,   403,   200,   403,   403,   200,   404,   401,   403,   200], ""),
    row("get_sites_hours",                                [401,   200,   200,   403,   200,   403,   403,   200,   404,   401,   403,   403], ""),
    row("get_sites_pictures",                             [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    // JSON is no picture.
    row("post_sites_pictures",                            [401,   415,   415,   415,   403,   403,   403,   415,   404,   401,   415,   403], START),
    row("get_sites_pictures_by_picture_id",               [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    // What the manager has removed cannot be removed again, and has no content any more.
    row("delete_sites_pictures_by_picture_id",            [401,   204,   403,   403,   403,   403,   403,   409,   404,   401,   403,   403], ""),
    row("get_sites_pictures_by_picture_id_content",       [401,   404,   404,   404,   403,   403,   403,   404,   404,   401,   404,   403], ""),
    row("get_sites_pictures_by_picture_id_thumbnail",     [401,   404,   404,   404,   403,   403,   403,   404,   404,   401,   404,   403], ""),

    row("get_sites_week_reports_by_iso_week",             [401,   200,   403,   403,   200,   403,   403,   200,   404,   401,   403,   200], ""),
    row("post_sites_week_reports_by_iso_week_send",       [401,   202,   403,   403,   403,   403,   403,   202,   404,   401,   403,   403], ""),
    row("get_sites_report_subscribers",                   [401,   200,   403,   403,   403,   403,   403,   200,   404,   401,   403,   403], ""),
    row("get_sites_incidents",                            [401,   200,   403,   403,   403,   403,   403,   200,   404,   401,   403,   403], ""),
    row("post_sites_incidents",                           [401,   201,   201,   201,   403,   201,   403,   201,   404,   401,   201,   403], NEAR_MISS),
    // By then nobody is named any more.
    row("get_sites_incidents_by_incident_id",             [401,   403,   403,   403,   403,   403,   403,   403,   404,   401,   403,   403], ""),
    row("post_sites_incidents_by_incident_id_open",       [401,   200,   403,   403,   403,   403,   403,   200,   404,   401,   403,   403], ""),
    row("get_sites_incident_readers",                     [401,   200,   403,   403,   403,   403,   403,   200,   404,   401,   403,   403], ""),
    // Nobody of this id signs in to the site.
    row("post_sites_incident_readers",                    [401,   422,   403,   403,   403,   403,   403,   422,   404,   401,   403,   403], READER),
    // What the manager has taken off is gone for the owner.
    row("delete_sites_incident_readers_by_reader_id",     [401,   204,   403,   403,   403,   403,   403,   404,   404,   401,   403,   403], ""),

    row("get_sites_alone",                                [401,   200,   200,   403,   403,   403,   403,   200,   404,   401,   403,   403], ""),
    row("post_sites_alone",                               [401,   201,   201,   201,   403,   403,   403,   201,   404,   401,   201,   403], ALONE),
    row("post_sites_alone_by_key_check_in",               [401,   201,   201,   201,   403,   403,   403,   201,   404,   401,   201,   403], START),
    row("post_sites_alone_by_key_end",                    [401,   201,   201,   201,   403,   403,   403,   201,   404,   401,   201,   403], START),
    row("post_sites_attendance",                          [401,   201,   201,   201,   403,   403,   403,   201,   404,   401,   201,   403], CLOCK),
    row("get_sites_days_by_date_attendance",              [401,   200,   200,   403,   200,   403,   403,   200,   404,   401,   403,   403], ""),
    row("post_sites_shifts_by_shift_id_people",           [401,   201,   201,   403,   403,   403,   403,   201,   404,   401,   201,   403], JOIN),
    // Of no part at all, so that nothing is added here.
    row("post_sites_tool_checks",                         [401,   422,   422,   422,   403,   403,   403,   422,   404,   401,   422,   403], CHECK),
    // What the manager has done before cannot be done again.
    row("post_sites_report_subscribers",                  [401,   201,   403,   403,   403,   403,   403,   409,   404,   401,   403,   403], SUBSCRIBER),
    row("delete_sites_report_subscribers_by_subscriber_id", [401, 204,   403,   403,   403,   403,   403,   404,   404,   401,   403,   403], ""),

    row("get_sites_valves",                               [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    // A valve without flow, a rule without weekdays and a level above the box are refused.
    row("post_sites_valves",                              [401,   422,   403,   403,   403,   403,   403,   422,   404,   401,   403,   403], VALVE),
    row("get_sites_valves_by_valve_id",                   [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    row("patch_sites_valves_by_valve_id",                 [401,   422,   403,   403,   403,   403,   403,   422,   404,   401,   403,   403], VALVE),
    // What the manager has taken away is gone for the owner.
    row("delete_sites_valves_by_valve_id",                [401,   204,   403,   403,   403,   403,   403,   404,   404,   401,   403,   403], ""),
    row("get_sites_water_rules",                          [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    row("post_sites_water_rules",                         [401,   422,   403,   403,   403,   403,   403,   422,   404,   401,   403,   403], RULE),
    row("get_sites_water_rules_by_water_rule_id",         [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    row("patch_sites_water_rules_by_water_rule_id",       [401,   422,   403,   403,   403,   403,   403,   422,   404,   401,   403,   403], RULE),
    row("delete_sites_water_rules_by_water_rule_id",      [401,   204,   403,   403,   403,   403,   403,   404,   404,   401,   403,   403], ""),
    row("get_sites_courts_by_court_id_water",             [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    row("patch_sites_courts_by_court_id_water",           [401,   200,   403,   403,   403,   403,   403,   200,   404,   401,   403,   403], COURT_WATER),
    row("get_sites_level_readings",                       [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    row("post_sites_level_readings",                      [401,   422,   422,   403,   403,   403,   403,   422,   404,   401,   422,   403], LEVEL),
    row("get_sites_days_by_date_water",                   [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    row("get_sites_days_by_date_water_sheet",             [401,   200,   200,   200,   403,   403,   403,   200,   404,   401,   200,   403], ""),
    // No water was planned yet.
    row("post_sites_waterings_by_watering_id_told",       [401,   404,   404,   403,   403,   403,   403,   404,   404,   401,   404,   403], WATER_TOLD),
    row("get_sites_water_used",                           [401,   200,   403,   403,   200,   403,   403,   200,   404,   401,   403,   200], ""),
];

const PAIRING: &str = r#"{ "code": "0000-0000" }"#;
const FORGOTTEN: &str = r#"{ "email": "$anybody@example.org" }"#;
const BY_SECRET: &str = r#"{ "secret": "none", "password": "gravel heron tuesday" }"#;
const FIRST_OWNER: &str = r#"{ "token": "none", "name": "Sam Reed", "email": "sam@example.org", "password": "gravel heron tuesday" }"#;
const PASSWORD: &str = r#"{ "old_password": "none", "new_password": "short" }"#;
const AGAIN: &str = r#"{ "password": "none" }"#;
const CODE: &str = r#"{ "code": "none" }"#;
const REMOVAL: &str = r#"{ "password": "none", "code": "none" }"#;
const MEMBER: &str =
    r#"{ "name": "Sam Reed", "email": "sam@example.org", "roles": ["crew_lead"] }"#;
const ROLES: &str = r#"{ "roles": ["manager"] }"#;
const DEVICE: &str = r#"{ "name": "North crew's tablet" }"#;
const ERASURE: &str = r#"{ "name": "nobody of this name" }"#;
const KEY: &str = r#"{ "name": "Ledger", "sees": ["cost"], "days": 30 }"#;
const SIGN_IN: &str = r#"{ "email": "$email", "password": "$password" }"#;
const REFRESH: &str = r#"{ "refresh_token": "$refresh" }"#;
const COURT: &str = r#"{ "lines": "tape" }"#;
const MATERIAL: &str = r#"{ "label": { "sheet": "in the shed", "gear": ["gloves"] } }"#;
const PERSON: &str = r#"{ "came_on": "2026-01-05" }"#;
const SKILLS: &str = r#"{ "skills": [{ "skill": "roller", "until": "2031-12-31" }] }"#;
const SITE: &str = r#"{ "name": "Lower Meadow Courts", "units": "metric" }"#;
const SETTINGS: &str = r#"{ "soak_around": "12:15" }"#;
const INSPECTION: &str = r#"{ "moisture": "damp" }"#;
const WEATHER: &str = r#"{ "readings": [{ "read_at": "2026-01-05T12:00:00Z", "kind": "observed", "temp_mc": 12000 }] }"#;
const WEATHER_FILE: &str = r#"{ "csv": "at,temp_c\n2026-01-05T13:00:00Z,12.5\n" }"#;
const URGENCY: &str = r#"{ "urgency": "today" }"#;
const STANDARD: &str = r#"{ "tasks": [] }"#;
const BEGIN: &str = r#"{ "language": "en" }"#;
const TOLD: &str = r#"{ "told": [] }"#;
const RUN: &str = r#"{ "seconds": 0 }"#;
const SUBSCRIBER: &str = r#"{ "name": "Robin Vale", "email": "robin@example.org" }"#;
const CHANGE: &str = r#"{ "visit_key": "none", "kind": "drop" }"#;
const CALENDAR_FILE: &str = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nEND:VCALENDAR\r\n";
const CALENDAR: &str = r#"{ "name": "Lessons" }"#;
const STOP: &str = r#"{ "kind": "lightning" }"#;
const HOLD: &str = r#"{ "reason": "glass" }"#;
const RELEASE: &str = r#"{ "note": "swept up" }"#;
const OUTBOX: &str = r#"{ "sent_at": "2031-06-10T09:00:00Z", "events": [{ "key": "6b3f0c9e-0000-4000-8000-000000000001",
    "at": "2031-06-10T09:00:00Z", "happening": { "kind": "nothing" } }] }"#;
const NEAR_MISS: &str =
    r#"{ "kind": "near_miss", "what": "heat", "place": "shed", "anyone_hurt": "no" }"#;
const READER: &str = r#"{ "user_id": 999999 }"#;
const ALONE: &str = r#"{ "person_id": 1 }"#;
const CLOCK: &str = r#"{ "person_id": 1, "kind": "in" }"#;
const JOIN: &str = r#"{ "person_id": 1, "joins": true }"#;
const CHECK: &str = r#"{ "tool_id": 1 }"#;
const WORD: &str =
    r#"{ "language": "es", "subject_kind": "reason", "subject": "heat", "words": "calor" }"#;
const WORD_EDIT: &str = r#"{ "words": "mucho calor", "picture_id": null }"#;
const USED: &str = r#"{"metres":100}"#;
const VERDICT: &str = "{}";
const RETIRE: &str = r#"{ "on": "2001-01-01" }"#;
const PART_CHANGE: &str = r#"{ "why": "in_time" }"#;
const SUPPLY: &str = r#"{ "kind": "brush", "supply": { "supplier": "Parts by post", "lead_days": 10, "cover_days": 60 } }"#;
const SUPPLY_EDIT: &str = r#"{ "supplier": "Parts by post", "lead_days": 10, "cover_days": 60 }"#;
const TO_CREW: &str = r#"{ "crew_id": 1 }"#;
const RECHECK: &str = r#"{ "grade": "good" }"#;
const NOTE: &str = r#"{ "text": "the gate sticks" }"#;
const DEFECT: &str = r#"{ "kind": "hole" }"#;
const START: &str = "{}";
const FINISH: &str =
    r#"{ "fit": { "is": "yes" }, "steps_done": [], "people": [{ "person_id": 1, "minutes": 5 }] }"#;
const LEAVE: &str = r#"{ "reason": "court_in_play" }"#;
const SESSIONS: &str = r#"{ "court_ids": [], "play": { "name": "a", "turnaround": "full",
    "starts_at": "2031-06-10T12:00:00Z", "ends_at": "2031-06-10T13:00:00Z" } }"#;
const SESSION: &str = r#"{ "court_id": 1, "play": { "name": "", "turnaround": "full",
    "starts_at": "2031-06-10T12:00:00Z", "ends_at": "2031-06-10T13:00:00Z" } }"#;
const TOURNAMENT: &str = r#"{ "court_ids": [] }"#;
const CLOSURES: &str = r#"{ "court_ids": [], "reason": "rain",
    "starts_at": "2031-06-10T12:00:00Z", "ends_at": "2031-06-10T13:00:00Z" }"#;
const VALVE: &str = r#"{ "bank_id": 1, "name": "Spare", "opened": "controller", "flow_mlps": 0, "court_ids": [1] }"#;
const RULE: &str = r#"{ "name": "Quiet hours", "kind": "local_hours", "weekdays": [] }"#;
const COURT_WATER: &str = r#"{ "drain_s": 1800 }"#;
const LEVEL: &str = r#"{ "court_id": 1, "level_mm": 100000 }"#;
const WATER_TOLD: &str = r#"{ "ran": true, "told_by": "controller" }"#;
