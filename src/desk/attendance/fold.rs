//! What somebody's comings and goings come to. Nothing is left out: what does not fit is kept as odd, with the reason.

use std::mem::take;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::store::Instant;
use crate::store::attendance::AttendanceKind;

/// A break.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[schema(as = AttendanceBreak)]
pub struct Break {
    /// From when.
    pub from: Instant,
    /// Until when; null while it goes on.
    pub to: Option<Instant>,
}

/// From when until when somebody was there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Stay {
    pub from: Instant,
    pub to: Option<Instant>,
    pub breaks: Vec<Break>,
}

/// Why an event does not fit to those before it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Odd {
    /// They were there already.
    InAgain,
    /// They were not there.
    OutWithoutIn,
    /// They were not there, or had a break already.
    BreakNotBegun,
    /// They had no break.
    NoBreakToEnd,
    /// They went within a break: it is taken to end then.
    OutWithinBreak,
}

/// Folds one person's events, in order of time, into stays; `odd` is told of each that does not fit, by its place.
pub(super) fn stays(
    events: &[(AttendanceKind, Instant)],
    odd: &mut impl FnMut(usize, Odd),
) -> Vec<Stay> {
    let mut done = Vec::new();
    let mut there: Option<Stay> = None;
    for (place, (kind, at)) in events.iter().copied().enumerate() {
        let is_there = there.is_some();
        let breaks = there.as_mut().map(|stay| &mut stay.breaks);
        let is_on_break = breaks
            .as_ref()
            .and_then(|breaks| breaks.last())
            .is_some_and(|last| last.to.is_none());
        match (kind, breaks) {
            (AttendanceKind::In, _) if is_there => odd(place, Odd::InAgain),
            (AttendanceKind::In, _) => {
                there = Some(Stay {
                    from: at,
                    to: None,
                    breaks: Vec::new(),
                });
            }
            (AttendanceKind::BreakStart, Some(breaks)) if !is_on_break => {
                breaks.push(Break { from: at, to: None });
            }
            (AttendanceKind::BreakStart, _) => odd(place, Odd::BreakNotBegun),
            (AttendanceKind::BreakEnd, Some(breaks)) if is_on_break => end_last(breaks, at),
            (AttendanceKind::BreakEnd, _) => odd(place, Odd::NoBreakToEnd),
            (AttendanceKind::Out, Some(breaks)) => {
                if is_on_break {
                    end_last(breaks, at);
                    odd(place, Odd::OutWithinBreak);
                }
                done.extend(take(&mut there).map(|stay| Stay {
                    to: Some(at),
                    ..stay
                }));
            }
            (AttendanceKind::Out, None) => odd(place, Odd::OutWithoutIn),
        }
    }
    done.extend(there);
    done
}

fn end_last(breaks: &mut [Break], at: Instant) {
    if let Some(last) = breaks.last_mut() {
        last.to = Some(at);
    }
}

#[cfg(test)]
mod tests {
    use AttendanceKind::{BreakEnd, BreakStart, In, Out};
    use chrono::{DateTime, TimeDelta};
    use proptest::prelude::*;

    use super::*;

    fn at(minute: i64) -> Instant {
        (DateTime::UNIX_EPOCH + TimeDelta::minutes(minute)).into()
    }

    fn fold(events: &[(AttendanceKind, i64)]) -> (Vec<Stay>, Vec<(usize, Odd)>) {
        let events: Vec<_> = events
            .iter()
            .map(|(kind, minute)| (*kind, at(*minute)))
            .collect();
        let mut odd = Vec::new();
        let stays = stays(&events, &mut |place, why| odd.push((place, why)));
        (stays, odd)
    }

    #[test]
    fn a_day_with_its_break_is_one_stay() {
        let (stays, odd) = fold(&[(In, 0), (BreakStart, 60), (BreakEnd, 90), (Out, 480)]);
        let rest = Break {
            from: at(60),
            to: Some(at(90)),
        };
        assert_eq!(
            stays,
            [Stay {
                from: at(0),
                to: Some(at(480)),
                breaks: vec![rest]
            }]
        );
        assert!(odd.is_empty());
    }

    #[test]
    fn what_does_not_fit_is_told_and_the_rest_stands() {
        let (stays, odd) = fold(&[
            (Out, 0),
            (BreakEnd, 1),
            (In, 2),
            (In, 3),
            (BreakStart, 4),
            (BreakStart, 5),
            (Out, 6),
        ]);
        assert_eq!(stays.len(), 1);
        assert_eq!(
            stays[0].breaks,
            [Break {
                from: at(4),
                to: Some(at(6))
            }]
        );
        assert_eq!(
            odd,
            [
                (0, Odd::OutWithoutIn),
                (1, Odd::NoBreakToEnd),
                (3, Odd::InAgain),
                (5, Odd::BreakNotBegun),
                (6, Odd::OutWithinBreak),
            ]
        );
    }

    fn kinds() -> impl Strategy<Value = Vec<AttendanceKind>> {
        let kind = prop_oneof![Just(In), Just(BreakStart), Just(BreakEnd), Just(Out)];
        proptest::collection::vec(kind, 0..20)
    }

    proptest! {
        #[test]
        fn every_event_is_an_end_of_something_or_odd_and_nobody_is_there_twice(kinds in kinds()) {
            let events: Vec<_> = (0..).zip(&kinds).map(|(minute, kind)| (*kind, minute)).collect();
            let (stays, odd) = fold(&events);
            let ends_of = |stay: &Stay| {
                let breaks: usize = stay.breaks.iter().map(|rest| 1 + usize::from(rest.to.is_some())).sum();
                1 + usize::from(stay.to.is_some()) + breaks
            };
            // Going within a break ends two things at once, and is odd beside.
            let at_once = odd.iter().filter(|(_, why)| *why == Odd::OutWithinBreak).count();
            let ends: usize = stays.iter().map(ends_of).sum();
            prop_assert_eq!(ends + odd.len(), events.len() + 2 * at_once);
            for pair in stays.windows(2) {
                prop_assert!(pair[0].to.is_some_and(|to| to < pair[1].from));
            }
            for stay in &stays {
                for rest in &stay.breaks {
                    prop_assert!(rest.from > stay.from && rest.to.is_none_or(|to| stay.to.is_none_or(|end| to <= end)));
                }
            }
        }
    }
}
