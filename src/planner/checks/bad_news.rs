//! Plans and news of a day as no program should write them: the rest is planned or refused with faults that
//! say where.

use proptest::prelude::*;
use serde_json::{Value, json};

use super::bad_input::name_places;
use super::builder::{checked, planned_with};
use super::mangle::{mangled, stretch};
use super::properties::{Dice, random_day, random_visit};
use crate::plan::Plan;
use crate::problem::Problem;
use crate::rest::{News, Record, changes_from_json, plan_from_json, replan};
use crate::rng::Rng;
use crate::{Control, Fault, Options, judge};

fn record(d: &mut Dice, p: &Problem, plan: &Plan, at: i64) -> Value {
    let stops = plan.rounds.iter().flat_map(|r| &r.stops);
    let visits: Vec<Value> = stops
        .filter(|s| s.start_s < at)
        .map(|s| {
            json!({
                "visit": s.visit, "state": d.one_of(&["done", "running", "waiting"]), "way": s.way,
                "crew": d.one_of(&p.crews).id, "start_s": s.start_s, "end_s": d.one_of(&[s.end_s, at]),
            })
        })
        .collect();
    let crew = &d.one_of(&p.crews).id;
    let stands = json!({"crew": crew, "place": 0, "free_s": at + 3, "breaks_taken": 0});
    json!({"format": "day-record/1", "visits": visits, "crews": [stands]})
}

fn changes(d: &mut Dice, p: &Problem, at: i64) -> Value {
    let (crew, visit) = (d.one_of(&p.crews).id, d.one_of(&p.visits).id);
    let mut new = random_visit(d, p, 100, &[], &[]);
    new.place = 0;
    let mut changes = vec![
        json!({"kind": "rain", "from": at, "to": at + 9, "places": [0]}),
        json!({"kind": "crew_gone", "crew": crew, "from": at + 20}),
        json!({"kind": "crew_late", "crew": crew, "from": at}),
        json!({"kind": "place_closed", "place": 0, "from": at, "to": at + 5}),
        json!({"kind": "window_changed", "visit": visit, "window": [at, at + 30], "way": 0}),
        json!({"kind": "visit_dropped", "visit": visit}),
        json!({"kind": "new_visit", "visit": new}),
    ];
    if let Some(tool) = p.tools.first() {
        changes
            .push(json!({"kind": "tool_broken", "class": tool.class, "how_many": 1, "crew": crew}));
    }
    if let Some(line) = p.water.first() {
        changes.push(json!({"kind": "water_cut", "group": line.group, "capacity_mlps": 1}));
    }
    changes.retain(|_| d.often(50));
    json!({"format": "day-changes/1", "changes": changes})
}

/// The faults of one file, each in a place of it.
fn read<T>(text: &str, at: &str, read: Result<T, Vec<Fault>>) -> Option<T> {
    let faults = match read {
        Ok(it) => return Some(it),
        Err(faults) => faults,
    };
    let within = faults.into_iter().map(|f| Fault {
        pointer: f
            .pointer
            .strip_prefix(at)
            .expect("its own place")
            .to_owned(),
        ..f
    });
    let within: Vec<Fault> = within.collect();
    name_places(&within, serde_json::from_str(text).ok().as_ref());
    None
}

/// Plans the rest, or finds every fault in a place of the files.
fn replanned_or_refused(p: &Problem, plan: &str, record: &str, changes: &str, at: i64) {
    let (Some(old), Some(told), Some(changed)) = (
        read(plan, "/plan", plan_from_json(plan)),
        read(record, "/record", Record::from_json(record)),
        read(changes, "", changes_from_json(changes)),
    ) else {
        return;
    };
    let news = News {
        at,
        record: told,
        changes: changed,
        change_cost: 5,
    };
    let options = Options {
        iterations: Some(10),
        ..Options::default()
    };
    let go_on = &mut |_: &_| Control::Continue { spent: 0.0 };
    match replan(&checked(p), &old, &news, &options, go_on) {
        Ok((rest, after)) => {
            let broken = judge::violations(&rest.problem, &after);
            assert!(broken.is_empty(), "{broken:?}");
            assert!(after.lower_bound <= after.cost.total);
        }
        Err(faults) => {
            let value = |text: &str| serde_json::from_str::<Value>(text).expect("it was read");
            let mut files = value(changes);
            files["plan"] = value(plan);
            files["record"] = value(record);
            files["at"] = json!(at);
            name_places(&faults, Some(&files));
            assert!(faults.iter().all(|f| !f.pointer.is_empty()), "{faults:?}");
        }
    }
}

proptest! {
    #![proptest_config(super::cases(512))]

    #[test]
    fn mangled_news_of_a_day_are_planned_or_refused_with_their_places(
        seed: u64, at in -1_i64..110, which in 0_usize..3, times in 1_i64..5, numbers: bool
    ) {
        let d = &mut Dice(Rng::new(!seed));
        let p = random_day(seed, 1 + d.up_to(3), 1 + d.up_to(9));
        let plan = planned_with(&p, 1, 20);
        let plain = [
            serde_json::to_value(&plan).expect("a plan can be written"),
            record(d, &p, &plan, at),
            changes(d, &p, at),
        ];
        let mut texts = plain.clone().map(|v| v.to_string());
        let mut one = plain[which].clone();
        texts[which] = if numbers {
            stretch(d, &mut one, times);
            one.to_string()
        } else {
            mangled(d, one, times)
        };
        replanned_or_refused(&p, &texts[0], &texts[1], &texts[2], at);
    }
}
