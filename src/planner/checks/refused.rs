//! The judge refuses what breaks a rule of the contract: one sound plan, and one change after the other to it or to
//! its problem.
//!
//! The problem, the plan and the changes stand in `refused/`, so that any other judge can be held to them too. A
//! change sets the values at JSON pointers, one that ends in `/-` adds to a list; `refused` says what the judge then
//! begins its lines with, no more and no less: the number of the rule, or the part of the cost.

use std::collections::{BTreeMap, BTreeSet};

use serde::Deserialize;
use serde_json::Value;

use crate::judge;
use crate::problem::Checked;

const PROBLEM: &str = include_str!("refused/problem.json");
const PLAN: &str = include_str!("refused/plan.json");
const CHANGES: &str = include_str!("refused/changes.json");

#[derive(Deserialize)]
struct Change {
    says: String,
    refused: BTreeSet<String>,
    #[serde(default)]
    problem: BTreeMap<String, Value>,
    #[serde(default)]
    plan: BTreeMap<String, Value>,
}

fn changes() -> Vec<Change> {
    serde_json::from_str(CHANGES).expect("a list of changes")
}

fn changed(text: &str, edits: &BTreeMap<String, Value>) -> String {
    let mut value: Value = serde_json::from_str(text).expect("JSON");
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

fn judged(problem: &str, plan: &str) -> Vec<String> {
    let problem = Checked::from_json(problem).expect("a sound problem");
    judge::violations(&problem, &serde_json::from_str(plan).expect("a plan"))
}

/// What a line of the judge is about: the rule's number, or the part of the cost.
fn about(line: &str) -> String {
    let (rule, text) = line.split_once(": ").expect("a rule and a text");
    match rule {
        "cost" => format!("cost: {}", text.split(' ').next().expect("a part")),
        _ => rule.to_owned(),
    }
}

#[test]
fn a_plan_that_keeps_every_rule_is_not_refused() {
    assert_eq!(judged(PROBLEM, PLAN), Vec::<String>::new());
}

#[test]
fn a_plan_that_breaks_a_rule_is_refused_by_its_number() {
    for change in changes() {
        let problem = changed(PROBLEM, &change.problem);
        let lines = judged(&problem, &changed(PLAN, &change.plan));
        let said: BTreeSet<String> = lines.iter().map(|l| about(l)).collect();
        assert_eq!(said, change.refused, "{}: {lines:?}", change.says);
    }
}

#[test]
fn every_rule_and_every_part_of_the_cost_is_broken_once() {
    let mut all: BTreeSet<String> = (1..=11).map(|rule| rule.to_string()).collect();
    let parts = "travel service overtime balance ways late change skip total";
    all.extend(parts.split(' ').map(|part| format!("cost: {part}")));
    all.insert("bound".to_owned());
    let broken: BTreeSet<String> = changes().into_iter().flat_map(|c| c.refused).collect();
    assert_eq!(broken, all);
}

#[test]
fn what_is_wrong_is_said_in_the_order_of_the_problem_and_the_plan() {
    let strangers = [9, 3, 7, 1, 8, 2];
    let mut problem: Value = serde_json::from_str(PROBLEM).expect("JSON");
    let mut plan: Value = serde_json::from_str(PLAN).expect("JSON");
    for n in strangers {
        let unknown = serde_json::json!({"visit": format!("{n}"), "reason": "no_time_left"});
        plan["unserved"]
            .as_array_mut()
            .expect("a list")
            .push(unknown);
    }
    plan["watering"] = serde_json::json!([]);
    problem["visits"].as_array_mut().expect("a list").swap(1, 4);
    let lines = judged(&problem.to_string(), &plan.to_string());
    let unknown = strangers.map(|n| format!("1: {n} is no visit of the problem"));
    let dry = ["sprinkle-1", "roll-2"].map(|id| format!("9: {id} has not one watering"));
    assert_eq!(lines, [unknown.as_slice(), &dry].concat());
}
