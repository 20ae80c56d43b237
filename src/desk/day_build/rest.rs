//! Work after which a court rests: only where nobody has booked the rest.

use chrono::{Days, NaiveDate};
use planner::problem::Span;

use super::clock::minus;
use super::inputs::Inputs;
use super::turnarounds::CourtDay;
use super::withheld::{BOOKINGS_IN_REST, Withheld};

/// How many days ahead a day is looked for on which the work fits.
pub const DAYS_AHEAD: u64 = 14;

/// The windows of the work that leave the court its rest; why it is withheld, and the first day on which it would
/// fit, where there are none. `rest_s` is how long it rests, `work_s` how long the work takes at its shortest.
pub fn windows(
    inputs: &Inputs,
    court: &CourtDay<'_>,
    rest_s: i64,
    windows: Vec<Span>,
    work_s: i64,
) -> Result<Vec<Span>, Withheld> {
    if rest_s <= 0 {
        return Ok(windows);
    }
    let play = booked(inputs, court.row.id);
    let left = leaving_rest(&windows, &play, rest_s, work_s);
    if !left.is_empty() {
        return Ok(left);
    }
    let until = first_day(inputs, &play, court.on_shift, rest_s, work_s);
    Err(Withheld {
        reason: BOOKINGS_IN_REST,
        until: until.map(|date| {
            inputs
                .clock
                .local(days_from(inputs.date, date), chrono::NaiveTime::MIN)
        }),
    })
}

/// The court's bookings from the date on, as far as they are known, in order.
fn booked(inputs: &Inputs, court: i64) -> Vec<Span> {
    let clock = &inputs.clock;
    let ahead = inputs
        .ahead
        .iter()
        .filter(|session| session.court_id == court);
    let mut play: Vec<Span> = ahead
        .map(|session| [clock.begins(session.starts_at), clock.ends(session.ends_at)])
        .collect();
    play.sort_unstable();
    play
}

/// What of the windows ends early enough for the rest before the next booking, and holds the work.
fn leaving_rest(windows: &[Span], play: &[Span], rest_s: i64, work_s: i64) -> Vec<Span> {
    windows
        .iter()
        .filter_map(|[open, close]| {
            let next = play
                .iter()
                .map(|span| span[0])
                .find(|start| *start >= *close);
            let last = next.map_or(*close, |next| next.saturating_sub(rest_s).min(*close));
            (last - open >= work_s).then_some([*open, last])
        })
        .collect()
}

/// The first of the coming days on which the work fits into today's hours of work, with its rest.
fn first_day(
    inputs: &Inputs,
    play: &[Span],
    on_shift: Span,
    rest_s: i64,
    work_s: i64,
) -> Option<NaiveDate> {
    (1..=DAYS_AHEAD).find_map(|days| {
        let start = inputs.clock.local(days, chrono::NaiveTime::MIN);
        let free = minus([start + on_shift[0], start + on_shift[1]], play);
        let fits = !leaving_rest(&free, play, rest_s, work_s).is_empty();
        fits.then(|| inputs.date.checked_add_days(Days::new(days)))
            .flatten()
    })
}

fn days_from(date: NaiveDate, later: NaiveDate) -> u64 {
    u64::try_from((later - date).num_days()).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    const HOUR: i64 = 3_600;

    #[test]
    fn work_ends_early_enough_for_the_rest_before_the_next_booking() {
        let play = [[8 * HOUR, 12 * HOUR], [60 * HOUR, 64 * HOUR]];
        let windows = [[5 * HOUR, 8 * HOUR], [12 * HOUR, 20 * HOUR]];
        assert_eq!(
            leaving_rest(&windows, &play, 48 * HOUR, 0),
            [[12 * HOUR, 12 * HOUR]],
            "before the morning's play there is no rest at all"
        );
        assert!(leaving_rest(&windows, &play, 48 * HOUR, 4 * HOUR).is_empty());
        assert_eq!(
            leaving_rest(&windows, &play, 40 * HOUR, 4 * HOUR),
            [[12 * HOUR, 20 * HOUR]]
        );
        assert_eq!(
            leaving_rest(&windows[1..], &[], 48 * HOUR, 4 * HOUR),
            [windows[1]]
        );
    }
}
