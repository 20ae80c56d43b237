//! The cost of a plan, recomputed in cents.

use super::Judge;
use crate::money::Total;

/// What rounding each part to a hundredth of a cent may make, and a little for the sums here.
const TOLERANCE: f64 = 0.006;

#[expect(
    clippy::cast_precision_loss,
    reason = "a day's cents and seconds are small"
)]
fn of(x: i64) -> f64 {
    x as f64
}

impl Judge<'_> {
    pub(super) fn cost(&mut self) {
        let (mut travel, mut service, mut overtime, mut balance) = (0.0, 0.0, 0.0, 0.0);
        let (mut ways, mut late, mut change) = (0.0, 0.0, 0.0);
        for (crew, round, stops) in &self.rounds {
            let a_second = of(crew.cost_per_h) / 3600.0;
            let (mut place, mut work) = (crew.start_place, 0);
            for done in stops {
                let way = self.travel(place, done.visit.place);
                let served = done.stop.end_s - done.stop.start_s;
                let aim = done.way.aim_end.unwrap_or(done.visit.aim_end);
                work += way + served;
                travel += a_second * of(way);
                service += a_second * of(served);
                ways += of(done.way.extra_cost);
                late +=
                    of(done.visit.late_cost_per_h) / 3600.0 * of((done.stop.end_s - aim).max(0));
                change += done
                    .visit
                    .prefer
                    .as_ref()
                    .filter(|p| p.crew != crew.id)
                    .map_or(0.0, |p| of(p.change_cost));
                place = done.visit.place;
            }
            let home = self.travel(place, crew.end_place);
            travel += a_second * of(home);
            let premium = of(crew.overtime_pct - 100) / 100.0;
            overtime += a_second * premium * of((round.return_s - crew.shift[1]).max(0));
            let over = (work + home - crew.fair_load_s.unwrap_or(0)).max(0);
            balance += of(crew.over_load_cost_per_h.unwrap_or(0)) / 3600.0 * of(over);
        }
        let left_out = |id: &str| self.plan.unserved.iter().any(|u| u.visit == id);
        let skip: i64 = self
            .problem
            .visits
            .iter()
            .filter(|v| left_out(&v.id))
            .map(|v| v.skip_cost)
            .sum();
        let skip = of(skip);
        let total = travel + service + overtime + balance + ways + late + change + skip;
        let own = self.plan.cost;
        let parts: [(&str, f64, Total); 9] = [
            ("travel", travel, own.travel),
            ("service", service, own.service),
            ("overtime", overtime, own.overtime),
            ("balance", balance, own.balance),
            ("ways", ways, own.ways),
            ("late", late, own.late),
            ("change", change, own.change),
            ("skip", skip, own.skip),
            ("total", total, own.total),
        ];
        for (name, is, says) in parts {
            if (is - says.cents()).abs() > TOLERANCE {
                self.violations
                    .push(format!("cost: {name} is {is:.2}, not {:.2}", says.cents()));
            }
        }
        if self.plan.lower_bound > own.total {
            self.violations
                .push("bound: it is above the cost".to_owned());
        }
    }
}
