//! The page of a made-up day.

use crate::desk::days::{PlanView, RoundView, UnfittedView, WateringView};
use crate::desk::orders::{OrderView, StepView, ToolView};
use crate::desk::stops::Standing;
use crate::store::Instant;
use crate::store::orders::{Direction, Fit, OrderKind, OrderRow, OrderState};
use crate::store::sites::Units;
use chrono::NaiveDate;

use super::*;

fn site(units: Units) -> SiteRow {
    SiteRow {
        id: 1,
        name: "Pelican Reach".into(),
        zone: "America/New_York".into(),
        units,
        currency: "USD".into(),
        walk_mm_per_s: 1_300,
        shed_x_mm: 0,
        shed_y_mm: 0,
        pay_week_starts_on: 1,
        water_cents_per_m3: 150,
        second_factor_required: false,
        version: 1,
    }
}

/// An instant of 10 June 2031 on New York's clock, four hours behind UTC.
fn at(hour: u32, minute: u32) -> Instant {
    let date = NaiveDate::from_ymd_opt(2031, 6, 10).unwrap();
    date.and_hms_opt(hour + 4, minute, 0)
        .unwrap()
        .and_utc()
        .into()
}

fn step(position: i64, code: &str, name: &str, minutes: i64, caution: Option<&str>) -> StepView {
    StepView {
        position,
        code: code.into(),
        name: name.into(),
        planned_s: minutes * 60,
        standard_s: Some(minutes * 60),
        caution: caution.map(Into::into),
        labels: Vec::new(),
        max_wind_mmps: None,
        done: None,
    }
}

fn order(id: i64, place: &str, from: Instant, to: Instant, due: Instant) -> OrderView {
    let tool = |id: i64, number: &str, class: &str, class_name: &str| ToolView {
        id,
        number: number.into(),
        class: class.into(),
        class_name: class_name.into(),
    };
    OrderView {
        valve: None,
        materials: Vec::new(),
        treatments: Vec::new(),
        defect: None,
        recheck: None,
        notes: Vec::new(),
        order: OrderRow {
            id,
            day_plan_id: 1,
            round_id: 1,
            crew_id: 1,
            work_date: NaiveDate::from_ymd_opt(2031, 6, 10).unwrap(),
            court_id: Some(id),
            bank_id: None,
            position: id,
            visit_key: format!("v{id}"),
            kind: OrderKind::FullTurnaround,
            state: OrderState::Planned,
            direction: Some(Direction::Along),
            groom_class: Some("drag_broom".into()),
            planned_start: from,
            planned_end: to,
            due_at: due,
            started_at: None,
            ended_at: None,
            fit: None,
            fit_until: None,
            fit_reason: None,
            undone_reason: None,
            undone_note: None,
            version: 1,
            expected_end_at: None,
            fit_hold_reason: None,
            follows_id: None,
        },
        place: place.into(),
        crew: "North".into(),
        steps: vec![
            step(1, "look_over", "Look over and tread in", 5, None),
            step(2, "raise_net", "Raise the net", 1, None),
            step(3, "groom", "Groom", 10, Some("dust")),
            step(4, "clear_lines", "Clear the lines", 5, Some("dust")),
            step(
                5,
                "lower_net",
                "Lower and check the net",
                3,
                Some("net_tension"),
            ),
        ],
        tools: vec![
            tool(1, "14", "drag_broom", "Drag broom"),
            tool(2, "31", "line_sweeper", "Line sweeper"),
        ],
    }
}

fn day() -> DayView {
    let mut done = order(1, "Court 1", at(6, 10), at(6, 34), at(7, 30));
    done.order.state = OrderState::Finished;
    done.order.ended_at = Some(at(6, 36));
    done.order.fit = Some(Fit::NotYet);
    done.order.fit_until = Some(at(7, 0));
    done.steps[1].done = Some(false);
    let mut late = order(2, "Court 2", at(6, 40), at(7, 40), at(7, 30));
    late.order.direction = Some(Direction::Across);
    let round = RoundView {
        id: 1,
        crew_id: 4,
        crew: "North".into(),
        people: vec!["Ada Lind".into(), "Sam <Ort>".into()],
        leaves_at: at(6, 0),
        returns_at: at(12, 15),
        kit: vec!["drag_broom".into(), "soft_drag".into()],
        begins: Vec::new(),
        begins_cut: false,
        orders: vec![done, late],
    };
    DayView {
        standing: Standing::default(),
        changed_since: Vec::new(),
        draining: Vec::new(),
        rain_foretold: Vec::new(),
        tools_aside: Vec::new(),
        parts_to_change: Vec::new(),
        defects: Vec::new(),
        date: NaiveDate::from_ymd_opt(2031, 6, 10).unwrap(),
        plan: Some(PlanView {
            id: 1,
            state: "planned".into(),
            cost_cents: 102_000,
            pay_cents: None,
            lower_bound_cents: 100_000,
            issued_at: None,
            version: 1,
        }),
        rounds: vec![round],
        waterings: vec![
            WateringView {
                court_id: 1,
                court: "Court 1".into(),
                kind: "night_cycle".into(),
                starts_at: at(14, 0),
                ends_at: at(14, 10),
                volume_ml: 1_892_706,
            },
            WateringView {
                court_id: 1,
                court: "Court 1".into(),
                kind: "night_cycle".into(),
                starts_at: at(15, 0),
                ends_at: at(15, 10),
                volume_ml: 1_892_706,
            },
        ],
        unfitted: vec![UnfittedView {
            place: "Court 9".into(),
            title: "Rolling".into(),
            reason: "too_wet".into(),
            opens_at: at(6, 0),
            closes_at: at(8, 0),
            until_at: None,
        }],
    }
}

fn html(site: &SiteRow, day: &DayView, is_manager: bool) -> String {
    let seen = Seen {
        notes: Vec::new(),
        calendars_ask: 0,
        alone: Vec::new(),
        user: PageUser {
            id: 1,
            kind: crate::store::users::UserKind::Person,
            is_owner: false,
            name: "Ada Lind".into(),
            stops: Vec::new(),
            incidents: 0,
        },
        mine: vec![4],
        now: at(7, 0).into(),
        may_issue: is_manager,
        may_plan: is_manager,
        may_see_hours: is_manager,
        last_run: None,
        replans: Vec::new(),
    };
    page(site, day, &seen).into_string()
}

/// The words alone, as a reader meets them.
fn text(html: &str) -> String {
    let mut text = String::new();
    let mut inside = false;
    for c in html.chars() {
        match c {
            '<' => inside = true,
            '>' => {
                inside = false;
                text.push(' ');
            }
            c if !inside => text.push(if c == '\u{a0}' { ' ' } else { c }),
            _ => {}
        }
    }
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_round_says_who_when_where_what_with_what_and_by_when() {
    let page = text(&html(&site(Units::UsCustomary), &day(), true));
    for words in [
        "Tuesday, June 10, 2031",
        "Planned, not handed out yet",
        "$1,020.00 Pay for what fits, walks and overtime included.",
        "1 crew, 2 orders 1 thing does not fit",
        "North Your round Leaves the shed 6:00 AM, back 12:15 PM",
        "Ada Lind, Sam &lt;Ort&gt;",
        "Takes along Drag broom, soft drag",
        "6:10–6:34 AM Finished Court 1 Full turnaround",
        "back 12:15 PM Next: 6:40 AM, Court 2",
        "Given back 6:36 AM The court Not fit for play until 7:00 AM Not done Raise the net",
        "Done by 7:30 AM Planned to end 10 min after that.",
        "Tools 14 Drag broom 31 Line sweeper",
        "Groom across the court",
        "Groom 10 min dust",
        "Take care: dust, net cable Local codes, the product’s label and licensed practice come first.",
        "net cable The cable is under tension.",
        "2:00–2:10 PM 3:00–3:10 PM 1,000 gal",
        "for this work. Court 9: Rolling, 6:00–8:00 AM",
    ] {
        assert!(page.contains(words), "{words}\n{page}");
    }
}

#[test]
fn a_metric_site_reads_24_hours() {
    let page = text(&html(&site(Units::Metric), &day(), true));
    assert!(page.contains("06:10–06:34 Finished Court 1"), "{page}");
    assert!(page.contains("14:00–14:10 15:00–15:10 3.8 m³"), "{page}");
}

#[test]
fn what_the_pages_never_say_is_not_said() {
    let page = text(&html(&site(Units::UsCustomary), &day(), true)).to_lowercase();
    for word in ["lower bound", "skip cost", "prior", "quantile"] {
        assert!(!page.contains(word), "{word}");
    }
}

#[test]
fn a_day_without_a_plan_says_so_to_each_in_his_own_way() {
    let bare = DayView {
        plan: None,
        rounds: Vec::new(),
        waterings: Vec::new(),
        unfitted: Vec::new(),
        ..day()
    };
    let manager = text(&html(&site(Units::UsCustomary), &bare, true));
    assert!(manager.contains("This day is not planned yet"));
    assert!(manager.contains("Plan the day to see"));
    let crew = text(&html(&site(Units::UsCustomary), &bare, false));
    assert!(crew.contains("The manager has not planned it yet"));
}

#[test]
fn names_are_text_and_never_markup() {
    let mut bad = day();
    bad.rounds[0].orders[0].place = "<b>Court 1</b>".into();
    let html = html(&site(Units::UsCustomary), &bad, true);
    assert!(!html.contains("<b>Court"));
}
