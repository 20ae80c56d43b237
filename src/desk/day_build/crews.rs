//! The crews on shift, as the planner sees them.

use std::collections::BTreeSet;

use planner::problem::{Break, Crew, Span};

use super::begin;
use super::heat;
use super::inputs::Inputs;
use super::places::SHED;
use crate::store::crews::ShiftRow;
use crate::store::day_plans::Beginning;

/// A crew on shift, and the shift it stands for.
#[derive(Clone, Debug)]
pub struct OnShift {
    /// The planner's crew.
    pub crew: Crew,
    /// The crew's id.
    pub crew_id: i64,
    /// The shift.
    pub shift_id: i64,
    /// Who of it begins on shorter work in the heat that day.
    pub beginning: Option<Beginning>,
}

/// The planner's name of a crew.
pub fn crew_key(id: i64) -> String {
    format!("crew:{id}")
}

/// The crew that the planner calls so.
pub fn crew_id_of(key: &str) -> Option<i64> {
    key.strip_prefix("crew:")?.parse().ok()
}

/// The crews on shift that have somebody on it, in order of crew. One whose shift ended before
/// the date began is left out.
pub fn on_shift(inputs: &Inputs) -> Vec<OnShift> {
    inputs
        .shifts
        .iter()
        .filter_map(|shift| crew_of(inputs, shift))
        .collect()
}

fn crew_of(inputs: &Inputs, shift: &ShiftRow) -> Option<OnShift> {
    let known = inputs.crews.get(&shift.crew_id)?;
    let is_away = |person: i64| {
        inputs
            .news
            .iter()
            .any(|news| news.person_id == Some(person))
    };
    let of_shift = inputs.hands.iter().filter(|hand| hand.shift_id == shift.id);
    // Whoever goes home counts as away for what is left of the day, from when it is told.
    let of_shift = of_shift.filter(|hand| !is_away(hand.person_id));
    let people: Vec<_> = of_shift.collect();
    let clock = &inputs.clock;
    // A shift is worked whole seconds only: it begins on the first and ends on the last full one.
    let gone = inputs
        .news
        .iter()
        .filter(|news| news.crew_id == Some(shift.crew_id));
    let gone = gone
        .map(|news| clock.begins(news.from_at))
        .min()
        .unwrap_or(i64::MAX);
    let hours: Span = [
        clock.ends(shift.starts_at).max(0),
        clock.begins(shift.ends_at).min(gone),
    ];
    if people.is_empty() || hours[0] >= hours[1] {
        return None;
    }
    let mut beginning = begin::beginning(inputs, &people, hours);
    let (breaks, cut) = breaks_of(inputs, shift, hours, begin::share_pct(beginning.as_ref()));
    if let Some(beginning) = &mut beginning {
        beginning.cut = cut;
    }
    let skills: BTreeSet<&String> = people.iter().flat_map(|hand| &hand.skills.0).collect();
    let crew = Crew {
        id: crew_key(shift.crew_id),
        hands: i64::try_from(people.len()).unwrap_or(i64::MAX),
        skills: skills.into_iter().cloned().collect(),
        start_place: SHED,
        end_place: SHED,
        shift: hours,
        overtime_until: clock.begins(shift.overtime_until).min(gone).max(hours[1]),
        cost_per_h: people.iter().filter_map(|hand| hand.cents_per_h).sum(),
        overtime_pct: inputs.standards.overtime_pct,
        kit_limit: known.kit_limit.max(0),
        load_limit_g: known.load_limit_g.max(0),
        breaks,
        fair_load_s: None,
        over_load_cost_per_h: None,
        kit: None,
        kit_hours: None,
    };
    Some(OnShift {
        crew,
        crew_id: shift.crew_id,
        shift_id: shift.id,
        beginning,
    })
}

/// The shift's break and, where the day is hot, the rests the site gives, in order of their latest start: a crew takes
/// its breaks in the order of the list. Of the hot hours only so much is worked as its people may; where the rests that
/// this takes do not fit whole, that is said.
fn breaks_of(inputs: &Inputs, shift: &ShiftRow, hours: Span, share_pct: i64) -> (Vec<Break>, bool) {
    let own = break_of(inputs, shift, hours);
    let mut breaks: Vec<Break> = heat::rests_of(inputs, hours, share_pct)
        .into_iter()
        .filter(|rest| own.as_ref().is_none_or(|own| !stands_for(own, rest)))
        .collect();
    if share_pct >= 100 {
        breaks.extend(own);
        breaks.sort_by_key(|rest| rest.start_window[1]);
        return (breaks, false);
    }
    let within = |own: &Break| breaks.iter().any(|rest| begin::holds(rest, own));
    breaks.extend(own.filter(|own| !within(own)));
    breaks.sort_by_key(|rest| rest.start_window[1]);
    let cut = begin::fit(&mut breaks, hours);
    (breaks, cut)
}

/// Whether the shift's own break is always taken when this rest would be, and is no shorter.
const fn stands_for(own: &Break, rest: &Break) -> bool {
    own.length_s >= rest.length_s
        && own.start_window[0] >= rest.start_window[0]
        && own.start_window[1] <= rest.start_window[1]
}

/// The shift's break, which lies between the two times the shift names, else anywhere in it.
fn break_of(inputs: &Inputs, shift: &ShiftRow, hours: Span) -> Option<Break> {
    if shift.break_s <= 0 || shift.break_s > hours[1] - hours[0] {
        return None;
    }
    let clock = &inputs.clock;
    let from = shift.break_from.map_or(hours[0], |at| clock.ends(at));
    let until = shift.break_until.map_or(hours[1], |at| clock.begins(at));
    let latest = hours[1] - shift.break_s;
    let first = from.clamp(hours[0], latest);
    let last = (until - shift.break_s).clamp(first, latest);
    Some(Break {
        length_s: shift.break_s,
        start_window: [first, last],
    })
}
