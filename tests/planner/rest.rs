//! The rest of whole days, cut at several moments with several changes, judged by the referee.

use std::fs;
use std::path::Path;

use planner::plan::Plan;
use planner::problem::{Checked, Problem};
use planner::rest::{Change, News, replan};
use planner::{Control, Options, improve, judge};

use super::referee::{accepts, planned, shared};

fn options(iterations: u64) -> Options {
    Options {
        seed: 1,
        iterations: Some(iterations),
        ..Options::default()
    }
}

/// Rain, a crew gone, a court closed, a tool broken, and all of them at once.
fn changes(day: &Problem, at: i64) -> Vec<Vec<Change>> {
    let rain = Change::Rain {
        from: at + 600,
        to: at + 3600,
        places: None,
    };
    let gone = Change::CrewGone {
        crew: day.crews[0].id.clone(),
        from: at + 1800,
    };
    let closed = Change::PlaceClosed {
        place: 1,
        from: at,
        to: at + 20_000,
    };
    let mut all = vec![rain, gone, closed];
    all.extend(day.tools.first().map(|t| Change::ToolBroken {
        class: t.class.clone(),
        how_many: 1,
        crew: None,
    }));
    let mut each: Vec<Vec<Change>> = all.iter().map(|c| vec![c.clone()]).collect();
    each.push(Vec::new());
    each.push(all);
    each
}

#[test]
fn the_referee_accepts_the_plan_of_the_rest_of_every_day_beside_the_contract() {
    let Some(planning) = shared("planning") else {
        return;
    };
    let out = tempfile::tempdir().expect("a folder");
    for name in ["tiny-2", "small-2", "small-3", "medium-2", "large-1"] {
        let file = planning.join("days").join(format!("{name}.json"));
        let plan = planned(&file, &out.path().join("plan"), 1, 200);
        let text = fs::read_to_string(&file).expect("the problem can be read");
        let day = Checked::from_json(&text).expect("a sound problem");
        no_dearer_again(&day, &plan, name);
        for at in [25_000, 38_400, 50_000] {
            for changes in changes(day.problem(), at) {
                let news = News {
                    at,
                    changes,
                    change_cost: 200,
                    ..News::default()
                };
                let go_on = &mut |_: &_| Control::Continue { spent: 0.0 };
                let (rest, after) =
                    replan(&day, &plan, &news, &options(30), go_on).expect("sound news");
                let violations = judge::violations(&rest.problem, &after);
                assert_eq!(violations, Vec::<String>::new(), "{name} {news:?}");
                let (problem, plan) = (out.path().join("rest.json"), out.path().join("after.json"));
                write(&problem, rest.problem.problem());
                write(&plan, &after);
                println!("{name} {news:?}");
                accepts(&planning, &problem, &plan);
            }
        }
    }
}

/// A plan that is the beginning of a search without steps comes out no dearer than it went in.
fn no_dearer_again(day: &Checked, plan: &Plan, name: &str) {
    let go_on = &mut |_: &_| Control::Continue { spent: 0.0 };
    let again = improve(day, plan, &options(0), go_on);
    assert!(again.cost.total <= plan.cost.total, "{name}");
}

fn write(to: &Path, what: &impl serde::Serialize) {
    let text = serde_json::to_string(what).expect("it can be written");
    fs::write(to, text).expect("the file can be written");
}
