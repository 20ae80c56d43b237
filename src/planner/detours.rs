//! The shortest ways to and from a crew's own places, over any others: where a detour is shorter than the straight
//! way, a visit may be in reach of a crew on its round alone.

use std::collections::HashMap;
use std::sync::Arc;

/// Seconds between one place and each, by the place.
#[derive(Default)]
pub(crate) struct Shortest {
    from: HashMap<usize, Arc<[i64]>>,
    to: HashMap<usize, Arc<[i64]>>,
}

impl Shortest {
    /// From a place to each, with so many places and `travel` from one to another.
    pub fn from(
        &mut self,
        place: usize,
        places: usize,
        travel: impl Fn(usize, usize) -> i64,
    ) -> Arc<[i64]> {
        let known = self.from.entry(place);
        known
            .or_insert_with(|| least(places, place, travel))
            .clone()
    }

    /// To a place from each.
    pub fn to(
        &mut self,
        place: usize,
        places: usize,
        travel: impl Fn(usize, usize) -> i64,
    ) -> Arc<[i64]> {
        let known = self.to.entry(place);
        known
            .or_insert_with(|| least(places, place, |a, b| travel(b, a)))
            .clone()
    }
}

/// Dijkstra 1959.
fn least(places: usize, from: usize, way: impl Fn(usize, usize) -> i64) -> Arc<[i64]> {
    let mut least = vec![i64::MAX; places];
    let mut open: Vec<usize> = (0..places).collect();
    least[from] = 0;
    while let Some(next) = (0..open.len()).min_by_key(|&k| least[open[k]]) {
        let at = open.swap_remove(next);
        for &to in &open {
            least[to] = least[to].min(least[at].saturating_add(way(at, to)));
        }
    }
    least.into()
}
