//! The tables as the program sees them are the tables as they are.

use std::collections::BTreeMap;

use diesel::prelude::*;
use roundhand::store::{Error, schema};

use super::catalogue::{Column, db_catalogue, kind_of};
use crate::support::on_both_engines;

/// Every table of `schema.rs` by name, with its columns in order.
fn described() -> BTreeMap<String, Vec<Column>> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/src/store/schema.rs");
    let text = std::fs::read_to_string(path).expect("the schema is there");
    let mut tables = BTreeMap::new();
    for part in text.split("diesel::table! {").skip(1) {
        let mut lines = part.lines().map(str::trim).filter(|line| !line.is_empty());
        let head = lines.next().expect("a table has a name");
        let name = head.split(' ').next().expect("a name").to_owned();
        let columns = lines.take_while(|line| *line != "}").map(|line| {
            let (name, kind) = line.split_once(" -> ").expect("a column has a type");
            let kind = kind.trim_end_matches(',');
            let inner = kind
                .strip_prefix("Nullable<")
                .and_then(|k| k.strip_suffix('>'));
            Column {
                name: name.to_owned(),
                kind: match inner.unwrap_or(kind) {
                    "BigInt" => "BigInt",
                    "Text" => "Text",
                    "Bool" => "Bool",
                    "Date" => "Date",
                    "Timestamp" => "Timestamp",
                    "Binary" => "Binary",
                    other => kind_of(other),
                },
                nullable: inner.is_some(),
            }
        });
        tables.insert(name, columns.collect());
    }
    tables
}

macro_rules! tables {
    ($($name:ident),+ $(,)?) => {
        /// Asks every table for all columns that the program knows; gives the tables' names.
        fn ask_every_table(conn: &mut roundhand::store::Conn) -> Result<Vec<&'static str>, Error> {
            $(schema::$name::table.limit(1).execute(conn)?;)+
            Ok(vec![$(stringify!($name)),+])
        }
    };
}

tables!(
    alone_events,
    api_key_sites,
    api_keys,
    attendance_events,
    audit_events,
    audit_touches,
    audit_words,
    backups,
    banks,
    calendar_changes,
    calendar_events,
    calendars,
    care_tasks,
    care_told,
    closures,
    condition_observations,
    cost_lines,
    court_waters,
    courts,
    crew_members,
    crews,
    day_changes,
    day_news,
    day_plans,
    day_replans,
    defects,
    devices,
    eye_checks,
    file_contents,
    files,
    holds,
    hours_entries,
    idempotency_keys,
    incident_readers,
    incidents,
    inspections,
    jobs,
    level_readings,
    materials,
    memberships,
    net_checks,
    order_events,
    order_notes,
    order_rechecks,
    order_steps,
    order_tools,
    part_supplies,
    part_uses,
    pay_rates,
    people,
    pictures,
    plan_runs,
    play_sessions,
    reading_verdicts,
    readings,
    recovery_codes,
    report_subscribers,
    rests,
    rounds,
    running_totals,
    second_factors,
    sessions,
    settings,
    shift_changes,
    shift_people,
    shifts,
    sign_in_tries,
    single_use_secrets,
    site_head,
    site_words,
    sites,
    skill_dates,
    stock_moves,
    stop_events,
    tablet_answers,
    tablet_events,
    times_taken,
    tool_check_readings,
    tool_checks,
    tool_classes,
    tools,
    tournament_courts,
    treatments,
    unfitted_visits,
    users,
    valve_courts,
    valves,
    water_needs,
    water_rules,
    waterings,
    wear_parts,
    weather_readings,
    week_reports,
    work_orders,
);

on_both_engines! {
    async fn the_program_knows_every_table_and_column_as_it_is(house) {
        let described = described();
        let laid = db_catalogue(house);
        assert_eq!(described.keys().collect::<Vec<_>>(), laid.keys().collect::<Vec<_>>());
        for (name, columns) in &described {
            assert_eq!(columns, &laid[name].columns, "{name}, schema.rs left, database right");
        }
    }

    async fn every_table_answers_to_all_columns_the_program_knows(house) {
        let asked = house.office.db.read(ask_every_table).expect("every table answers");
        let described = described();
        assert_eq!(asked, described.keys().collect::<Vec<_>>(), "tables! lists every table");
    }
}
