//! How pressing a task is, in words, and what leaving it out is taken to cost.

use super::Due;
use crate::money::Cents;

word_enum! {
    /// How pressing a task is once it is due, the least first.
    Urgency {
        /// It can wait.
        CanWait = "can_wait",
        /// In the course of the week.
        ThisWeek = "this_week",
        /// The same day.
        Today = "today",
        /// Before the players come.
        BeforePlay = "before_play",
    }
}

/// A piece of due work, as far as it matters what leaving it out costs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Leaving {
    /// How pressing it is.
    pub urgency: Urgency,
    /// Somebody may be hurt where it is left out.
    pub safety: bool,
    /// Days since it fell due.
    pub late_days: i64,
    /// What the work itself costs at the dearest crew, cents.
    pub own: Cents,
}

impl Leaving {
    /// Work that is due.
    pub fn of(urgency: Urgency, safety: bool, due: Due, own: Cents) -> Option<Self> {
        let late_days = match due {
            Due::NotDue => return None,
            Due::Due => 0,
            Due::Overdue { days } => days,
        };
        Some(Self {
            urgency,
            safety,
            late_days,
            own,
        })
    }

    /// Whether it must never fall to save money: what is due before play, and all safety work.
    pub const fn must_be_done(&self) -> bool {
        self.safety || matches!(self.urgency, Urgency::BeforePlay)
    }

    /// Its rank: what must be done above all else.
    const fn rank(&self) -> usize {
        if self.must_be_done() {
            3
        } else {
            self.urgency as usize
        }
    }
}

/// Days beyond which waiting presses no more.
const MOST_LATE: i64 = 30;

/// By rank, what leaving work out costs beside its own cost, cents: on the day it is due, and more for each day it has
/// waited. Common practice, no source: what can wait is done where a crew is near, what is for this week is worth
/// a walk, what is for today the better part of an hour's overtime.
const BESIDE: [(i64, i64); 4] = [(300, 100), (2_000, 400), (12_000, 1_000), (0, 1_000)];

/// By rank, per cent of the work's own cost: on the day it is due, and more for each day it has waited.
const OF_OWN: [(i64, i64); 4] = [(100, 5), (150, 15), (400, 20), (0, 0)];

/// What leaving each of these out is taken to cost, cents, in the order of `all`.
///
/// `day` is the most that all else of the day can cost: every crew's whole shift and overtime, the dearest way of every
/// visit, every lateness. Then one piece of work that must be done costs more to leave than the whole day with all that
/// may be left out of it, so that it never falls to save money or to make room for what presses less; and one
/// of a more pressing class costs more than any one of a less pressing class. What has waited longer costs more.
pub fn leaving_cents(all: &[Leaving], day: Cents) -> Vec<Cents> {
    let mut cents = vec![0_i64; all.len()];
    let mut floor = 0_i64;
    for rank in 0..3 {
        let mut dearest = floor;
        for (one, cents) in all.iter().zip(&mut cents) {
            if one.rank() == rank {
                *cents = floor.saturating_add(below(one));
                dearest = dearest.max(*cents);
            }
        }
        floor = dearest;
    }
    let may_be_left = cents
        .iter()
        .fold(0_i64, |sum, one| sum.saturating_add(*one));
    let must: Vec<_> = all.iter().map(Leaving::must_be_done).collect();
    let count = i64::try_from(must.iter().filter(|must| **must).count()).unwrap_or(i64::MAX);
    let (_, a_day) = BESIDE[3];
    let most_pressing = a_day * MOST_LATE;
    // One more left undone outweighs whatever the others' waiting can make of it.
    let base = day
        .0
        .max(0)
        .saturating_add(may_be_left)
        .saturating_add(count.saturating_mul(most_pressing))
        .saturating_add(1);
    all.iter()
        .zip(cents)
        .map(|(one, cents)| {
            Cents(if one.must_be_done() {
                base.saturating_add(a_day * one.late_days.clamp(0, MOST_LATE))
            } else {
                cents
            })
        })
        .collect()
}

/// What leaving work of one of the lower ranks out costs above its class's floor.
fn below(one: &Leaving) -> i64 {
    let late = one.late_days.clamp(0, MOST_LATE);
    let rank = one.rank();
    let (beside, beside_a_day) = BESIDE[rank];
    let (percent, percent_a_day) = OF_OWN[rank];
    let own = i128::from(one.own.0.max(0)) * i128::from(percent + percent_a_day * late) / 100;
    let own = i64::try_from(own).unwrap_or(i64::MAX);
    own.saturating_add(beside + beside_a_day * late).max(1)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn any_work() -> impl Strategy<Value = Leaving> {
        (0_usize..4, any::<bool>(), 0_i64..400, 0_i64..100_000).prop_map(
            |(urgency, safety, late_days, own)| Leaving {
                urgency: Urgency::ALL[urgency],
                safety: safety && late_days % 3 == 0,
                late_days,
                own: Cents(own),
            },
        )
    }

    fn many() -> impl Strategy<Value = Vec<Leaving>> {
        proptest::collection::vec(any_work(), 1..60)
    }

    #[test]
    fn what_is_not_due_is_not_left_out() {
        assert_eq!(
            Leaving::of(Urgency::Today, false, Due::NotDue, Cents(1)),
            None
        );
        let late = Leaving::of(Urgency::Today, false, Due::Overdue { days: 4 }, Cents(1));
        assert_eq!(late.unwrap().late_days, 4);
    }

    proptest! {
        /// Any set of work that must be done costs more to leave than a smaller one, with the whole day and
        /// everything else left undone.
        #[test]
        fn what_must_be_done_never_falls_to_save_money(all in many(), day in 0_i64..10_000_000) {
            let cents = leaving_cents(&all, Cents(day));
            let must: Vec<i64> = all.iter().zip(&cents)
                .filter(|(one, _)| one.must_be_done()).map(|(_, cents)| cents.0).collect();
            let rest: i64 = all.iter().zip(&cents)
                .filter(|(one, _)| !one.must_be_done()).map(|(_, cents)| cents.0).sum();
            if !must.is_empty() {
                let (least, most) = (must.iter().min().unwrap(), must.iter().max().unwrap());
                let all_of_them = i64::try_from(must.len()).unwrap();
                prop_assert!(*least > day + rest);
                prop_assert!(all_of_them * least > day + rest + (all_of_them - 1) * most);
            }
        }

        /// One piece of a more pressing class costs more than any one of a less pressing class.
        #[test]
        fn classes_never_cross(all in many()) {
            let cents = leaving_cents(&all, Cents(500_000));
            for (a, cost_a) in all.iter().zip(&cents) {
                for (b, cost_b) in all.iter().zip(&cents) {
                    if a.rank() > b.rank() {
                        prop_assert!(cost_a > cost_b, "{a:?} {cost_a:?} {b:?} {cost_b:?}");
                    }
                }
            }
        }

        /// What has waited a day longer costs no less, and up to a month more.
        #[test]
        fn waiting_presses(one in any_work()) {
            let later = Leaving { late_days: one.late_days + 1, ..one };
            let of = |one| leaving_cents(&[one], Cents(500_000))[0];
            prop_assert!(of(later) >= of(one));
            prop_assert!(of(later) > of(one) || one.late_days >= MOST_LATE);
        }

        /// It is dearer to leave work out than to do it.
        #[test]
        fn due_work_is_worth_doing(one in any_work()) {
            prop_assert!(leaving_cents(&[one], Cents(500_000))[0] > one.own || one.must_be_done());
        }
    }
}
