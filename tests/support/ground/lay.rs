//! The rows that a ground is made of.

use diesel::prelude::*;
use roundhand::store::schema::{
    banks, courts, crews, materials, pay_rates, people, shift_people, shifts, tool_classes, tools,
    wear_parts,
};
use roundhand::store::{Conn, Result, Scope};

use super::{Ground, TODAY, at, date};

pub(super) fn lay(conn: &mut Conn, scope: Scope) -> Result<Ground> {
    let site = scope.site_id();
    let bank: i64 = diesel::insert_into(banks::table)
        .values((
            banks::site_id.eq(site),
            banks::name.eq("Test bank"),
            banks::position.eq(901),
            banks::line_name.eq("Test line"),
            banks::line_capacity_mlps.eq(5_000),
            banks::x_mm.eq(0),
            banks::y_mm.eq(0),
            banks::version.eq(1),
        ))
        .returning(banks::id)
        .get_result(conn)?;
    let mut on_bank = [0; 3];
    for (place, id) in (901..).zip(&mut on_bank) {
        *id = diesel::insert_into(courts::table)
            .values((
                courts::site_id.eq(site),
                courts::bank_id.eq(bank),
                courts::name.eq(format!("Test court {place}")),
                courts::position.eq(place),
                courts::length_mm.eq(36_576),
                courts::width_mm.eq(18_288),
                courts::watering.eq("sprinkler"),
                courts::lines.eq("tape"),
                courts::sprinkler_flow_mlps.eq(1_600),
                courts::soak_s.eq(1_200),
                courts::night_cycles.eq(2),
                courts::night_cycle_s.eq(600),
                courts::x_mm.eq(0),
                courts::y_mm.eq(0),
                courts::version.eq(1),
            ))
            .returning(courts::id)
            .get_result(conn)?;
    }
    let crew: i64 = diesel::insert_into(crews::table)
        .values((
            crews::site_id.eq(site),
            crews::name.eq("Test crew"),
            crews::position.eq(901),
            crews::kit_limit.eq(4),
            crews::load_limit_g.eq(100_000),
            crews::version.eq(1),
        ))
        .returning(crews::id)
        .get_result(conn)?;
    let shift: i64 = diesel::insert_into(shifts::table)
        .values((
            shifts::site_id.eq(site),
            shifts::crew_id.eq(crew),
            shifts::work_date.eq(date(TODAY)),
            shifts::starts_at.eq(at("2031-06-10T10:00:00Z")),
            shifts::ends_at.eq(at("2031-06-10T18:00:00Z")),
            shifts::overtime_until.eq(at("2031-06-10T20:00:00Z")),
            shifts::break_s.eq(1_800),
        ))
        .returning(shifts::id)
        .get_result(conn)?;
    let mut hands = [0; 2];
    for ((name, cents), id) in [("Test hand one", 1_850), ("Test hand two", 1_001)]
        .into_iter()
        .zip(&mut hands)
    {
        *id = diesel::insert_into(people::table)
            .values((
                people::site_id.eq(site),
                people::name.eq(name),
                people::skills.eq(r#"["chemicals"]"#),
                people::version.eq(1),
            ))
            .returning(people::id)
            .get_result(conn)?;
        pay(conn, site, *id, "2031-01-01", cents)?;
        diesel::insert_into(shift_people::table)
            .values((
                shift_people::site_id.eq(site),
                shift_people::shift_id.eq(shift),
                shift_people::person_id.eq(*id),
            ))
            .execute(conn)?;
    }
    let class: i64 = diesel::insert_into(tool_classes::table)
        .values((
            tool_classes::site_id.eq(site),
            tool_classes::code.eq("test_drag"),
            tool_classes::name.eq("Test drag"),
            tool_classes::action.eq("smooths"),
            tool_classes::width_mm.eq(2_134),
            tool_classes::wear_cents.eq(9_000),
            tool_classes::wear_uses.eq(400),
        ))
        .returning(tool_classes::id)
        .get_result(conn)?;
    let drag = drag_add(conn, site, class, "T-901")?;
    let brush = brush_add(conn, site, drag)?;
    let bags: i64 = diesel::insert_into(materials::table)
        .values((
            materials::site_id.eq(site),
            materials::code.eq("test_bags"),
            materials::name.eq("Test bags"),
            materials::unit.eq("piece"),
            materials::pack_name.eq("bag"),
            materials::pack_quantity.eq(1),
            materials::on_hand.eq(0),
            materials::value_cents.eq(0),
            materials::version.eq(1),
        ))
        .returning(materials::id)
        .get_result(conn)?;
    Ok(Ground {
        scope,
        bank,
        courts: on_bank,
        crew,
        dear: hands[0],
        cheap: hands[1],
        drag,
        brush,
        bags,
        shift_of: shift,
    })
}

/// A drag of this class with a number.
pub(super) fn drag_add(conn: &mut Conn, site: i64, class: i64, number: &str) -> Result<i64> {
    Ok(diesel::insert_into(tools::table)
        .values((
            tools::site_id.eq(site),
            tools::tool_class_id.eq(class),
            tools::number.eq(number),
            tools::state.eq("in_service"),
            tools::in_service_from.eq(date("2031-01-01")),
            tools::version.eq(1),
        ))
        .returning(tools::id)
        .get_result(conn)?)
}

/// The brush of a drag: 100 mm when new.
pub(super) fn brush_add(conn: &mut Conn, site: i64, drag: i64) -> Result<i64> {
    Ok(diesel::insert_into(wear_parts::table)
        .values((
            wear_parts::site_id.eq(site),
            wear_parts::tool_id.eq(drag),
            wear_parts::kind.eq("brush"),
            wear_parts::start_um.eq(100_000),
            wear_parts::limit_um.eq(60_000),
            wear_parts::fitted_on.eq(date("2031-01-01")),
        ))
        .returning(wear_parts::id)
        .get_result(conn)?)
}

pub(super) fn pay(
    conn: &mut Conn,
    site: i64,
    person: i64,
    from: &str,
    cents_per_h: i64,
) -> Result<()> {
    diesel::insert_into(pay_rates::table)
        .values((
            pay_rates::site_id.eq(site),
            pay_rates::person_id.eq(person),
            pay_rates::from_date.eq(date(from)),
            pay_rates::cents_per_h.eq(cents_per_h),
        ))
        .execute(conn)?;
    Ok(())
}
