//! Along the court one day, across it the next.

use chrono::NaiveDate;

word_enum! {
    /// Which way a court is groomed.
    Direction {
        /// From baseline to baseline.
        Along = "along",
        /// From side to side.
        Across = "across",
    }
}

impl Direction {
    /// The other one.
    #[must_use]
    pub const fn other(self) -> Self {
        match self {
            Self::Along => Self::Across,
            Self::Across => Self::Along,
        }
    }
}

/// The direction of all groomings of one court on `today`, from the last grooming finished on it.
///
/// All groomings of a day share it; the next day on which the court is groomed takes the other (lengthwise one time,
/// crosswise the next: a public club's maintenance page). A court never groomed starts along.
pub fn direction_today(
    last_finished: Option<(NaiveDate, Direction)>,
    today: NaiveDate,
) -> Direction {
    match last_finished {
        None => Direction::Along,
        Some((date, direction)) if date >= today => direction,
        Some((_, direction)) => direction.other(),
    }
}

word_enum! {
    /// For how long a court keeps its direction.
    DirectionPer {
        /// For all groomings of a day.
        Day = "day",
        /// For one grooming.
        Grooming = "grooming",
    }
}

/// The direction of a court's `nth` grooming of `today`, from 0, `last_finished` being the last one before the day.
pub fn direction_of(
    per: DirectionPer,
    last_finished: Option<(NaiveDate, Direction)>,
    today: NaiveDate,
    nth: usize,
) -> Direction {
    let first = direction_today(last_finished, today);
    match per {
        DirectionPer::Grooming if nth % 2 == 1 => first.other(),
        DirectionPer::Day | DirectionPer::Grooming => first,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(number: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2031, 6, number).unwrap()
    }

    #[test]
    fn a_court_never_groomed_starts_along() {
        assert_eq!(direction_today(None, day(1)), Direction::Along);
    }

    #[test]
    fn all_groomings_of_a_day_share_their_direction() {
        assert_eq!(
            direction_today(Some((day(2), Direction::Across)), day(2)),
            Direction::Across
        );
    }

    #[test]
    fn the_next_day_groomed_takes_the_other_however_long_the_rain_lasted() {
        assert_eq!(
            direction_today(Some((day(1), Direction::Along)), day(2)),
            Direction::Across
        );
        assert_eq!(
            direction_today(Some((day(1), Direction::Along)), day(9)),
            Direction::Across
        );
    }

    #[test]
    fn a_site_may_turn_at_each_grooming_instead() {
        let turned = |per| {
            let last = Some((day(1), Direction::Along));
            [0, 1, 2].map(|nth| direction_of(per, last, day(2), nth))
        };
        assert_eq!(turned(DirectionPer::Day), [Direction::Across; 3]);
        assert_eq!(
            turned(DirectionPer::Grooming),
            [Direction::Across, Direction::Along, Direction::Across]
        );
    }
}
