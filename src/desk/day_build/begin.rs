//! People who are new, or back after time away: on a hot day their crew works less of the hot hours, and its other breaks
//! make room for that.

use std::collections::HashMap;

use chrono::NaiveDate;
use planner::problem::{Break, Span};
use trade::heat::{Newcomer, Worked, heat_share_pct, newcomer};

use super::inputs::Inputs;
use crate::desk::settings::Settings;
use crate::desk::settings::known::HEAT_BEGIN_DAYS_AWAY;
use crate::store::day_plans::inputs::Hand;
use crate::store::day_plans::{Beginner, Beginning};

/// Somebody's days on shift, by person, in order.
pub type DaysOnShift = HashMap<i64, Vec<NaiveDate>>;

/// How many days before a date say who is a newcomer on it: whoever comes just often enough not to count as away has
/// stood on as many shifts in them as the longest beginning takes.
pub fn looks_back(settings: &Settings) -> i64 {
    settings.number(HEAT_BEGIN_DAYS_AWAY).saturating_mul(5)
}

/// Who of these people begins on shorter work in the heat; none where the shift has no hot hours.
pub fn beginning(inputs: &Inputs, people: &[&Hand], shift: Span) -> Option<Beginning> {
    let is_hot = |hot: &Span| hot[0] < shift[1] && hot[1] > shift[0];
    if !inputs.hot_hours().iter().any(is_hot) {
        return None;
    }
    let people: Vec<Beginner> = people
        .iter()
        .filter_map(|hand| beginner(inputs, hand))
        .collect();
    (!people.is_empty()).then_some(Beginning { people, cut: false })
}

fn beginner(inputs: &Inputs, hand: &Hand) -> Option<Beginner> {
    let days = inputs.on_shift_before.get(&hand.person_id);
    let worked = Worked {
        came_on: hand.came_on,
        days: days.map_or(&[], Vec::as_slice),
        known_from: inputs.on_shift_known_from,
    };
    let away = inputs.settings.number(HEAT_BEGIN_DAYS_AWAY);
    let who = newcomer(inputs.date, &worked, away)?;
    let (is_new, day) = match who {
        Newcomer::New(day) => (true, day),
        Newcomer::Returning(day) => (false, day),
    };
    Some(Beginner {
        person_id: hand.person_id,
        is_new,
        day: i64::from(day),
        share_pct: heat_share_pct(who),
    })
}

/// How much of the hot hours a crew works, percent: as much as the one of its people who may do least.
pub fn share_pct(beginning: Option<&Beginning>) -> i64 {
    let shares = beginning.into_iter().flat_map(|all| &all.people);
    shares.map(|one| one.share_pct).min().unwrap_or(100)
}

/// Whether the shift's own break can be taken within the rest, whenever that begins: then it is.
pub fn holds(rest: &Break, own: &Break) -> bool {
    rest.start_window.iter().all(|starts| {
        let begins = (*starts).max(own.start_window[0]);
        begins <= own.start_window[1] && begins + own.length_s <= starts + rest.length_s
    })
}

/// Lets the breaks, which are in order, follow each other within the shift: one for which there is no time any more is
/// moved on, shortened to what is left, or given up. Says whether that was needed.
pub fn fit(breaks: &mut Vec<Break>, shift: Span) -> bool {
    let mut cut = false;
    let mut free = shift[0];
    breaks.retain_mut(|one| {
        let starts = one.start_window[0].max(free);
        if starts > one.start_window[1] || starts + one.length_s > shift[1] {
            cut = true;
            one.length_s = one.length_s.min(shift[1] - starts);
            one.start_window = [starts, starts];
        }
        if one.length_s <= 0 {
            return false;
        }
        free = starts + one.length_s;
        true
    });
    cut
}

#[cfg(test)]
mod tests {
    use super::*;

    const HOUR: i64 = 3_600;

    const fn pause(hours: i64, from: i64, until: i64) -> Break {
        Break {
            length_s: hours * HOUR,
            start_window: [from * HOUR, until * HOUR],
        }
    }

    #[test]
    fn a_break_is_taken_within_a_long_rest_only_where_it_always_can_be() {
        let rest = pause(4, 12, 13);
        assert!(holds(&rest, &pause(1, 11, 14)));
        assert!(!holds(&rest, &pause(1, 10, 12)), "the rest may begin at 13");
        assert!(!holds(&rest, &pause(2, 15, 16)), "the rest may end at 16");
    }

    #[test]
    fn breaks_that_follow_each_other_stay_and_others_are_moved_shortened_or_given_up() {
        let shift = [6 * HOUR, 16 * HOUR];
        let mut fitting = vec![pause(1, 8, 9), pause(4, 10, 12)];
        let before = fitting.clone();
        assert!(!fit(&mut fitting, shift));
        assert_eq!(fitting, before);

        let mut tight = vec![pause(4, 10, 10), pause(1, 11, 12), pause(2, 12, 13)];
        assert!(fit(&mut tight, shift));
        assert_eq!(
            tight,
            [pause(4, 10, 10), pause(1, 14, 14), pause(1, 15, 15)]
        );

        let mut over = vec![pause(6, 10, 10), pause(1, 11, 12)];
        assert!(fit(&mut over, shift));
        assert_eq!(over, [pause(6, 10, 10)]);
    }
}
