//! Routing with time windows: the published instances as days, whose values no sound plan can beat.

use std::fs;

use planner::money::Total;
use planner::problem::Checked;

use super::referee::{accepts, bound_after, planned, python, shared};

/// How the published value is computed; the other convention of the file cannot be compared.
const CONVENTION: &str = "total distance; distances and times truncated to one decimal; fleet free";

#[test]
fn plans_of_the_published_instances_are_accepted_and_beat_no_published_value() {
    let (Some(planning), Some(vrptw)) = (shared("planning"), shared("vrptw")) else {
        return;
    };
    let out = tempfile::tempdir().expect("a folder");
    let convert = planning.join("vrptw_to_day.py");
    // Columns: name, customers, convention, vehicles, value, status, source (the last names where each value
    // was published).
    let known = fs::read_to_string(vrptw.join("best_known.csv")).expect("the values can be read");
    let mut compared = 0;
    for row in known.lines().filter(|row| row.contains(CONVENTION)) {
        let columns: Vec<&str> = row.split(',').collect();
        let (name, published) = (columns[0], columns[4].parse::<f64>().expect("a value"));
        let file = vrptw.join(format!("{name}.txt"));
        let (text, _) = python(&convert, [&file]);
        let (problem, plan) = (
            out.path().join("problem.json"),
            out.path().join("plan.json"),
        );
        fs::write(&problem, &text).expect("the problem can be written");
        let bound = bound_of(&text, 4000);
        assert!(
            bound <= published * 10.0 + 1e-6,
            "{name}: the bound {bound} is above the optimum {published}"
        );
        planned(&problem, &plan, 1, 1000);
        accepts(&planning, &problem, &plan);
        let (said, _) = python(
            &convert,
            [file.as_os_str(), "--check".as_ref(), plan.as_os_str()],
        );
        let value: f64 = said
            .split(['=', ' '])
            .nth(1)
            .and_then(|v| v.parse().ok())
            .unwrap_or_else(|| panic!("no value in {said}"));
        assert!(said.contains("unserved=0"), "{name}: {said}");
        assert!(
            value >= published - 1e-6,
            "{name}: {value} is below the optimum {published}"
        );
        // Far from tight: only that the search works on this kind of day as well.
        assert!(
            value <= published * 1.2,
            "{name}: {value} is far above {published}"
        );
        compared += 1;
    }
    assert_eq!(compared, 10);
}

/// The lower bound in ten times the published unit, after so many questions whether to go on.
fn bound_of(text: &str, steps: usize) -> f64 {
    let checked = Checked::from_json(text).expect("a sound problem");
    let services = checked.problem().visits.iter();
    let services: i64 = services.map(|v| v.ways[0].service_s[0]).sum();
    bound_after(&checked, steps).cents() - Total::from_hundredths(services * 100).cents()
}
