//! Problems that break their own form: every fault is named by its pointer, and no other.

use std::fs;
use std::path::Path;

use serde_json::{Value, json};

use super::referee::{plan, python, shared};

fn visit(id: &str, place: i64) -> Value {
    json!({
        "id": id, "place": place, "window": [28800, 36000], "aim_end": 36000, "late_cost_per_h": 0,
        "skip_cost": 50000, "load_g": 0, "after": [],
        "ways": [
            {"tools": ["broom"], "skills": [], "min_hands": 1, "service_s": [900, 600], "extra_cost": 0},
            {"tools": ["rake"], "skills": ["rake"], "min_hands": 2, "service_s": [700], "extra_cost": 250,
             "window": [28800, 36000], "aim_end": 30000}
        ]
    })
}

fn crew(id: &str, hands: i64, skills: &[&str]) -> Value {
    json!({
        "id": id, "hands": hands, "skills": skills, "start_place": 0, "end_place": 0, "shift": [28800, 36000],
        "overtime_until": 39600, "cost_per_h": 3600, "overtime_pct": 150, "kit_limit": 1, "load_limit_g": 1000,
        "breaks": [{"length_s": 600, "start_window": [30600, 34200]}]
    })
}

/// A sound problem in which most things stand somewhere.
fn sound() -> Value {
    let mut p = json!({
        "format": "day-problem/1", "date": "2031-06-01",
        "travel_s": [[0, 60, 120], [60, 0, 60], [120, 60, 0]],
        "open_places": [0],
        "tools": [{"class": "broom", "count": 1}, {"class": "rake", "count": 1}],
        "water": [{"group": "north", "capacity_mlps": 900, "taken": [{"from": 1, "to": 2, "flow_mlps": 1}]}],
        "crews": [crew("one", 1, &[]), crew("two", 2, &["rake"])],
        "visits": [visit("a", 1), visit("b", 2), visit("c", 2)]
    });
    p["crews"][0]["kit_hours"] = json!([28800, 36000]);
    p["crews"][0]["fair_load_s"] = json!(9999);
    p["crews"][0]["over_load_cost_per_h"] = json!(100);
    p["visits"][0]["water"] =
        json!({"group": "north", "flow_mlps": 500, "run_s": 300, "ready_by": 36000});
    p["visits"][1]["after"] = json!(["a"]);
    p["visits"][1]["prefer"] = json!({"crew": "one", "change_cost": 75});
    p["visits"][2]["pinned"] = json!({"crew": "two", "start_s": 30000});
    p
}

/// What is put where.
type Changes = Vec<(&'static str, Value)>;

/// Changes, and the pointers that the problem must then be refused with. `null` takes an optional field away.
fn cases() -> Vec<(Changes, Vec<&'static str>)> {
    let one = |at, value: Value, faults: &[&'static str]| (vec![(at, value)], faults.to_vec());
    vec![
        one("", json!([]), &[""]),
        one("/format", json!("day-problem/2"), &["/format"]),
        one("/travel_s", json!([]), &["/travel_s"]),
        one("/travel_s/1", json!([60, 0]), &["/travel_s/1"]),
        one("/travel_s/1/1", json!(4), &["/travel_s/1/1"]),
        one("/travel_s/1/0", json!(-4), &["/travel_s/1/0"]),
        one("/travel_s/1/0", json!(1.5), &["/travel_s/1/0"]),
        one(
            "/open_places",
            json!([0, 3, -1]),
            &["/open_places/1", "/open_places/2"],
        ),
        one("/open_places", json!(1), &["/open_places"]),
        one("/water", Value::Null, &["/visits/0/water/group", "/water"]),
        one("/crews/0/breaks", Value::Null, &["/crews/0/breaks"]),
        one(
            "/tools/1/class",
            json!("broom"),
            &[
                "/tools/1/class",
                "/visits/0/ways/1/tools/0",
                "/visits/1/ways/1/tools/0",
                "/visits/2/ways/1/tools/0",
            ],
        ),
        one("/tools/1/count", json!(-1), &["/tools/1/count"]),
        one(
            "/water/0/capacity_mlps",
            json!("900"),
            &["/water/0/capacity_mlps"],
        ),
        one("/water/0/taken/0/to", json!(0), &["/water/0/taken/0/to"]),
        one("/water/0/taken/0", json!(7), &["/water/0/taken/0"]),
        one(
            "/crews/1/id",
            json!("one"),
            &["/crews/1/id", "/visits/2/pinned/crew"],
        ),
        one("/crews/0/hands", json!(0), &["/crews/0/hands"]),
        one("/crews/0/skills", json!(["", "x"]), &["/crews/0/skills/0"]),
        one("/crews/0/start_place", json!(3), &["/crews/0/start_place"]),
        one("/crews/0/shift", json!([36000, 28800]), &["/crews/0/shift"]),
        one("/crews/0/shift", json!([-1, 28800]), &["/crews/0/shift"]),
        one(
            "/crews/0/overtime_until",
            json!(35999),
            &["/crews/0/overtime_until"],
        ),
        one(
            "/crews/0/overtime_pct",
            json!(99),
            &["/crews/0/overtime_pct"],
        ),
        one("/crews/0/cost_per_h", json!(true), &["/crews/0/cost_per_h"]),
        one(
            "/crews/0/fair_load_s",
            Value::Null,
            &["/crews/0/fair_load_s"],
        ),
        one("/crews/0/kit", json!(["broom", "saw"]), &["/crews/0/kit/1"]),
        one(
            "/crews/0/kit",
            json!(["broom", "broom"]),
            &["/crews/0/kit/1"],
        ),
        one("/crews/0/kit_hours", json!([9, 8]), &["/crews/0/kit_hours"]),
        one(
            "/crews/0/breaks/0/start_window",
            json!([9, 8]),
            &["/crews/0/breaks/0/start_window"],
        ),
        one(
            "/crews/0/breaks/0/length_s",
            json!(-1),
            &["/crews/0/breaks/0/length_s"],
        ),
        one("/visits/1/id", json!(""), &["/visits/1/id"]),
        one("/visits/2/id", json!("a"), &["/visits/2/id"]),
        one("/visits/0/place", json!(3), &["/visits/0/place"]),
        one("/visits/0/window", json!([5, 4]), &["/visits/0/window"]),
        one("/visits/0/window", json!([5]), &["/visits/0/window"]),
        one("/visits/0/skip_cost", json!(1.5), &["/visits/0/skip_cost"]),
        one("/visits/0/aim_end", Value::Null, &["/visits/0/aim_end"]),
        one("/visits/0/ways", json!([]), &["/visits/0/ways"]),
        one(
            "/visits/0/ways/0/tools",
            json!(["broom", "saw"]),
            &["/visits/0/ways/0/tools/1"],
        ),
        one(
            "/visits/0/ways/0/min_hands",
            json!(0),
            &["/visits/0/ways/0/min_hands"],
        ),
        one(
            "/visits/0/ways/0/service_s",
            json!([]),
            &["/visits/0/ways/0/service_s"],
        ),
        one(
            "/visits/0/ways/0/service_s/1",
            json!(-1),
            &["/visits/0/ways/0/service_s/1"],
        ),
        one(
            "/visits/0/ways/1/window",
            json!([9, 8]),
            &["/visits/0/ways/1/window"],
        ),
        one(
            "/visits/0/ways/1/aim_end",
            json!(-1),
            &["/visits/0/ways/1/aim_end"],
        ),
        one("/visits/1/after", json!(["a", "z"]), &["/visits/1/after/1"]),
        one("/visits/1/after", json!(["b"]), &["/visits/1/after"]),
        one(
            "/visits/0/after",
            json!(["b"]),
            &["/visits/0/after", "/visits/1/after"],
        ),
        one(
            "/visits/1/prefer",
            json!({"crew": "six", "change_cost": -1}),
            &["/visits/1/prefer/crew", "/visits/1/prefer/change_cost"],
        ),
        one(
            "/visits/2/pinned/crew",
            json!("six"),
            &["/visits/2/pinned/crew"],
        ),
        one(
            "/visits/0/water/group",
            json!("west"),
            &["/visits/0/water/group"],
        ),
        one(
            "/visits/0/water/run_s",
            json!("300"),
            &["/visits/0/water/run_s"],
        ),
        // Contradictions, judged where nothing else is wrong.
        one(
            "/visits/2/pinned/start_s",
            json!(28801),
            &["/visits/2/pinned"],
        ),
        one("/visits/2/load_g", json!(1001), &["/visits/2/pinned"]),
        one(
            "/visits/2/pinned/start_s",
            json!(35401),
            &["/visits/2/pinned"],
        ),
        (
            vec![
                ("/crews/0/kit", json!(["broom"])),
                ("/crews/1/kit", json!(["rake", "broom"])),
            ],
            vec!["/crews/0/kit/0", "/crews/1/kit/1"],
        ),
        // All at once, and then no contradictions.
        (
            vec![
                ("/visits/1/window", json!([5, 4])),
                ("/crews/0/start_place", json!(7)),
                ("/visits/2/load_g", json!(1001)),
            ],
            vec!["/crews/0/start_place", "/visits/1/window"],
        ),
    ]
}

/// Puts a value at a pointer, over what is there or as a new field.
fn put(problem: &mut Value, pointer: &str, value: Value) {
    if let Some(there) = problem.pointer_mut(pointer) {
        *there = value;
        return;
    }
    let (parent, field) = pointer.rsplit_once('/').expect("a pointer to a field");
    problem.pointer_mut(parent).expect("an object")[field] = value;
}

/// The pointers that the command names, sorted.
fn named(problem: &Path, out: &Path) -> Vec<String> {
    let ran = plan(problem, out, &["--iterations", "0"]);
    let said = String::from_utf8(ran.stderr).expect("text");
    let mut pointers: Vec<String> = said
        .lines()
        .map(|line| {
            line.strip_prefix("fault ")
                .and_then(|l| l.split_once(": "))
                .expect("a fault a line")
                .0
                .to_owned()
        })
        .collect();
    pointers.sort();
    assert_eq!(
        ran.status.code(),
        Some(if pointers.is_empty() { 0 } else { 2 })
    );
    pointers
}

/// The paths that the referee names, as pointers, sorted.
fn refereed(planning: &Path, problem: &Path) -> Vec<String> {
    let (said, _) = python(&planning.join("referee.py"), [problem]);
    let faults = said
        .lines()
        .filter_map(|l| l.strip_prefix("fault ")?.split_once(':'));
    let pointer = |path: &str| match path {
        "" => String::new(),
        path => format!("/{}", path.replace(']', "").replace(['[', '.'], "/")),
    };
    let mut pointers: Vec<String> = faults.map(|(path, _)| pointer(path)).collect();
    pointers.sort();
    pointers
}

#[test]
fn every_fault_is_named_by_its_pointer_and_no_other() {
    let folder = tempfile::tempdir().expect("a folder");
    let (problem, out) = (
        folder.path().join("problem.json"),
        folder.path().join("plan.json"),
    );
    fs::write(&problem, sound().to_string()).expect("a file");
    assert_eq!(named(&problem, &out), Vec::<String>::new());
    let planning = shared("planning");
    for (changes, mut expected) in cases() {
        let mut bad = sound();
        for (at, value) in &changes {
            put(&mut bad, at, value.clone());
        }
        fs::write(&problem, bad.to_string()).expect("a file");
        expected.sort_unstable();
        assert_eq!(named(&problem, &out), expected, "{changes:?}");
        if let Some(planning) = &planning {
            assert_eq!(
                refereed(planning, &problem),
                expected,
                "{changes:?}: the referee"
            );
        }
    }
}
