//! Greedy insertion of everything unserved.

use crate::day::Day;
use crate::insertion::{Blinks, Denied, cheapest};
use crate::model::Offer;
use crate::rng::Rng;
use crate::{Control, Progress};

/// How often a spot whose waterings do not follow is barred and the next best taken, for one visit.
const SECOND_THOUGHTS: usize = 4;
/// One gap in so many is passed over (Christiaens & Vanden Berghe 2020: 1 %).
const BLINK_ONE_IN: usize = 100;

/// In which order visits are put back; the weights follow the cited paper where it has a like order.
#[derive(Clone, Copy)]
enum Order {
    Chance,
    /// Fewest seconds between earliest start and latest end first.
    Tight,
    /// Earliest end of hours first.
    Early,
    /// Longest work first.
    Long,
    /// Most expensive to leave out first.
    Dear,
}

const ORDERS: [(Order, usize); 5] = [
    (Order::Chance, 4),
    (Order::Tight, 3),
    (Order::Early, 2),
    (Order::Long, 2),
    (Order::Dear, 2),
];

/// What the orders and the topology of `after` sort by.
pub(crate) struct Ranks {
    /// Length of the longest chain of visits before it.
    depth: Vec<usize>,
    tight: Vec<i64>,
    early: Vec<i64>,
    long: Vec<i64>,
    dear: Vec<i64>,
    /// What leaving it out costs, with what waits for it.
    worth: Vec<i64>,
    must: Vec<bool>,
}

impl Ranks {
    pub fn new(day: &Day) -> Self {
        let visits = &day.model.visits;
        let mut depth = vec![0; visits.len()];
        // Without circles a chain is no longer than there are visits.
        for _ in 0..visits.len() {
            let mut still = true;
            for (i, v) in visits.iter().enumerate() {
                let deep = v.after.iter().map(|&a| depth[a] + 1).max().unwrap_or(0);
                if deep > depth[i] {
                    depth[i] = deep;
                    still = false;
                }
            }
            if still {
                break;
            }
        }
        let mut worth: Vec<i64> = visits.iter().map(|v| v.weight).collect();
        let mut deepest_first: Vec<usize> = (0..visits.len()).collect();
        deepest_first.sort_by_key(|&i| std::cmp::Reverse(depth[i]));
        for i in deepest_first {
            for &a in visits[i].after.iter().filter(|_| visits[i].never.is_none()) {
                worth[a] = worth[a].saturating_add(worth[i]);
            }
        }
        let of = |f: &dyn Fn(&crate::model::Visit) -> Option<i64>| {
            visits.iter().map(|v| f(v).unwrap_or(0)).collect()
        };
        Self {
            tight: of(&|v| v.offers.iter().map(|o| o.hi() - o.lo() - o.dur()).max()),
            early: of(&|v| v.offers.iter().map(Offer::hi).max()),
            long: of(&|v| v.offers.iter().map(|o| -o.dur()).min()),
            dear: of(&|v| Some(-v.weight)),
            must: visits.iter().map(|v| v.must).collect(),
            depth,
            worth,
        }
    }

    fn sort(&self, bank: &mut [usize], order: Order, rng: &mut Rng) {
        rng.shuffle(bank);
        let by = |key: &[i64], bank: &mut [usize]| bank.sort_by_key(|&i| key[i]);
        match order {
            Order::Chance => {}
            Order::Tight => by(&self.tight, bank),
            Order::Early => by(&self.early, bank),
            Order::Long => by(&self.long, bank),
            Order::Dear => by(&self.dear, bank),
        }
        bank.sort_by_key(|&i| (self.depth[i], !self.must[i]));
    }
}

/// Puts back what it can of `bank`, in an order chosen by chance; what stays out is left in it.
pub(crate) fn recreate(
    day: &mut Day,
    bank: &mut Vec<usize>,
    ranks: &Ranks,
    denied: &[Denied],
    rng: &mut Rng,
) {
    let mut pick = rng.below(ORDERS.iter().map(|(_, w)| w).sum());
    let order = ORDERS.iter().find(|(_, w)| {
        let here = pick < *w;
        pick = pick.saturating_sub(*w);
        here
    });
    ranks.sort(bank, order.map_or(Order::Chance, |o| o.0), rng);
    bank.retain(|&visit| {
        !put(
            day,
            visit,
            ranks,
            &mut Blinks {
                rng,
                one_in: BLINK_ONE_IN,
                denied,
            },
        )
    });
}

/// A first day: everything unserved greedily, the tightest first, until the caller says stop.
pub(crate) fn construct(
    day: &mut Day,
    ranks: &Ranks,
    rng: &mut Rng,
    report: &mut dyn FnMut(&Progress) -> Control,
) {
    let visits = &day.model.visits;
    let mut bank: Vec<usize> = (0..visits.len())
        .filter(|&i| visits[i].never.is_none() && day.served[i].is_none())
        .collect();
    ranks.sort(&mut bank, Order::Tight, rng);
    for visit in bank {
        if report(&Progress::of(day, 0)) == Control::Stop {
            return;
        }
        put(
            day,
            visit,
            ranks,
            &mut Blinks {
                rng,
                one_in: 0,
                denied: &[],
            },
        );
    }
}

/// Puts a visit to its cheapest spot if that is cheaper than leaving it out. Says whether it did.
fn put(day: &mut Day, visit: usize, ranks: &Ranks, blinks: &mut Blinks) -> bool {
    let mut barred = Vec::new();
    while barred.len() <= SECOND_THOUGHTS {
        let Some(spot) = cheapest(day, visit, ranks.worth[visit], &barred, blinks) else {
            return false;
        };
        if day.insert(visit, spot) {
            return true;
        }
        barred.push(spot);
    }
    false
}
