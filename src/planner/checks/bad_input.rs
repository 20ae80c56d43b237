//! Problems as no program should write them: whatever stands in the file, it is planned or refused with
//! faults that say where.

use std::collections::HashSet;

use proptest::prelude::*;
use serde_json::{Value, json};

use super::builder::{crew, day, planned_with, visit};
use super::mangle::{mangled, names_a_place, stretch};
use super::properties::{Dice, random_day};
use crate::problem::Checked;
use crate::rng::Rng;
use crate::{Control, Fault, Options, judge, plan};

pub(super) fn written(seed: u64) -> Value {
    let mut d = Dice(Rng::new(seed));
    let (crews, visits) = (1 + d.up_to(3), 2 + d.up_to(8));
    serde_json::to_value(random_day(seed, crews, visits)).expect("a problem can be written")
}

/// Each fault names another place of the text, the root where it is no JSON.
pub(super) fn name_places(faults: &[Fault], json: Option<&Value>) {
    assert!(!faults.is_empty(), "refused without a fault");
    let mut seen = HashSet::new();
    for fault in faults {
        let there = json.is_some_and(|d| names_a_place(d, &fault.pointer));
        assert!(there || fault.pointer.is_empty(), "{fault}");
        assert!(seen.insert(&fault.pointer), "twice: {fault}");
        assert!(!fault.text.is_empty(), "{fault}");
    }
    assert!(json.is_some() || faults.len() == 1, "no JSON is one fault");
}

fn planned_or_refused(text: &str, iterations: u64) {
    let problem = match Checked::from_json(text) {
        Ok(problem) => problem,
        Err(faults) => return name_places(&faults, serde_json::from_str(text).ok().as_ref()),
    };
    let options = Options {
        iterations: Some(iterations),
        ..Options::default()
    };
    let plan = plan(&problem, &options, &mut |_| Control::Continue {
        spent: 0.0,
    });
    let broken = judge::violations(&problem, &plan);
    assert!(broken.is_empty(), "{broken:?} by the plan of {text}");
    assert!(plan.lower_bound <= plan.cost.total, "the bound of {text}");
}

/// A field that every visit has and that nothing else points to, with what cannot stand there.
const WRONG: [&str; 7] = [
    "place",
    "window",
    "aim_end",
    "skip_cost",
    "load_g",
    "ways",
    "after",
];

proptest! {
    #![proptest_config(super::cases(512))]

    #[test]
    fn a_mangled_problem_is_planned_or_refused_with_its_places(seed: u64, times in 1_i64..7, iterations in 0_u64..20) {
        let mut d = Dice(Rng::new(!seed));
        planned_or_refused(&mangled(&mut d, written(seed), times), iterations);
    }

    #[test]
    fn numbers_at_the_edge_of_what_is_allowed_are_planned_or_refused(seed: u64, times in 1_i64..40, iterations in 0_u64..20) {
        let mut problem = written(seed);
        stretch(&mut Dice(Rng::new(!seed)), &mut problem, times);
        planned_or_refused(&problem.to_string(), iterations);
    }

    #[test]
    fn two_faults_far_from_each_other_are_named_at_once(seed: u64, one in 0_usize..7, other in 0_usize..7) {
        let mut problem = written(seed);
        let last = problem["visits"].as_array().map_or(0, Vec::len) - 1;
        let wrong = Dice(Rng::new(seed)).one_of(&[json!("no"), json!(-1), json!({}), json!(null)]);
        problem["visits"][0][WRONG[one]] = wrong.clone();
        problem["visits"][last][WRONG[other]] = wrong;
        let faults = Checked::from_json(&problem.to_string()).expect_err("two faults");
        let named: Vec<&str> = faults.iter().map(|f| f.pointer.as_str()).collect();
        let last = format!("/visits/{last}/{}", WRONG[other]);
        prop_assert_eq!(named, [&format!("/visits/0/{}", WRONG[one]), &last]);
    }
}

#[test]
fn costs_that_cannot_be_added_up_are_refused() {
    let mut p = day(2, 60);
    p.crews = vec![crew("one")];
    let many = |n: usize| {
        let all = (0..n).map(|i| {
            let mut v = visit(&format!("v{i}"), 1);
            v.skip_cost = 10_000_000_000;
            v
        });
        all.collect::<Vec<_>>()
    };
    p.visits = many(300);
    planned_with(&p, 1, 0);
    p.visits = many(400);
    let faults = p
        .checked()
        .expect_err("400 visits of a hundred million dollars");
    let named: Vec<&str> = faults.iter().map(|f| f.pointer.as_str()).collect();
    assert_eq!(named, ["/visits"]);
}
