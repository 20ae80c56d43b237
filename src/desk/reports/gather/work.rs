//! What became of the week's work: each turnaround once, and the care beside it.

use std::collections::{BTreeSet, HashMap};

use trade::calendar::work_date;

use super::Week;
use crate::desk::reports::figures::{Care, Miss, MissKind, Turnarounds};
use crate::store::orders::{OrderKind, OrderState, REST};
use crate::store::reports::week::{self, WeekOrder};
use crate::store::{self, Conn, Instant, Scope};

/// How the day problem names the visit after a session …
const AFTER: &str = "turnaround:";
/// … and the one that makes up for it on the next morning, where it was not made.
const OWED: &str = "owed:";

/// A turnaround of the week.
struct Turn {
    visit_key: String,
    is_short: bool,
    became: Became,
}

/// What became of it.
enum Became {
    ToCome,
    InTime,
    Missed(Miss),
}

pub(super) fn work(
    conn: &mut Conn,
    scope: &Scope,
    week: &Week,
) -> store::Result<(Turnarounds, Care)> {
    let (mut turns, mut care) = (Vec::new(), Care::default());
    for order in week::week_orders(conn, scope, week.from, week.to)? {
        // What another order left is a part of that one, and mending is beside the standard.
        if order.kind == OrderKind::Mend || order.visit_key.starts_with(REST) {
            continue;
        }
        if order.kind == OrderKind::Care {
            count_care(&mut care, &order, week);
        } else {
            turns.push(turn_of_order(order, week));
        }
    }
    let mut planned = BTreeSet::new();
    for plan in week::week_plans(conn, scope, week.from, week.to)? {
        planned.insert(plan.work_date);
        let (Some(visit_key), Some(closes_at)) = (plan.visit_key, plan.closes_at) else {
            continue;
        };
        if visit_key.starts_with(AFTER) || visit_key.starts_with(OWED) {
            let became = Became::Missed(Miss {
                unfitted_reason: plan.reason,
                ..miss(plan.court, plan.bank, MissKind::NotFitted, closes_at)
            });
            turns.push(Turn {
                visit_key,
                is_short: false,
                became,
            });
        } else {
            care.due += 1;
            care.not_fitted += 1;
        }
    }
    let mut told = count(made_up(turns));
    let (from, to) = (week.span.from.into(), week.as_of.into());
    for session in week::sessions_ended(conn, scope, from, to)? {
        if planned.contains(&work_date(week.zone, session.ends_at.utc())) {
            continue;
        }
        told.due += 1;
        told.not_planned += 1;
        let court = Some(session.court);
        told.misses
            .push(miss(court, None, MissKind::NotPlanned, session.ends_at));
    }
    Ok((told, care))
}

/// Whether work can still come: the week runs, and the time it is due has not come.
fn is_to_come(order: &WeekOrder, week: &Week) -> bool {
    !week.complete
        && !matches!(order.state, OrderState::Finished | OrderState::LeftUndone)
        && order.due_at.utc() > week.as_of
}

fn count_care(care: &mut Care, order: &WeekOrder, week: &Week) {
    if is_to_come(order, week) {
        return;
    }
    care.due += 1;
    match order.state {
        OrderState::Finished => care.finished += 1,
        OrderState::LeftUndone => care.left_undone += 1,
        _ => {}
    }
}

fn turn_of_order(order: WeekOrder, week: &Week) -> Turn {
    let is_short = order.kind == OrderKind::ShortTurnaround;
    let became = if is_to_come(&order, week) {
        Became::ToCome
    } else {
        match (order.state, order.ended_at) {
            (OrderState::Finished, Some(ended)) if ended <= order.due_at => Became::InTime,
            (state, ended) => Became::Missed(missed(&order, state, ended)),
        }
    };
    Turn {
        visit_key: order.visit_key,
        is_short,
        became,
    }
}

fn missed(order: &WeekOrder, state: OrderState, ended: Option<Instant>) -> Miss {
    let kind = match state {
        OrderState::Finished => MissKind::Late,
        OrderState::LeftUndone => MissKind::LeftUndone,
        _ => MissKind::NotGivenBack,
    };
    let late = ended.filter(|_| kind == MissKind::Late);
    Miss {
        late_s: late.map(|ended| (ended.utc() - order.due_at.utc()).num_seconds()),
        undone_reason: order.undone_reason,
        note: order.undone_note.clone(),
        ..miss(order.court.clone(), order.bank.clone(), kind, order.due_at)
    }
}

fn miss(court: Option<String>, bank: Option<String>, kind: MissKind, due_at: Instant) -> Miss {
    Miss {
        place: court.or(bank).unwrap_or_default(),
        kind,
        due_at,
        late_s: None,
        undone_reason: None,
        unfitted_reason: None,
        note: None,
    }
}

/// Each turnaround once: what makes up for a missed one stands in its place. What makes up for one of
/// the week before was told with that week.
fn made_up(turns: Vec<Turn>) -> Vec<Turn> {
    let (owed, mut first): (Vec<_>, Vec<_>) = turns
        .into_iter()
        .partition(|turn| turn.visit_key.starts_with(OWED));
    let mut owed: HashMap<String, Turn> = owed
        .into_iter()
        .map(|turn| (turn.visit_key.replacen(OWED, AFTER, 1), turn))
        .collect();
    for turn in &mut first {
        if matches!(turn.became, Became::Missed(_))
            && let Some(later) = owed.remove(&turn.visit_key)
        {
            turn.became = later.became;
            turn.is_short = later.is_short;
        }
    }
    first
}

fn count(turns: Vec<Turn>) -> Turnarounds {
    let mut told = Turnarounds::default();
    for turn in turns {
        match turn.became {
            Became::ToCome => {
                told.to_come += 1;
                continue;
            }
            Became::InTime => {
                told.finished += 1;
                told.in_time += 1;
                told.finished_short += i64::from(turn.is_short);
            }
            Became::Missed(miss) => {
                match miss.kind {
                    MissKind::Late => {
                        told.finished += 1;
                        told.finished_short += i64::from(turn.is_short);
                    }
                    MissKind::LeftUndone => told.left_undone += 1,
                    MissKind::NotGivenBack => told.not_given_back += 1,
                    MissKind::NotFitted => told.not_fitted += 1,
                    MissKind::NotPlanned => told.not_planned += 1,
                }
                told.misses.push(miss);
            }
        }
        told.due += 1;
    }
    told
}

#[cfg(test)]
mod tests {
    use super::*;

    fn turn(visit_key: &str, missed: Option<MissKind>) -> Turn {
        let due = chrono::DateTime::UNIX_EPOCH.into();
        Turn {
            visit_key: visit_key.into(),
            is_short: false,
            became: missed.map_or(Became::InTime, |kind| {
                Became::Missed(miss(Some("Court 1".into()), None, kind, due))
            }),
        }
    }

    fn counted(turns: Vec<Turn>) -> (i64, i64, i64) {
        let told = count(made_up(turns));
        (
            told.due,
            told.in_time,
            i64::try_from(told.misses.len()).unwrap(),
        )
    }

    #[test]
    fn a_turnaround_made_up_for_in_the_morning_is_one_and_in_time() {
        let evening = || turn("turnaround:7", Some(MissKind::NotFitted));
        assert_eq!(counted(vec![evening()]), (1, 0, 1));
        assert_eq!(counted(vec![evening(), turn("owed:7", None)]), (1, 1, 0));
        let again = turn("owed:7", Some(MissKind::LeftUndone));
        assert_eq!(counted(vec![evening(), again]), (1, 0, 1));
    }

    #[test]
    fn what_makes_up_for_the_week_before_is_not_told_again() {
        assert_eq!(counted(vec![turn("owed:3", None)]), (0, 0, 0));
        let both = vec![turn("owed:3", None), turn("turnaround:4", None)];
        assert_eq!(counted(both), (1, 1, 0));
    }
}
