//! Small days to build on.

use crate::plan::{Plan, Stop};
use crate::problem::{
    Break, Checked, Crew, FORMAT, Pin, Problem, ToolClass, Visit, WaterGroup, Watering, Way,
};
use crate::{Control, Options, judge, plan};

/// Places on a line, `step` seconds from one to the next.
pub(super) fn day(places: i64, step: i64) -> Problem {
    let row = |i: i64| (0..places).map(|j| (i - j).abs() * step).collect();
    Problem {
        format: FORMAT.to_owned(),
        date: None,
        note: None,
        travel_s: (0..places).map(row).collect(),
        open_places: None,
        tools: Vec::new(),
        water: Vec::new(),
        crews: Vec::new(),
        visits: Vec::new(),
    }
}

/// One person at place 0 from 1000 to 10,000, a cent a second, no overtime.
pub(super) fn crew(id: &str) -> Crew {
    Crew {
        id: id.to_owned(),
        hands: 1,
        skills: Vec::new(),
        start_place: 0,
        end_place: 0,
        shift: [1000, 10_000],
        overtime_until: 10_000,
        cost_per_h: 3600,
        overtime_pct: 150,
        kit_limit: 2,
        load_limit_g: 1000,
        breaks: Vec::new(),
        fair_load_s: None,
        over_load_cost_per_h: None,
        kit: None,
        kit_hours: None,
    }
}

/// Ten minutes of work at any time of the day, 5000 cents to leave out.
pub(super) fn visit(id: &str, place: i64) -> Visit {
    Visit {
        id: id.to_owned(),
        place,
        window: [0, 20_000],
        aim_end: 20_000,
        late_cost_per_h: 0,
        skip_cost: 5000,
        load_g: 0,
        ways: vec![way(&[], 600, 0)],
        after: Vec::new(),
        prefer: None,
        pinned: None,
        water: None,
    }
}

pub(super) fn way(tools: &[&str], service_s: i64, extra_cost: i64) -> Way {
    Way {
        tools: tools.iter().map(|&t| t.to_owned()).collect(),
        skills: Vec::new(),
        min_hands: 1,
        service_s: vec![service_s],
        extra_cost,
        window: None,
        aim_end: None,
    }
}

pub(super) fn tool(class: &str, count: i64) -> ToolClass {
    ToolClass {
        class: class.to_owned(),
        count,
    }
}

pub(super) fn line(group: &str, capacity_mlps: i64) -> WaterGroup {
    WaterGroup {
        group: group.to_owned(),
        capacity_mlps,
        taken: None,
    }
}

pub(super) fn watering(group: &str, run_s: i64, ready_by: i64) -> Watering {
    Watering {
        group: group.to_owned(),
        flow_mlps: 500,
        run_s,
        ready_by,
    }
}

pub(super) fn pin(crew: &str, start_s: Option<i64>) -> Pin {
    Pin {
        crew: crew.to_owned(),
        start_s,
    }
}

pub(super) fn rest(length_s: i64, from: i64, to: i64) -> Break {
    Break {
        length_s,
        start_window: [from, to],
    }
}

pub(super) fn checked(problem: &Problem) -> Checked {
    problem.clone().checked().expect("a sound problem")
}

/// Plans with a few hundred steps; the plan keeps every rule.
pub(super) fn planned(problem: &Problem) -> Plan {
    planned_with(problem, 1, 300)
}

pub(super) fn planned_with(problem: &Problem, seed: u64, iterations: u64) -> Plan {
    let problem = checked(problem);
    let options = Options {
        seed,
        iterations: Some(iterations),
        ..Options::default()
    };
    let plan = plan(&problem, &options, &mut |_| Control::Continue {
        spent: 0.0,
    });
    assert_eq!(judge::violations(&problem, &plan), Vec::<String>::new());
    plan
}

/// A visit's stop, and the crew that makes it.
pub(super) fn stop<'p>(plan: &'p Plan, visit: &str) -> (&'p str, &'p Stop) {
    let of = |r: &'p crate::plan::Round| {
        Some((r.crew.as_str(), r.stops.iter().find(|s| s.visit == visit)?))
    };
    plan.rounds
        .iter()
        .find_map(of)
        .expect("the visit is served")
}
