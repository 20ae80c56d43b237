//! Windows cut by what keeps a place from being worked at.

use crate::problem::{Span, Visit, Way};

/// When no work can be done, by place.
#[derive(Debug)]
pub(super) struct Blocks(Vec<Vec<Span>>);

impl Blocks {
    pub fn new(places: usize) -> Self {
        Self(vec![Vec::new(); places])
    }

    pub fn everywhere(&mut self, span: Span) {
        self.0.iter_mut().for_each(|p| p.push(span));
    }

    pub fn at(&mut self, place: i64, span: Span) {
        if let Some(blocks) = usize::try_from(place).ok().and_then(|p| self.0.get_mut(p)) {
            blocks.push(span);
        }
    }

    fn of(&self, place: i64) -> &[Span] {
        let blocks = usize::try_from(place).ok().and_then(|p| self.0.get(p));
        blocks.map_or(&[], Vec::as_slice)
    }
}

/// The parts of a window from `from` on that no block touches.
fn gaps(window: Span, from: i64, blocks: &[Span]) -> Vec<Span> {
    let mut blocks: Vec<Span> = blocks.iter().filter(|b| b[0] < b[1]).copied().collect();
    blocks.sort_unstable();
    let (mut open, close) = (window[0].max(from), window[1]);
    let mut out = Vec::new();
    for [shut, again] in blocks {
        if again <= open {
            continue;
        }
        if shut > open && open <= close {
            out.push([open, shut.min(close)]);
        }
        open = again;
    }
    if open <= close {
        out.push([open, close]);
    }
    out
}

/// A visit's ways from `from` on, one for each gap that is long enough, each with its number among the
/// visit's ways.
pub(super) fn ways(visit: &Visit, from: i64, blocks: &Blocks) -> Vec<(usize, Way)> {
    let mut out = Vec::new();
    for (w, way) in visit.ways.iter().enumerate() {
        let window = visit.window_of(way);
        let shortest = way.service_s.iter().min().copied().unwrap_or(0);
        for gap in gaps(window, from, blocks.of(visit.place)) {
            let mut cut = way.clone();
            if gap != window {
                cut.window = Some(gap);
            }
            if gap == window || gap[1] - gap[0] >= shortest {
                out.push((w, cut));
            }
        }
    }
    out
}

/// A way that nobody can go, for a visit that has none left.
pub(super) fn no_way(way: &Way, from: i64) -> Way {
    let mut way = way.clone();
    way.window = Some([from; 2]);
    no_time(&mut way);
    way
}

/// Makes a way take more than no time, so that it does not fit where there is none.
pub(super) fn no_time(way: &mut Way) {
    for service in &mut way.service_s {
        *service = (*service).max(1);
    }
}
