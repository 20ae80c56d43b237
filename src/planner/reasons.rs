//! The reasons that follow from the problem alone, and the same tests over one crew: contradictory pins.

use std::collections::HashMap;

use crate::plan::Reason;
use crate::problem::{Crew, Problem, Visit, Way};
use crate::spans::{self, Flow};

/// What the tests look up in a problem.
pub(crate) struct Lookup<'p> {
    problem: &'p Problem,
    count: HashMap<&'p str, i64>,
    lines: HashMap<&'p str, (i64, Vec<Flow>)>,
}

impl<'p> Lookup<'p> {
    pub(crate) fn new(problem: &'p Problem) -> Self {
        let count = problem
            .tools
            .iter()
            .map(|t| (t.class.as_str(), t.count))
            .collect();
        let lines = problem
            .water
            .iter()
            .map(|g| {
                let taken = g.taken.iter().flatten();
                let flows = taken
                    .map(|t| Flow {
                        from: t.from,
                        to: t.to,
                        mlps: t.flow_mlps,
                    })
                    .collect();
                (g.group.as_str(), (g.capacity_mlps, flows))
            })
            .collect();
        Self {
            problem,
            count,
            lines,
        }
    }

    /// The crew could have the way's classes in one kit, as far as it and the counts go.
    pub(crate) fn can_hold(&self, crew: &Crew, way: &Way) -> bool {
        let there_is = |class: &&str| self.count.get(class).copied().unwrap_or(0) > 0;
        way.classes().iter().all(there_is) && crew.has_room_for(way)
    }

    fn travel(&self, from: i64, to: i64) -> i64 {
        let at = |x: i64| usize::try_from(x).unwrap_or(0);
        self.problem.travel_s[at(from)][at(to)]
    }

    /// The end of the service where the crew goes straight there at its shift's start and straight home,
    /// if that keeps the window, the kit hours and the overtime.
    fn straight(&self, visit: &Visit, crew: &Crew, way: &Way, start_s: Option<i64>) -> Option<i64> {
        let [mut open, mut close] = visit.window_of(way);
        if let Some([from, to]) = crew.kit_hours
            && !way.tools.is_empty()
        {
            open = open.max(from);
            close = close.min(to);
        }
        let earliest = open.max(crew.shift[0] + self.travel(crew.start_place, visit.place));
        let start = start_s.unwrap_or(earliest);
        let end = start + way.service(crew.hands);
        let home = end + self.travel(visit.place, crew.end_place);
        (start >= earliest && end <= close && home <= crew.overtime_until).then_some(end)
    }

    /// The first of the reasons that hold for this visit over these crews, each test looking only at the
    /// pairs of crew and way that passed the tests before it.
    pub(crate) fn first(
        &self,
        visit: &'p Visit,
        crews: &'p [Crew],
        start_s: Option<i64>,
    ) -> Option<Reason> {
        let mut pairs: Vec<(&Crew, &Way)> = visit
            .ways
            .iter()
            .flat_map(|w| crews.iter().map(move |c| (c, w)))
            .collect();
        pairs.retain(|(c, w)| c.skilled(w));
        if pairs.is_empty() {
            return Some(Reason::NoCrewHasTheSkill);
        }
        pairs.retain(|(c, w)| c.hands >= w.min_hands);
        if pairs.is_empty() {
            return Some(Reason::NoCrewHasTheHands);
        }
        pairs.retain(|(c, w)| self.can_hold(c, w));
        if pairs.is_empty() {
            return Some(Reason::NoSuchTool);
        }
        pairs.retain(|(c, w)| {
            let [open, close] = visit.window_of(w);
            open + w.service(c.hands) <= close
        });
        if pairs.is_empty() {
            return Some(Reason::WindowShorterThanTheWork);
        }
        let ends = pairs
            .iter()
            .filter_map(|(c, w)| self.straight(visit, c, w, start_s));
        let Some(end) = ends.min() else {
            return Some(Reason::NoCrewOnShiftInWindow);
        };
        if let Some(water) = &visit.water {
            let (capacity, taken) = &self.lines[water.group.as_str()];
            let run = (water.flow_mlps, water.run_s);
            if spans::slot(&taken.iter().copied(), run, end, water.ready_by, *capacity).is_none() {
                return Some(Reason::WaterCannotFinish);
            }
        }
        None
    }
}

/// For each visit the reason why it must stay unserved in every plan, if there is one: its own, or that it
/// waits for such a visit.
pub(crate) fn of_all(problem: &Problem) -> Vec<Option<Reason>> {
    let lookup = Lookup::new(problem);
    let mut reasons: Vec<Option<Reason>> = problem
        .visits
        .iter()
        .map(|v| lookup.first(v, &problem.crews, None))
        .collect();
    let index: HashMap<&str, usize> = problem
        .visits
        .iter()
        .enumerate()
        .map(|(i, v)| (v.id.as_str(), i))
        .collect();
    loop {
        let waits = |v: &Visit| v.after.iter().any(|a| reasons[index[a.as_str()]].is_some());
        let new: Vec<usize> = problem
            .visits
            .iter()
            .enumerate()
            .filter(|(i, v)| reasons[*i].is_none() && waits(v))
            .map(|(i, _)| i)
            .collect();
        if new.is_empty() {
            return reasons;
        }
        for i in new {
            reasons[i] = Some(Reason::WaitsForAnUnservedVisit);
        }
    }
}
