//! Rules 9 and 11: what all rounds share, water and places.

use std::collections::HashMap;

use super::Judge;

impl Judge<'_> {
    /// Rule 9.
    pub(super) fn water(&mut self) {
        let mut times: HashMap<&str, usize> = HashMap::new();
        let mut runs: HashMap<&str, Vec<(i64, i64, i64)>> = HashMap::new();
        for watered in &self.plan.watering {
            let id = watered.visit.as_str();
            let done = self.served.get(id).copied();
            let Some((done, water)) = done.and_then(|d| Some((d, d.visit.water.as_ref()?))) else {
                self.no(9, format_args!("{id} is no served visit with water"));
                continue;
            };
            *times.entry(id).or_default() += 1;
            let length = watered.end_s - watered.start_s;
            if watered.start_s < done.stop.end_s
                || watered.end_s > water.ready_by
                || length != water.run_s
            {
                self.no(
                    9,
                    format_args!("the watering of {id} is not when it should be"),
                );
            }
            let run = (watered.start_s, watered.end_s, water.flow_mlps);
            runs.entry(water.group.as_str()).or_default().push(run);
        }
        for visit in &self.problem.visits {
            let id = visit.id.as_str();
            let due = visit.water.is_some() && self.served.contains_key(id);
            if due && times.get(id) != Some(&1) {
                self.no(9, format_args!("{id} has not one watering"));
            }
        }
        for line in &self.problem.water {
            let runs = runs.remove(line.group.as_str()).unwrap_or_default();
            let taken: Vec<(i64, i64, i64)> = line
                .taken
                .iter()
                .flatten()
                .map(|t| (t.from, t.to, t.flow_mlps))
                .collect();
            let flow = |at: i64, of: &[(i64, i64, i64)]| -> i64 {
                of.iter()
                    .filter(|r| r.0 <= at && at < r.1)
                    .map(|r| r.2)
                    .sum()
            };
            // The sum can only rise where something begins, and counts where a watering of the plan runs.
            let starts: Vec<i64> = runs.iter().chain(&taken).map(|r| r.0).collect();
            for at in starts {
                let running = runs.iter().any(|r| r.0 <= at && at < r.1);
                if running && flow(at, &runs) + flow(at, &taken) > line.capacity_mlps {
                    self.no(
                        9,
                        format_args!("line {} carries too much at {at}", line.group),
                    );
                }
            }
        }
    }

    /// Rule 11.
    pub(super) fn one_at_a_time(&mut self) {
        let overlap = |a: (i64, i64), b: (i64, i64)| a.0.max(b.0) < a.1.min(b.1);
        let stops: Vec<_> = self
            .rounds
            .iter()
            .flat_map(|r| r.2.iter().copied())
            .collect();
        let at_closed_places = stops.iter().filter(|d| !self.open.contains(&d.visit.place));
        let works: Vec<(i64, &str, (i64, i64))> = at_closed_places
            .map(|d| {
                (
                    d.visit.place,
                    d.visit.id.as_str(),
                    (d.stop.start_s, d.stop.end_s),
                )
            })
            .collect();
        let watered = self.plan.watering.iter().filter_map(|w| {
            let visit = self.served.get(w.visit.as_str())?.visit;
            Some((
                visit.place,
                w.visit.as_str(),
                (w.start_s, visit.water.as_ref()?.ready_by),
            ))
        });
        let holds: Vec<(i64, &str, (i64, i64))> =
            watered.filter(|h| !self.open.contains(&h.0)).collect();
        for (i, (place, id, work)) in works.iter().enumerate() {
            for (there, other, span) in works[i + 1..].iter().chain(&holds) {
                if place == there && overlap(*work, *span) {
                    self.no(
                        11,
                        format_args!("{id} and {other} are both at place {place}"),
                    );
                }
            }
        }
    }
}
