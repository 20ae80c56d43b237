//! Where a crew is over a past day, and what it could do next.

use std::collections::BTreeSet;

use super::season::OnShift;
use super::visits::{Ask, Way};

/// What lies between two visits beside the walk, s: putting down, taking up, a word.
pub const BETWEEN: i64 = 100;
/// A court is given over so long before the players, s.
const BEFORE_PLAY: i64 = 120;

/// A rest begins at a quarter of an hour.
const QUARTER: usize = 900;

/// A crew over one day. Times are seconds since 1970.
pub struct Day {
    pub crew: OnShift,
    from: i64,
    until: i64,
    rest: (i64, i64),
    free: i64,
    at: (i64, i64),
    shed: (i64, i64),
    pace_mm_per_s: i64,
    pub kit: BTreeSet<String>,
    pub leaves: Option<i64>,
    pub stops: i64,
}

/// What a crew could do next.
#[derive(Clone, Copy)]
pub struct Next {
    pub start: i64,
    pub end: i64,
    /// Which of the ways.
    pub way: usize,
}

impl Day {
    /// A crew in the shed at the start of its shift. It rests where the day asks the least of it:
    /// `gaps` are the times between two sessions of play.
    pub fn of(crew: OnShift, shed: (i64, i64), pace_mm_per_s: i64, gaps: &[(i64, i64)]) -> Self {
        let second = |at: crate::store::Instant| at.utc().timestamp();
        let shift = &crew.shift;
        let from = second(shift.break_from.unwrap_or(shift.starts_at));
        let until = second(shift.break_until.unwrap_or(shift.ends_at));
        let asked = |rest: &i64| -> i64 {
            let over = |(opens, closes): &(i64, i64)| {
                ((*closes).min(rest + shift.break_s) - (*opens).max(*rest)).max(0)
            };
            gaps.iter().map(over).sum()
        };
        let starts = (from..=(until - shift.break_s).max(from)).step_by(QUARTER);
        let rest = starts.min_by_key(asked).unwrap_or(from);
        Self {
            from: second(shift.starts_at),
            until: second(shift.ends_at)
                + (second(shift.overtime_until) - second(shift.ends_at)) / 2,
            rest: (rest, rest + shift.break_s),
            free: second(shift.starts_at),
            at: shed,
            shed,
            pace_mm_per_s,
            kit: BTreeSet::new(),
            leaves: None,
            stops: 0,
            crew,
        }
    }

    /// How many people it is.
    pub fn hands(&self) -> usize {
        self.crew.people.len()
    }

    /// When and in which way it could do what is asked, where it can at all. `short_only`: the
    /// full way is not tried where there is a shorter one.
    pub fn next(&self, ask: &Ask<'_>, short_only: bool) -> Option<Next> {
        let skip = usize::from(short_only && ask.ways.len() > 1);
        let ways = ask.ways.iter().enumerate().skip(skip);
        ways.filter(|(_, way)| self.may(way))
            .find_map(|(nth, way)| {
                let start = self.start(ask, way);
                let end = start + way.service_s(self.hands());
                let over = end + way.soak_s.map_or(0, |soak| soak + BETWEEN) + BEFORE_PLAY;
                let home = end + self.walk(ask.at, self.shed);
                (over <= ask.closes && home <= self.until).then_some(Next {
                    start,
                    end,
                    way: nth,
                })
            })
    }

    fn may(&self, way: &Way<'_>) -> bool {
        let hands = i64::try_from(self.hands()).unwrap_or(i64::MAX);
        let skilled = way.tasks.iter().filter_map(|step| step.task.skill.as_ref());
        hands >= way.min_hands()
            && skilled
                .into_iter()
                .all(|skill| self.crew.skills.contains(skill))
    }

    fn start(&self, ask: &Ask<'_>, way: &Way<'_>) -> i64 {
        let walk = self.walk(self.at, ask.at);
        let start = (self.free + BETWEEN + walk)
            .max(ask.opens + 30)
            .max(self.from + walk);
        let end = start + way.service_s(self.hands());
        if start < self.rest.1 && end > self.rest.0 {
            self.rest.1 + BETWEEN + walk
        } else {
            start
        }
    }

    /// Notes that it does it.
    pub fn take(&mut self, ask: &Ask<'_>, next: Next) {
        let walk = self.walk(self.at, ask.at);
        self.leaves.get_or_insert(next.start - walk);
        self.free = next.end;
        self.at = ask.at;
        self.stops += 1;
        let way = &ask.ways[next.way];
        self.kit
            .extend(way.classes.iter().map(|class| class.code.clone()));
    }

    /// When it is back in the shed.
    pub fn back(&self) -> i64 {
        self.free + self.walk(self.at, self.shed)
    }

    /// Seconds from one point of the site to another, with the gates.
    fn walk(&self, from: (i64, i64), to: (i64, i64)) -> i64 {
        let square =
            u128::from(from.0.abs_diff(to.0)).pow(2) + u128::from(from.1.abs_diff(to.1)).pow(2);
        let far = i64::try_from(square.isqrt()).unwrap_or(i64::MAX);
        far / self.pace_mm_per_s.max(1) + i64::from(far > 0) * 15
    }
}
