//! A whole week in words, to read as its readers do.

use crate::desk::cost::KindCost;
use crate::desk::reports::figures::{
    Brush, Care, CourtWeek, GivesOutNext, Hours, KindHours, Material, Miss, MissKind, NotFit,
    Turnarounds, Wear, WeekCost, WeekReport,
};
use crate::desk::wear::WearDay;
use crate::store::Instant;
use crate::store::cost::CostKind;
use crate::store::hours::HoursKind;
use crate::store::orders::{Fit, UndoneReason};
use crate::store::sites::Units;
use crate::store::stores::MaterialUnit;
use crate::words::chart::{Drawing, Life};

fn at(text: &str) -> Instant {
    text.parse::<chrono::DateTime<chrono::Utc>>()
        .unwrap()
        .into()
}

fn miss(place: &str, kind: MissKind, due_at: &str) -> Miss {
    Miss {
        place: place.into(),
        kind,
        due_at: at(due_at),
        late_s: None,
        undone_reason: None,
        unfitted_reason: None,
        note: None,
    }
}

fn kinds(labour: i64, material: i64, water: i64, wear: i64) -> Vec<KindCost> {
    [
        (CostKind::Labour, labour),
        (CostKind::Material, material),
        (CostKind::Water, water),
        (CostKind::ToolWear, wear),
    ]
    .into_iter()
    .filter(|(_, cents)| *cents != 0)
    .map(|(kind, cents)| KindCost { kind, cents })
    .collect()
}

fn court(id: i64, name: &str, kinds: Vec<KindCost>, usual: i64) -> CourtWeek {
    CourtWeek {
        court_id: id,
        court: name.into(),
        cents: kinds.iter().map(|of| of.cents).sum(),
        usual_cents: Some(usual),
        kinds,
    }
}

fn brush(tool: &str, class: &str, wear: Wear, length_um: Option<i64>) -> Brush {
    Brush {
        tool: tool.into(),
        class: class.into(),
        wear,
        length_um,
        measured_on: length_um.and_then(|_| "2031-06-13".parse().ok()),
        start_um: Some(127_000),
        limit_um: 63_500,
    }
}

fn next(tool: &str, class: &str, length_um: i64, days: Option<(&str, &str)>) -> GivesOutNext {
    let day = |day: &str| day.parse().ok();
    GivesOutNext {
        wear_part_id: 1,
        tool: tool.into(),
        class: class.into(),
        length_um,
        worn_out_at_um: 63_500,
        is_worn_out: days.is_none(),
        used_a_day_m: 900,
        worn_out_on: WearDay {
            early: days.and_then(|(early, _)| day(early)),
            likely: days.and_then(|(_, late)| day(late)),
            late: days.and_then(|(_, late)| day(late)),
        },
        drawing: Drawing::of(&Life {
            start_um: 127_000,
            limit_um: 63_500,
            used_m: 40_000,
            line: &[(0, 127_000), (40_000, length_um)],
            measured: &[(40_000, length_um)],
            ahead: &[],
        }),
    }
}

/// An invented week.
pub(in crate::desk::reports) fn week() -> WeekReport {
    let courts = vec![
        court(1, "Court 1", kinds(21_250, 4_500, 1_960, 420), 27_310),
        court(2, "Court 2", kinds(20_175, 0, 1_875, 405), 22_080),
        court(3, "Stadium court", kinds(38_440, 9_000, 2_210, 640), 41_875),
        court(4, "Court 4", Vec::new(), 0),
    ];
    WeekReport {
        site_id: 1,
        site: "Heron Point Courts".into(),
        zone: "America/New_York".into(),
        units: Units::UsCustomary,
        currency: "USD".into(),
        iso_week: "2031-W24".into(),
        from: "2031-06-09".parse().unwrap(),
        to: "2031-06-15".parse().unwrap(),
        as_of: at("2031-06-16T04:00:00Z"),
        complete: true,
        courts: 4,
        turnarounds: Turnarounds {
            due: 63,
            finished: 60,
            finished_short: 14,
            in_time: 59,
            left_undone: 1,
            not_given_back: 0,
            not_fitted: 2,
            not_planned: 0,
            to_come: 0,
            misses: vec![
                Miss {
                    late_s: Some(1_500),
                    ..miss("Court 2", MissKind::Late, "2031-06-10T17:00:00Z")
                },
                Miss {
                    undone_reason: Some(UndoneReason::Weather),
                    note: Some("water stood along the north baseline".into()),
                    ..miss("Court 4", MissKind::LeftUndone, "2031-06-11T21:30:00Z")
                },
                Miss {
                    unfitted_reason: Some("no_time_left".into()),
                    ..miss("Court 1", MissKind::NotFitted, "2031-06-14T17:00:00Z")
                },
                Miss {
                    unfitted_reason: Some("no_crew_on_shift_in_window".into()),
                    ..miss("Stadium court", MissKind::NotFitted, "2031-06-15T23:30:00Z")
                },
            ],
        },
        care: Care {
            due: 22,
            finished: 20,
            left_undone: 1,
            not_fitted: 1,
        },
        hours: Hours {
            paid_s: 312 * 3_600 + 1_800,
            kinds: vec![
                KindHours {
                    kind: HoursKind::Order,
                    paid_s: 280 * 3_600,
                },
                KindHours {
                    kind: HoursKind::RainWait,
                    paid_s: 12 * 3_600 + 1_800,
                },
                KindHours {
                    kind: HoursKind::Shed,
                    paid_s: 20 * 3_600,
                },
            ],
        },
        cost: WeekCost {
            cents: courts.iter().map(|court| court.cents).sum(),
            usual_cents: Some(91_265),
            weeks_compared: 4,
            kinds: kinds(79_865, 13_500, 6_045, 1_465),
            courts,
        },
        materials: vec![
            Material {
                material_id: 1,
                name: "Calcium chloride".into(),
                unit: MaterialUnit::Gram,
                pack_name: "bag".into(),
                pack_quantity: 22_680,
                used: 68_040,
                used_cents: 4_500,
                on_hand: 90_720,
                lasts_days: Some(9),
                low: true,
            },
            Material {
                material_id: 2,
                name: "Line tape nails".into(),
                unit: MaterialUnit::Piece,
                pack_name: "box".into(),
                pack_quantity: 500,
                used: 120,
                used_cents: 900,
                on_hand: 3_400,
                lasts_days: Some(198),
                low: false,
            },
            Material {
                material_id: 3,
                name: "Top dressing".into(),
                unit: MaterialUnit::Gram,
                pack_name: "bag".into(),
                pack_quantity: 36_287,
                used: 217_724,
                used_cents: 8_100,
                on_hand: 1_814_369,
                lasts_days: Some(58),
                low: false,
            },
        ],
        brushes: vec![
            brush("7", "Drag broom", Wear::WornOut, Some(63_500)),
            brush("3", "Line sweeper", Wear::Near, Some(73_025)),
            brush("1", "Drag broom", Wear::Sound, Some(114_300)),
            brush("2", "Drag broom", Wear::NotMeasured, None),
        ],
        gives_out_next: vec![
            next("7", "Drag broom", 63_500, None),
            next(
                "3",
                "Line sweeper",
                73_025,
                Some(("2031-06-20", "2031-07-04")),
            ),
        ],
        not_fit: vec![NotFit {
            court: "Court 4".into(),
            fit: Fit::Held,
            since: at("2031-06-15T20:15:00Z"),
            until: None,
            hold_reason: None,
            reason: Some("a tape lies loose at the west baseline".into()),
        }],
    }
}

#[test]
fn a_week_reads_as_it_is_meant_to() {
    let sheet = super::report(&week(), Some("https://courts.example.org"));
    let seen = format!("Subject: {}\n\n{}", sheet.subject, sheet.text());
    let meant = include_str!("sample.txt");
    assert!(seen == meant, "sample.txt is to read:\n{seen}");
    // The other form says the same words.
    let html = sheet.html();
    for words in [
        "Heron Point Courts",
        "$1,008.75",
        "Held shut since",
        "11% above",
    ] {
        assert!(html.contains(words), "{words}");
    }
    // Each part that gives out is drawn, without a letter that a program which shows no drawings would leave behind.
    assert_eq!(html.matches("<svg").count(), 2);
    assert!(!html.contains("<text") && !html.contains("<title>Gives"));
    assert!(html.contains("aria-label=\"Line sweeper 3: about 2 7/8 in long"));
}
