//! The referee refuses the same changes to one sound plan as the planner's own judge.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use serde::Deserialize;
use serde_json::Value;

use super::referee::{accepts, python, shared};

/// A row of `refused/changes.json` in the planner's checks, whose header says what stands there.
#[derive(Deserialize)]
struct Change {
    says: String,
    refused: Vec<String>,
    /// How the referee begins the line, where that is neither the rule's number nor the part of the cost.
    referee: Option<String>,
    #[serde(default)]
    problem: BTreeMap<String, Value>,
    #[serde(default)]
    plan: BTreeMap<String, Value>,
}

impl Change {
    /// How some line of the referee begins.
    fn said(&self) -> String {
        let own = &self.refused[0];
        match (&self.referee, own.parse::<u8>()) {
            (Some(said), _) => format!("{said}: "),
            (None, Ok(rule)) => format!("rule {rule}: "),
            (None, Err(_)) => own.clone(),
        }
    }
}

fn changed(mut value: Value, edits: &BTreeMap<String, Value>) -> String {
    for (pointer, new) in edits {
        if let Some(list) = pointer.strip_suffix("/-") {
            let list = value.pointer_mut(list).and_then(Value::as_array_mut);
            list.expect("a list").push(new.clone());
        } else {
            *value.pointer_mut(pointer).expect("a place") = new.clone();
        }
    }
    value.to_string()
}

#[test]
fn the_referee_refuses_what_the_judge_refuses() {
    let Some(planning) = shared("planning") else {
        return;
    };
    let table = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/planner/checks/refused");
    let read = |name: &str| fs::read_to_string(table.join(name)).expect("a file");
    let json = |name: &str| serde_json::from_str::<Value>(&read(name)).expect("JSON");
    let (sound, plan) = (json("problem.json"), json("plan.json"));
    accepts(
        &planning,
        &table.join("problem.json"),
        &table.join("plan.json"),
    );
    let changes: Vec<Change> = serde_json::from_str(&read("changes.json")).expect("changes");
    assert!(!changes.is_empty());
    let out = tempfile::tempdir().expect("a folder");
    let files = [out.path().join("problem"), out.path().join("plan")];
    for change in changes {
        fs::write(&files[0], changed(sound.clone(), &change.problem)).expect("a file");
        fs::write(&files[1], changed(plan.clone(), &change.plan)).expect("a file");
        let (told, ok) = python(&planning.join("referee.py"), &files);
        let named = told.lines().any(|l| l.starts_with(&change.said()));
        assert!(!ok && named, "{}: {told}", change.says);
    }
}
