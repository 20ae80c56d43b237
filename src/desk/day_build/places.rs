//! Where things stand, and how long it takes to walk from one to another.

use std::collections::HashMap;

use super::inputs::Inputs;

/// The places of a site: the shed, then each bank's gate, then each court.
#[derive(Clone, Debug)]
pub struct Places {
    points: Vec<(i64, i64)>,
    banks: HashMap<i64, i64>,
    courts: HashMap<i64, i64>,
}

/// The shed's number.
pub const SHED: i64 = 0;

impl Places {
    /// Numbers a site's places.
    pub fn of(inputs: &Inputs) -> Self {
        let mut points = vec![(inputs.site.shed_x_mm, inputs.site.shed_y_mm)];
        let mut number = |x, y| {
            points.push((x, y));
            i64::try_from(points.len() - 1).unwrap_or(i64::MAX)
        };
        let banks = inputs.banks.iter();
        let banks = banks
            .map(|bank| (bank.id, number(bank.x_mm, bank.y_mm)))
            .collect();
        let courts = inputs.courts.iter();
        let courts = courts
            .map(|court| (court.id, number(court.x_mm, court.y_mm)))
            .collect();
        Self {
            points,
            banks,
            courts,
        }
    }

    /// The number of a bank's gate.
    pub fn bank(&self, id: i64) -> i64 {
        self.banks.get(&id).copied().unwrap_or(SHED)
    }

    /// The number of a court.
    pub fn court(&self, id: i64) -> i64 {
        self.courts.get(&id).copied().unwrap_or(SHED)
    }

    /// Where several crews may be at work at once: the shed and the gates.
    pub fn open(&self) -> Vec<i64> {
        let mut all: Vec<i64> = self.banks.values().copied().collect();
        all.push(SHED);
        all.sort_unstable();
        all
    }

    /// Seconds on foot from the shed to a place.
    pub fn from_shed_s(&self, place: i64, pace_mm_per_s: i64) -> i64 {
        let to = usize::try_from(place)
            .ok()
            .and_then(|at| self.points.get(at));
        let shed = self.points.first().copied().unwrap_or_default();
        to.map_or(0, |to| walk_s(shed, *to, pace_mm_per_s))
    }

    /// Seconds on foot from each place to each, straight, at so many mm a second.
    pub fn travel_s(&self, pace_mm_per_s: i64) -> Vec<Vec<i64>> {
        let to = |from: &(i64, i64)| {
            let of = |to| walk_s(*from, to, pace_mm_per_s);
            self.points.iter().map(|to| of(*to)).collect()
        };
        self.points.iter().map(to).collect()
    }
}

/// The least whole seconds in which somebody walks from one point to the other.
fn walk_s(from: (i64, i64), to: (i64, i64), pace_mm_per_s: i64) -> i64 {
    let pace = u128::from(pace_mm_per_s.max(1).unsigned_abs());
    // No property is a thousand kilometres wide; the squares then fit.
    let leg = |a: i64, b: i64| u128::from(a.abs_diff(b).min(1_000_000_000));
    let square = leg(from.0, to.0).pow(2) + leg(from.1, to.1).pow(2);
    let mut seconds = square.isqrt() / pace;
    while (seconds * pace).pow(2) < square {
        seconds += 1;
    }
    i64::try_from(seconds).unwrap_or(i64::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_walk_takes_its_distance_over_the_pace_rounded_up() {
        let far = |x, y| walk_s((0, 0), (x, y), 1_000);
        assert_eq!(far(0, 0), 0);
        assert_eq!(far(3_000, 4_000), 5);
        assert_eq!(far(-3_000, 4_001), 6);
        assert_eq!(far(1, 0), 1);
        assert_eq!(walk_s((5, 5), (5, 5), 0), 0);
    }
}
