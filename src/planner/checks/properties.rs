//! What holds for every day, tried on random ones: few places and crews, so that everything is in the way
//! of everything.

use proptest::prelude::*;

use super::builder::{checked, planned_with};
use crate::plan::Plan;
use crate::problem::{
    Break, Checked, Crew, FORMAT, Pin, Prefer, Problem, Taken, ToolClass, Visit, WaterGroup,
    Watering, Way,
};
use crate::rng::Rng;
use crate::{Control, Options, Proof, judge, plan};

/// Chance for building a day.
pub(super) struct Dice(pub Rng);

impl Dice {
    /// A number from 0 to `most`.
    pub fn up_to(&mut self, most: i64) -> i64 {
        i64::try_from(
            self.0
                .below(usize::try_from(most + 1).expect("not negative")),
        )
        .expect("small")
    }

    pub fn one_of<T: Clone>(&mut self, of: &[T]) -> T {
        of[self.0.below(of.len())].clone()
    }

    pub fn often(&mut self, percent: usize) -> bool {
        self.0.below(100) < percent
    }

    fn some_of(&mut self, of: &[String], percent: usize) -> Vec<String> {
        of.iter().filter(|_| self.often(percent)).cloned().collect()
    }

    pub fn span(&mut self, latest: i64, length: i64) -> [i64; 2] {
        let from = self.up_to(latest);
        [from, from + self.up_to(length)]
    }
}

fn names(of: &[&str], n: i64) -> Vec<String> {
    of.iter()
        .map(|&s| s.to_owned())
        .take(usize::try_from(n).expect("small"))
        .collect()
}

pub(super) fn random_day(seed: u64, crews: i64, visits: i64) -> Problem {
    let mut d = Dice(Rng::new(seed));
    let places = 1 + d.up_to(4);
    let classes = names(&["broom", "rake", "roller"], d.up_to(3));
    let groups = names(&["north", "south"], d.up_to(2));
    let travel = |d: &mut Dice, i, j| {
        if i == j {
            0
        } else {
            d.one_of(&[0, 1, 2, 5, 9])
        }
    };
    let mut p = Problem {
        format: FORMAT.to_owned(),
        date: None,
        note: None,
        travel_s: (0..places)
            .map(|i| (0..places).map(|j| travel(&mut d, i, j)).collect())
            .collect(),
        open_places: d.one_of(&[None, Some(vec![0])]),
        tools: classes
            .iter()
            .map(|c| ToolClass {
                class: c.clone(),
                count: d.up_to(2),
            })
            .collect(),
        water: Vec::new(),
        crews: Vec::new(),
        visits: Vec::new(),
    };
    for group in &groups {
        let [from, to] = d.span(80, 20);
        p.water.push(WaterGroup {
            group: group.clone(),
            capacity_mlps: 1 + d.up_to(3),
            taken: d.often(50).then(|| {
                vec![Taken {
                    from,
                    to,
                    flow_mlps: 1,
                }]
            }),
        });
    }
    for i in 0..crews {
        p.crews.push(random_crew(&mut d, i, places, &classes));
    }
    for i in 0..visits {
        let v = random_visit(&mut d, &p, i, &classes, &groups);
        p.visits.push(v);
    }
    sound(p)
}

fn random_crew(d: &mut Dice, i: i64, places: i64, classes: &[String]) -> Crew {
    let from = d.up_to(40);
    let to = from + 10 + d.up_to(70);
    let fair = d.often(30).then(|| d.up_to(40));
    Crew {
        id: format!("crew {i}"),
        hands: 1 + d.up_to(2),
        skills: d.some_of(&names(&["x", "y"], 2), 50),
        start_place: d.up_to(places - 1),
        end_place: d.up_to(places - 1),
        shift: [from, to],
        overtime_until: to + d.one_of(&[0, 0, 10, 20]),
        cost_per_h: d.one_of(&[0, 3600, 5000]),
        overtime_pct: d.one_of(&[100, 150, 200]),
        kit_limit: d.up_to(3),
        load_limit_g: d.one_of(&[5, 10, 100]),
        breaks: (0..d.one_of(&[0, 0, 1, 1, 2, 3]))
            .map(|_| {
                let [open, close] = d.span(60, 50);
                Break {
                    length_s: d.up_to(6),
                    start_window: [from + open, from + close],
                }
            })
            .collect(),
        fair_load_s: fair,
        over_load_cost_per_h: fair.map(|_| d.one_of(&[0, 1800, 3600])),
        kit: d.often(25).then(|| d.some_of(classes, 50)),
        kit_hours: d.often(25).then(|| d.span(60, 60)),
    }
}

pub(super) fn random_visit(
    d: &mut Dice,
    p: &Problem,
    i: i64,
    classes: &[String],
    groups: &[String],
) -> Visit {
    let window = d.span(80, 60);
    let crew = |d: &mut Dice| d.one_of(&p.crews).id;
    let way = |d: &mut Dice| Way {
        tools: d.some_of(classes, 35),
        skills: d.some_of(&names(&["x", "y"], 2), 20),
        min_hands: d.one_of(&[1, 1, 1, 2, 3]),
        service_s: (0..=d.up_to(2)).map(|_| d.up_to(12)).collect(),
        extra_cost: d.one_of(&[0, 0, 5]),
        window: d.often(30).then(|| d.span(80, 50)),
        aim_end: d.often(30).then(|| d.up_to(90)),
    };
    Visit {
        id: format!("visit {i}"),
        place: d.up_to(i64::try_from(p.travel_s.len()).expect("small") - 1),
        window,
        aim_end: d.up_to(100),
        late_cost_per_h: d.one_of(&[0, 1000, 7200]),
        skip_cost: d.one_of(&[0, 5, 20, 50, 200]),
        load_g: d.one_of(&[0, 0, 1, 4, 6]),
        ways: (0..=d.up_to(2)).map(|_| way(d)).collect(),
        after: p
            .visits
            .iter()
            .filter(|_| d.often(12))
            .map(|v| v.id.clone())
            .collect(),
        prefer: d.often(20).then(|| Prefer {
            crew: crew(d),
            change_cost: d.up_to(9),
        }),
        pinned: d.often(20).then(|| Pin {
            crew: crew(d),
            start_s: d.often(50).then(|| window[0] + d.up_to(9)),
        }),
        water: (!groups.is_empty() && d.often(40)).then(|| Watering {
            group: d.one_of(groups),
            flow_mlps: d.up_to(3),
            run_s: d.up_to(9),
            ready_by: window[1] + d.up_to(20),
        }),
    }
}

/// Takes out given kits and pins that contradict the rest.
pub(super) fn sound(mut p: Problem) -> Problem {
    while let Err(faults) = p.clone().checked() {
        for fault in faults {
            let path: Vec<&str> = fault.pointer.split('/').collect();
            let i: usize = path[2].parse().expect("an index");
            match path[1] {
                "crews" => p.crews[i].kit = None,
                _ => p.visits[i].pinned = None,
            }
        }
    }
    p
}

fn days() -> impl Strategy<Value = Problem> {
    (any::<u64>(), 1_i64..5, 1_i64..15)
        .prop_map(|(seed, crews, visits)| random_day(seed, crews, visits))
}

proptest! {
    #![proptest_config(super::cases(128))]

    #[test]
    fn no_plan_breaks_a_rule(p in days(), seed: u64, iterations in 0_u64..200) {
        planned_with(&p, seed, iterations);
    }

    #[test]
    fn a_plan_stopped_at_any_moment_breaks_no_rule(p in days(), steps in 0_usize..60) {
        let p = checked(&p);
        let mut left = steps;
        let plan = plan(&p, &Options::default(), &mut |_| {
            left = left.saturating_sub(1);
            if left == 0 { Control::Stop } else { Control::Continue { spent: 0.5 } }
        });
        prop_assert_eq!(judge::violations(&p, &plan), Vec::<String>::new());
    }

    #[test]
    fn the_same_seed_and_steps_give_the_same_plan(p in days(), seed: u64) {
        prop_assert_eq!(planned_with(&p, seed, 60), planned_with(&p, seed, 60));
    }

    /// With steps for several legs, on days with like crews, which several plans cost equally little: that one
    /// leg finds one as cheap as the bound must not cut those before it short.
    #[test]
    fn the_same_seed_and_steps_give_the_same_plan_on_any_number_of_threads(
        day: u64, crews in 1_i64..5, visits in 1_i64..8, seed: u64, steps in 100_u64..2000
    ) {
        let mut p = random_day(day, 1, visits);
        let one = p.crews[0].clone();
        p.crews = (0..crews).map(|i| Crew { id: format!("crew {i}"), kit: None, ..one.clone() }).collect();
        for v in &mut p.visits {
            (v.prefer, v.pinned) = (None, None);
        }
        let p = checked(&p);
        let on = |threads| {
            let (iterations, proof) = (Some(steps), Proof::Steps(100));
            let options = Options { seed, iterations, threads, proof };
            plan(&p, &options, &mut |_| Control::Continue { spent: 0.0 })
        };
        let alone = on(1);
        prop_assert_eq!(&on(2), &alone);
        prop_assert_eq!(&on(3), &alone);
    }

    #[test]
    fn the_lower_bound_is_below_every_plan_and_never_falls_with_a_dearer_skip(p in days(), more in 0_i64..500) {
        let plans: Vec<Plan> = (0..3).map(|seed| planned_with(&p, seed, 40)).collect();
        prop_assert!(plans.iter().all(|plan| plan.lower_bound == plans[0].lower_bound));
        prop_assert!(plans.iter().all(|plan| plan.lower_bound <= plan.cost.total));
        let mut dearer = p;
        dearer.visits[0].skip_cost += more;
        prop_assert!(planned_with(&dearer, 0, 0).lower_bound >= plans[0].lower_bound);
    }

    #[test]
    fn a_crew_leaves_no_earlier_than_it_must(p in days(), seed: u64) {
        for round in planned_with(&p, seed, 40).rounds {
            let first = &round.stops[0];
            let on_arrival = round.breaks.iter().any(|b| b.start_s == first.arrive_s);
            prop_assert!(first.arrive_s == first.start_s || on_arrival);
        }
    }

    #[test]
    fn problems_and_plans_survive_being_written_down(p in days()) {
        let plan = planned_with(&p, 1, 20);
        let text = serde_json::to_string(&plan).expect("a plan can be written");
        prop_assert_eq!(serde_json::from_str::<Plan>(&text).expect("and read"), plan);
        let text = serde_json::to_string(&p).expect("a problem can be written");
        let read = Checked::from_json(&text).expect("and read");
        prop_assert_eq!(read.problem(), &p);
    }
}
