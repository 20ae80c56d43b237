//! Rows as a site is set up with them, many at a time. Only what has no door of its own yet
//! stands here.

use chrono::NaiveDate;
use diesel::prelude::*;

use super::care::NewTask;
use super::columns::json;
use super::courts::{BankRow, CourtRow};
use super::db::Conn;
use super::dialect::each_backend;
use super::schema::{
    banks, care_tasks, closures, condition_observations, courts, crew_members, crews, materials,
    memberships, pay_rates, people, play_sessions, readings, shift_people, shifts, tool_classes,
    tools, wear_parts,
};
use super::tools::{ToolState, WearPartKind};
use super::{Instant, Result, Role, Scope};

/// Inserts many rows of one table, a few hundred a statement.
macro_rules! many {
    ($(#[$meta:meta])* $name:ident, $table:ident, $row:ident) => {
        $(#[$meta])*
        pub fn $name(conn: &mut Conn, rows: &[$row]) -> Result<()> {
            for some in rows.chunks(500) {
                each_backend!(conn, inner => diesel::insert_into($table::table).values(some).execute(inner))?;
            }
            Ok(())
        }
    };
}

/// Makes a user a site's own, in this role.
pub fn membership_add(
    conn: &mut Conn,
    scope: &Scope,
    user_id: i64,
    role: Role,
    now: Instant,
) -> Result<()> {
    diesel::insert_into(memberships::table)
        .values((
            memberships::site_id.eq(scope.site_id()),
            memberships::user_id.eq(user_id),
            memberships::role.eq(role),
            memberships::created_at.eq(now),
        ))
        .execute(conn)?;
    Ok(())
}

/// Adds a bank; gives its id.
pub fn bank_add(conn: &mut Conn, scope: &Scope, bank: &BankRow) -> Result<i64> {
    Ok(diesel::insert_into(banks::table)
        .values((
            banks::site_id.eq(scope.site_id()),
            banks::name.eq(&bank.name),
            banks::position.eq(bank.position),
            banks::line_name.eq(&bank.line_name),
            banks::line_capacity_mlps.eq(bank.line_capacity_mlps),
            banks::x_mm.eq(bank.x_mm),
            banks::y_mm.eq(bank.y_mm),
            banks::version.eq(1),
        ))
        .returning(banks::id)
        .get_result(conn)?)
}

/// Adds a court; gives its id.
pub fn court_add(conn: &mut Conn, scope: &Scope, court: &CourtRow) -> Result<i64> {
    Ok(diesel::insert_into(courts::table)
        .values((
            courts::site_id.eq(scope.site_id()),
            courts::bank_id.eq(court.bank_id),
            courts::name.eq(&court.name),
            courts::position.eq(court.position),
            courts::length_mm.eq(court.length_mm),
            courts::width_mm.eq(court.width_mm),
            courts::watering.eq(court.watering),
            courts::lines.eq(court.lines),
            courts::resurfaced_on.eq(court.resurfaced_on),
            courts::sprinkler_flow_mlps.eq(court.sprinkler_flow_mlps),
            courts::soak_s.eq(court.soak_s),
            courts::night_cycles.eq(court.night_cycles),
            courts::night_cycle_s.eq(court.night_cycle_s),
            courts::x_mm.eq(court.x_mm),
            courts::y_mm.eq(court.y_mm),
            courts::version.eq(1),
        ))
        .returning(courts::id)
        .get_result(conn)?)
}

/// Adds an observed condition of a court.
pub fn condition_add(
    conn: &mut Conn,
    scope: &Scope,
    court_id: i64,
    at: Instant,
    condition: &str,
    note: Option<&str>,
) -> Result<()> {
    diesel::insert_into(condition_observations::table)
        .values((
            condition_observations::site_id.eq(scope.site_id()),
            condition_observations::court_id.eq(court_id),
            condition_observations::observed_at.eq(at),
            condition_observations::condition.eq(condition),
            condition_observations::note.eq(note),
        ))
        .execute(conn)?;
    Ok(())
}

/// A play session to be added.
#[derive(Insertable)]
#[diesel(table_name = play_sessions)]
pub struct NewSession {
    /// The site.
    pub site_id: i64,
    /// The court.
    pub court_id: i64,
    /// What the site calls it.
    pub name: String,
    /// From when.
    pub starts_at: Instant,
    /// Until when.
    pub ends_at: Instant,
    /// Whether the turnaround after it may be the short one.
    pub short_turnaround: bool,
}

many! {
    /// Adds play sessions.
    sessions_add, play_sessions, NewSession
}

/// Shuts a court for a time.
pub fn closure_add(
    conn: &mut Conn,
    scope: &Scope,
    court_id: i64,
    from: Instant,
    to: Instant,
    reason: &str,
) -> Result<()> {
    diesel::insert_into(closures::table)
        .values((
            closures::site_id.eq(scope.site_id()),
            closures::court_id.eq(court_id),
            closures::starts_at.eq(from),
            closures::ends_at.eq(to),
            closures::reason.eq(reason),
        ))
        .execute(conn)?;
    Ok(())
}

many! {
    /// Adds care tasks.
    tasks_add, care_tasks, NewTask
}

/// Adds a person; gives the id.
pub fn person_add(
    conn: &mut Conn,
    scope: &Scope,
    name: &str,
    skills: &[String],
    user_id: Option<i64>,
) -> Result<i64> {
    Ok(diesel::insert_into(people::table)
        .values((
            people::site_id.eq(scope.site_id()),
            people::user_id.eq(user_id),
            people::name.eq(name),
            people::skills.eq(json(&skills)?),
            people::version.eq(1),
        ))
        .returning(people::id)
        .get_result(conn)?)
}

/// Says what a person's hour costs from a date on.
pub fn pay_rate_add(
    conn: &mut Conn,
    scope: &Scope,
    person_id: i64,
    from: NaiveDate,
    cents_per_h: i64,
) -> Result<()> {
    diesel::insert_into(pay_rates::table)
        .values((
            pay_rates::site_id.eq(scope.site_id()),
            pay_rates::person_id.eq(person_id),
            pay_rates::from_date.eq(from),
            pay_rates::cents_per_h.eq(cents_per_h),
        ))
        .execute(conn)?;
    Ok(())
}

/// Adds a crew; gives its id.
pub fn crew_add(
    conn: &mut Conn,
    scope: &Scope,
    name: &str,
    position: i64,
    kit_limit: i64,
    load_limit_g: i64,
) -> Result<i64> {
    Ok(diesel::insert_into(crews::table)
        .values((
            crews::site_id.eq(scope.site_id()),
            crews::name.eq(name),
            crews::position.eq(position),
            crews::kit_limit.eq(kit_limit),
            crews::load_limit_g.eq(load_limit_g),
            crews::version.eq(1),
        ))
        .returning(crews::id)
        .get_result(conn)?)
}

/// Puts a person into a crew from a date on.
pub fn member_add(
    conn: &mut Conn,
    scope: &Scope,
    crew_id: i64,
    person_id: i64,
    from: NaiveDate,
) -> Result<()> {
    diesel::insert_into(crew_members::table)
        .values((
            crew_members::site_id.eq(scope.site_id()),
            crew_members::crew_id.eq(crew_id),
            crew_members::person_id.eq(person_id),
            crew_members::from_date.eq(from),
        ))
        .execute(conn)?;
    Ok(())
}

/// A shift to be added.
#[derive(Insertable)]
#[diesel(table_name = shifts)]
pub struct NewShift {
    /// The site.
    pub site_id: i64,
    /// The crew.
    pub crew_id: i64,
    /// The site's own date.
    pub work_date: NaiveDate,
    /// From when.
    pub starts_at: Instant,
    /// Until when.
    pub ends_at: Instant,
    /// How long it may run over.
    pub overtime_until: Instant,
    /// Length of its break, s.
    pub break_s: i64,
    /// The break lies after this.
    pub break_from: Option<Instant>,
    /// And before this.
    pub break_until: Option<Instant>,
}

/// Adds a shift; gives its id.
pub fn shift_add(conn: &mut Conn, shift: &NewShift) -> Result<i64> {
    Ok(
        each_backend!(conn, inner => diesel::insert_into(shifts::table)
        .values(shift)
        .returning(shifts::id)
        .get_result(inner))?,
    )
}

/// Somebody on a shift.
#[derive(Insertable)]
#[diesel(table_name = shift_people)]
pub struct NewHand {
    /// The site.
    pub site_id: i64,
    /// The shift.
    pub shift_id: i64,
    /// Who.
    pub person_id: i64,
}

many! {
    /// Puts people on shifts.
    hands_add, shift_people, NewHand
}

/// A class of tool to be added.
#[derive(Insertable)]
#[diesel(table_name = tool_classes)]
pub struct NewClass {
    /// The site.
    pub site_id: i64,
    /// The site's own code.
    pub code: String,
    /// Name.
    pub name: String,
    /// What it does.
    pub action: String,
    /// How strongly.
    pub strength: Option<String>,
    /// How wide it works, mm.
    pub width_mm: Option<i64>,
    /// Rows of its brush.
    pub brush_rows: Option<i64>,
    /// Length of its bristles when new, µm.
    pub bristle_um: Option<i64>,
    /// What its wearing part costs, cents.
    pub wear_cents: i64,
    /// Over how many uses.
    pub wear_uses: i64,
    /// How it is pulled.
    pub pulled: String,
}

/// Adds a class of tool; gives its id.
pub fn class_add(conn: &mut Conn, class: &NewClass) -> Result<i64> {
    Ok(
        each_backend!(conn, inner => diesel::insert_into(tool_classes::table)
        .values(class)
        .returning(tool_classes::id)
        .get_result(inner))?,
    )
}

/// Adds a numbered tool; gives its id.
pub fn tool_add(
    conn: &mut Conn,
    scope: &Scope,
    class_id: i64,
    number: &str,
    state: ToolState,
    from: NaiveDate,
) -> Result<i64> {
    Ok(diesel::insert_into(tools::table)
        .values((
            tools::site_id.eq(scope.site_id()),
            tools::tool_class_id.eq(class_id),
            tools::number.eq(number),
            tools::state.eq(state),
            tools::in_service_from.eq(from),
            tools::version.eq(1),
        ))
        .returning(tools::id)
        .get_result(conn)?)
}

/// A wear part to be added.
#[derive(Insertable)]
#[diesel(table_name = wear_parts)]
pub struct NewPart {
    /// The site.
    pub site_id: i64,
    /// The tool it is part of, or
    pub tool_id: Option<i64>,
    /// the court.
    pub court_id: Option<i64>,
    /// What it is.
    pub kind: WearPartKind,
    /// Its length when new, µm.
    pub start_um: Option<i64>,
    /// The length at which it is changed, µm.
    pub limit_um: Option<i64>,
    /// Since when it is on.
    pub fitted_on: NaiveDate,
}

/// Adds a wear part; gives its id.
pub fn part_add(conn: &mut Conn, part: &NewPart) -> Result<i64> {
    Ok(
        each_backend!(conn, inner => diesel::insert_into(wear_parts::table)
        .values(part)
        .returning(wear_parts::id)
        .get_result(inner))?,
    )
}

/// A reading to be added.
#[derive(Insertable)]
#[diesel(table_name = readings)]
pub struct NewReading {
    /// The site.
    pub site_id: i64,
    /// The part.
    pub wear_part_id: i64,
    /// When it was measured.
    pub measured_on: NaiveDate,
    /// How long it was, µm.
    pub length_um: i64,
    /// When this was booked.
    pub booked_at: Instant,
}

many! {
    /// Adds readings.
    readings_add, readings, NewReading
}

/// A material to be added, with nothing of it in the stores.
#[derive(Insertable)]
#[diesel(table_name = materials)]
pub struct NewMaterial {
    /// The site.
    pub site_id: i64,
    /// The site's own code.
    pub code: String,
    /// Name.
    pub name: String,
    /// What it is counted in.
    pub unit: String,
    /// What it comes in.
    pub pack_name: String,
    /// How much that holds.
    pub pack_quantity: i64,
    /// What its label says, as JSON.
    pub label: Option<String>,
    /// How much is there.
    pub on_hand: i64,
    /// What that is worth, cents.
    pub value_cents: i64,
    /// Version.
    pub version: i64,
}

/// Adds a material; gives its id.
pub fn material_add(conn: &mut Conn, material: &NewMaterial) -> Result<i64> {
    Ok(
        each_backend!(conn, inner => diesel::insert_into(materials::table)
        .values(material)
        .returning(materials::id)
        .get_result(inner))?,
    )
}
