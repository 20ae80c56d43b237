//! A search begun from a plan, which may be one of another day.

use proptest::prelude::*;

use super::builder::{checked, crew, day, planned_with, visit};
use super::properties::random_day;
use crate::plan::Plan;
use crate::{Control, Options, improve, judge};

#[test]
fn a_plan_that_has_the_order_wrong_is_begun_in_the_right_one() {
    let mut p = day(3, 60);
    p.crews = vec![crew("one")];
    p.visits = vec![visit("b", 1), visit("a", 2)];
    p.visits[1].window[0] = 1600;
    let from = planned_with(&p, 1, 10);
    let order = |plan: &Plan| {
        plan.rounds[0]
            .stops
            .iter()
            .map(|s| s.visit.clone())
            .collect::<Vec<_>>()
    };
    assert_eq!(order(&from), ["b", "a"]);
    p.visits[0].after = vec!["a".to_owned()];
    let options = Options {
        iterations: Some(0),
        ..Options::default()
    };
    let after = improve(&checked(&p), &from, &options, &mut |_| Control::Continue {
        spent: 0.0,
    });
    assert_eq!(order(&after), ["a", "b"]);
    assert!(judge::violations(&checked(&p), &after).is_empty());
}

proptest! {
    #![proptest_config(super::cases(256))]

    #[test]
    fn whatever_plan_a_day_is_begun_from_no_plan_breaks_a_rule(
        seed: u64, other: u64, crews in 1_i64..4, visits in 1_i64..10, steps in 0_u64..20
    ) {
        let p = checked(&random_day(seed, crews, visits));
        let from = planned_with(&random_day(other, crews, visits), seed, 20);
        let options = Options { seed, iterations: Some(steps), ..Options::default() };
        let after = improve(&p, &from, &options, &mut |_| Control::Continue { spent: 0.0 });
        prop_assert_eq!(judge::violations(&p, &after), Vec::<String>::new());
    }
}
