//! The demo's day as plain text, at most 110 characters wide.

use std::fmt::{self, Write as _};

use chrono_tz::Tz;
use trade::money::Cents;

use super::Fallible;
use crate::desk::days::{DayView, RoundView, UnfittedView};
use crate::desk::orders::OrderView;
use crate::desk::set_up::SetUp;
use crate::desk::set_up::demo::DemoDay;
use crate::store::Instant;
use crate::store::orders::OrderKind;

/// No line is wider.
const WIDEST: usize = 110;

/// The rounds, what is not fitted, and what the plan costs.
pub fn of_day(demo: &DemoDay) -> Fallible<String> {
    let zone: Tz = demo.site.zone.parse()?;
    let mut out = String::new();
    written(&mut out, demo, zone)?;
    Ok(out)
}

fn written(out: &mut String, demo: &DemoDay, zone: Tz) -> fmt::Result {
    let DayView {
        date,
        plan,
        rounds,
        unfitted,
        ..
    } = &demo.day;
    writeln!(out, "{}, {}", demo.site.name, date.format("%A, %B %-d, %Y"))?;
    for round in rounds {
        of_round(out, round, zone)?;
    }
    if unfitted.is_empty() {
        writeln!(out, "\nEverything that is due today is fitted.")?;
    } else {
        writeln!(out, "\nNot fitted: {}", unfitted.len())?;
        let place = widest(unfitted.iter().map(|left| left.place.as_str()));
        let title = widest(unfitted.iter().map(|left| left.title.as_str())).min(36);
        for left in unfitted {
            let UnfittedView {
                place: at,
                title: what,
                opens_at,
                closes_at,
                ..
            } = left;
            let (from, to) = (time(*opens_at, zone), time(*closes_at, zone));
            let why = reason(&left.reason);
            line(
                out,
                &format!("  {from}-{to}  {at:place$}  {what:title$}  {why}"),
            )?;
        }
    }
    if let Some(plan) = plan {
        let currency = &demo.site.currency;
        let (cost, least) = (Cents(plan.cost_cents), Cents(plan.lower_bound_cents));
        writeln!(
            out,
            "\nThis plan costs {cost} {currency}, what it leaves out included."
        )?;
        writeln!(
            out,
            "No plan of this day can cost less than {least} {currency}."
        )?;
    }
    Ok(())
}

fn of_round(out: &mut String, round: &RoundView, zone: Tz) -> fmt::Result {
    let (from, to) = (time(round.leaves_at, zone), time(round.returns_at, zone));
    writeln!(out)?;
    line(
        out,
        &format!("{} ({}), {from}-{to}", round.crew, round.people.join(", ")),
    )?;
    let rows: Vec<[String; 5]> = round
        .orders
        .iter()
        .map(|order| cells(order, zone))
        .collect();
    let width = |column: usize| widest(rows.iter().map(|row| row[column].as_str()));
    let (place, what, way) = (width(1), width(2).min(36), width(3));
    for [time, at, what_is_done, direction, tools] in &rows {
        let row = format!("  {time}  {at:place$}  {what_is_done:what$}  {direction:way$}  {tools}");
        line(out, &row)?;
    }
    Ok(())
}

/// Time, place, what, direction, tools.
fn cells(view: &OrderView, zone: Tz) -> [String; 5] {
    let order = &view.order;
    let what = match order.kind {
        OrderKind::FullTurnaround => "full turnaround".to_owned(),
        OrderKind::ShortTurnaround => "short turnaround".to_owned(),
        OrderKind::Care | OrderKind::Mend => view
            .steps
            .first()
            .map_or_else(String::new, |step| step.name.clone()),
    };
    let tools = view
        .tools
        .iter()
        .map(|tool| format!("{} {}", tool.number, tool.class_name));
    [
        format!(
            "{}-{}",
            time(order.planned_start, zone),
            time(order.planned_end, zone)
        ),
        view.place.clone(),
        what,
        order
            .direction
            .map_or_else(String::new, |direction| direction.as_str().to_owned()),
        tools.collect::<Vec<_>>().join(", "),
    ]
}

/// Who signs in, and with what.
pub fn of_accounts(set_up: &SetUp) -> String {
    let owner = &set_up.owner;
    let accounts = set_up.accounts.iter();
    let rows: Vec<[&str; 3]> = accounts
        .map(|account| [account.role.as_str(), &*account.email, &*account.password])
        .chain([["owner", &*owner.email, &*owner.password]])
        .collect();
    let width = |column: usize| widest(rows.iter().map(|row| row[column]));
    let (role, email) = (width(0), width(1));
    let mut text = String::from("\nSign in as\n");
    for [who, address, password] in &rows {
        // Writing to a String cannot fail.
        let _ = writeln!(text, "  {who:role$}  {address:email$}  {password}");
    }
    text.push('\n');
    text
}

/// The time on the site's clock.
fn time(at: Instant, zone: Tz) -> String {
    at.utc().with_timezone(&zone).format("%H:%M").to_string()
}

fn widest<'a>(texts: impl Iterator<Item = &'a str>) -> usize {
    texts.map(|text| text.chars().count()).max().unwrap_or(0)
}

/// Writes one line, cut where it is wider than the widest.
fn line(out: &mut String, text: &str) -> fmt::Result {
    let text = text.trim_end();
    if text.chars().count() <= WIDEST {
        return writeln!(out, "{text}");
    }
    let cut: String = text.chars().take(WIDEST - 3).collect();
    writeln!(out, "{cut}...")
}

/// A reason of the day plan in plain words.
fn reason(reason: &str) -> String {
    match reason {
        "no_crew_has_the_skill" => "no crew on shift has the skill".into(),
        "no_crew_has_the_hands" => "no crew on shift has the hands".into(),
        "no_such_tool" => "the tool it takes is not to be had".into(),
        "window_shorter_than_the_work" => "the gap is shorter than the work".into(),
        "no_crew_on_shift_in_window" => "no crew is on shift then".into(),
        "water_cannot_finish" => "its water would not be ready in time".into(),
        "waits_for_an_unserved_visit" => "it waits for work that is not fitted".into(),
        "no_time_left" => "no crew has time left".into(),
        "dearer_than_skipping" => "it would cost more than leaving it".into(),
        other => other.replace('_', " "),
    }
}
