//! Waterings: nobody has to be there, but each needs its flow on the line and its place to itself.

use crate::day::{Busy, Day, Run, Served, Stop};
use crate::spans::{self, Flow};

impl Day<'_> {
    /// The earliest watering of a visit that ends at `end`, every other unmoved. It waits for the work at
    /// its place that starts before the place must be ready, but for that of `apart`, which is about to move.
    pub fn watering_from(&self, visit: usize, end: i64, apart: Option<usize>) -> Option<i64> {
        let v = &self.model.visits[visit];
        let water = v.water.as_ref()?;
        let mut after = end;
        if v.shared {
            let works = self.places[v.place]
                .iter()
                .filter(|b| !b.hold && b.visit != visit && Some(b.crew) != apart);
            for b in works.filter(|b| b.from < b.to && b.from < water.ready_by) {
                after = after.max(b.to);
            }
        }
        let line = &self.model.lines[water.line];
        let runs = self.lines[water.line]
            .iter()
            .filter(|r| r.visit != visit)
            .map(|r| r.flow);
        let flows = runs.chain(line.taken.iter().copied());
        spans::slot(
            &flows,
            (water.flow, water.run),
            after,
            water.ready_by,
            line.capacity,
        )
    }

    /// Moves the crew's waterings to where they can be and then as early as they can be. Those that must go
    /// later go last first, out of each other's way.
    pub(super) fn water(&mut self, crew: usize) -> bool {
        for late_ones in [true, false] {
            let n = self.rounds[crew].stops.len();
            for i in 0..n {
                let stop = self.rounds[crew].stops[if late_ones { n - 1 - i } else { i }];
                if self.visit(&stop).water.is_none() {
                    continue;
                }
                let now = self.served[stop.visit].and_then(|s| s.watering);
                let holds = now.is_some_and(|now| now >= self.dry_until(&stop));
                if late_ones == holds {
                    continue;
                }
                let Some(at) = self.watering_from(stop.visit, stop.end, None) else {
                    return false;
                };
                if now != Some(at) {
                    self.set_watering(stop.visit, Some(at));
                }
            }
        }
        true
    }

    /// Until when a stop's watering has to wait for work at its place.
    fn dry_until(&self, stop: &Stop) -> i64 {
        let v = self.visit(stop);
        let ready_by = v.water.map_or(i64::MAX, |w| w.ready_by);
        let works = self.places[v.place]
            .iter()
            .filter(|b| !b.hold && b.from < b.to && b.from < ready_by);
        works.map(|b| b.to).fold(stop.end, i64::max)
    }

    pub(super) fn set_watering(&mut self, visit: usize, at: Option<i64>) {
        let v = &self.model.visits[visit];
        let Some(water) = v.water else { return };
        let Some(served) = self.served[visit] else {
            return;
        };
        if served.watering == at {
            return;
        }
        self.set_served(
            visit,
            Some(Served {
                watering: at,
                ..served
            }),
        );
        let crew = served.crew;
        self.keep_line(water.line);
        self.lines[water.line].retain(|r| r.visit != visit);
        if v.shared {
            self.keep_place(v.place);
            self.places[v.place].retain(|b| !b.hold || b.visit != visit);
        }
        if let Some(from) = at {
            self.lines[water.line].push(Run {
                visit,
                flow: Flow {
                    from,
                    to: from + water.run,
                    mlps: water.flow,
                },
            });
            if v.shared {
                self.places[v.place].push(Busy {
                    visit,
                    crew,
                    from,
                    to: water.ready_by,
                    hold: true,
                });
            }
        }
    }
}
