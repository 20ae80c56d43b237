//! Half-open stretches of time and the flows that run in them.

/// A flow over `[from, to)`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Flow {
    pub from: i64,
    pub to: i64,
    /// ml/s.
    pub mlps: i64,
}

/// Two half-open stretches share an instant.
pub(crate) fn overlap(a: (i64, i64), b: (i64, i64)) -> bool {
    a.0.max(b.0) < a.1.min(b.1)
}

/// The greatest sum of these flows inside `[from, to)`, 0 where none runs there.
///
/// The sum only rises where a flow begins, so it is enough to look at those instants; with the handful of
/// flows on one line this is quicker than sorting.
pub(crate) fn peak(flows: &(impl Iterator<Item = Flow> + Clone), from: i64, to: i64) -> i64 {
    let mut most = 0;
    if from >= to {
        return most;
    }
    for at in flows
        .clone()
        .filter(|f| f.from < to && f.to > from && f.from < f.to)
        .map(|f| f.from.max(from))
    {
        let here = flows
            .clone()
            .filter(|f| f.from <= at && at < f.to)
            .map(|f| f.mlps)
            .sum();
        most = most.max(here);
    }
    most
}

/// The earliest start of a flow of length `run` from `after` on that ends by `by` and, beside these others,
/// stays within the capacity.
pub(crate) fn slot(
    flows: &(impl Iterator<Item = Flow> + Clone),
    (flow, run): (i64, i64),
    after: i64,
    by: i64,
    capacity: i64,
) -> Option<i64> {
    if flow > capacity || after + run > by {
        return None;
    }
    // Mostly all that runs from then on would go at once.
    let rest = flows.clone().filter(|f| f.to > after && f.from < by);
    if rest.map(|f| f.mlps).sum::<i64>() + flow <= capacity {
        return Some(after);
    }
    let mut at = after;
    loop {
        if at + run > by {
            return None;
        }
        if peak(flows, at, at + run) + flow <= capacity {
            return Some(at);
        }
        // Room is only won where one of the others ends.
        at = flows.clone().map(|f| f.to).filter(|&to| to > at).min()?;
    }
}

/// The greatest number of these stretches that hold one instant.
pub(crate) fn most_at_once(spans: &[[i64; 2]]) -> usize {
    let at = |x: i64| spans.iter().filter(|s| s[0] <= x && x < s[1]).count();
    spans.iter().map(|s| at(s[0])).max().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn flow(from: i64, to: i64, mlps: i64) -> Flow {
        Flow { from, to, mlps }
    }

    #[test]
    fn touching_stretches_do_not_overlap() {
        assert!(!overlap((0, 10), (10, 20)));
        assert!(overlap((0, 11), (10, 20)));
        assert!(!overlap((5, 5), (0, 10)));
    }

    #[test]
    fn a_peak_counts_only_what_runs_together() {
        let f = [flow(0, 10, 3), flow(10, 20, 4), flow(5, 12, 2)];
        assert_eq!(peak(&f.iter().copied(), 0, 20), 6);
        assert_eq!(peak(&f.iter().copied(), 0, 10), 5);
        assert_eq!(peak(&f.iter().copied(), 12, 20), 4);
        assert_eq!(peak(&f.iter().copied(), 20, 30), 0);
    }

    #[test]
    fn a_slot_starts_where_another_flow_ends() {
        let f = [flow(0, 10, 3), flow(8, 20, 3)];
        assert_eq!(slot(&f.iter().copied(), (2, 5), 0, 100, 5), Some(0));
        assert_eq!(slot(&f.iter().copied(), (2, 9), 0, 100, 5), Some(10));
        assert_eq!(slot(&f.iter().copied(), (3, 5), 0, 24, 5), None);
        assert_eq!(slot(&f.iter().copied(), (3, 5), 0, 25, 5), Some(20));
        assert_eq!(slot(&f.iter().copied(), (6, 5), 0, 100, 5), None);
    }
}
