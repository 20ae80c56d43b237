//! When a court is in play, when it is shut, and what lies between.

use chrono::TimeDelta;
use planner::problem::Span;

use super::clock::minus;
use super::inputs::Inputs;
use crate::store::Instant;
use crate::store::play::SessionRow;

/// A court's hours around the day.
#[derive(Clone, Debug)]
pub struct CourtHours {
    /// Its stretches of play, by start: sessions, as far as no closure shuts them out.
    pub play: Vec<Stretch>,
    /// When nobody may be on it to work: closures, draining after rain, and water of other days' plans.
    pub shut: Vec<Span>,
    /// While nobody works on it because somebody lets water run by hand; among `shut` as well.
    pub kept_free: Vec<Span>,
}

/// A session as it is played.
#[derive(Clone, Debug)]
pub struct Stretch {
    /// The session.
    pub session: i64,
    /// What the site calls it.
    pub name: String,
    /// Whether it starts on the day itself.
    pub of_the_day: bool,
    /// From its first to its last second of play.
    pub span: Span,
    /// Whether the turnaround after it may be the short one.
    pub may_be_short: bool,
    /// The players brush and sweep the court themselves.
    pub players_brush: bool,
}

impl CourtHours {
    /// A court's hours.
    pub fn of(inputs: &Inputs, court: i64) -> Self {
        let clock = &inputs.clock;
        let closed: Vec<Span> = inputs
            .closures
            .iter()
            .filter(|closure| closure.court_id == court)
            .map(|closure| [clock.begins(closure.starts_at), clock.ends(closure.ends_at)])
            .chain(
                inputs
                    .rests
                    .iter()
                    .filter(|rest| rest.court_id == court)
                    .map(|rest| [clock.begins(rest.starts_at), clock.ends(rest.ends_at)]),
            )
            .collect();
        let mut play: Vec<Stretch> = inputs
            .sessions
            .iter()
            .filter(|session| session.court_id == court)
            .filter_map(|session| played(inputs, session, &closed))
            .collect();
        play.sort_by_key(|stretch| (stretch.span, stretch.session));
        spare_from_two_short(inputs, &mut play);
        let watered = inputs.waterings.iter().filter(|run| run.court_id == court);
        let watered = watered.map(|run| [clock.begins(run.starts_at), clock.ends(run.ends_at)]);
        Self {
            play,
            shut: closed
                .iter()
                .copied()
                .chain(watered)
                .chain(drains(inputs, court))
                .collect(),
            kept_free: Vec::new(),
        }
    }

    /// Keeps everybody off while water runs that somebody lets run by hand.
    pub fn keep_free(&mut self, span: Span) {
        self.shut.push(span);
        self.kept_free.push(span);
    }

    /// The first play that starts at `after` or later.
    pub fn next_play(&self, after: i64) -> Option<i64> {
        let starts = self.play.iter().map(|stretch| stretch.span[0]);
        starts.filter(|start| *start >= after).min()
    }

    /// The stretches of `whole` in which the court is neither in play nor shut.
    pub fn free(&self, whole: Span) -> Vec<Span> {
        let mut taken = self.shut.clone();
        taken.extend(self.play.iter().map(|stretch| stretch.span));
        minus(whole, &taken)
    }

    /// The last play before the day that is over: after it the court was last to be turned around.
    pub fn last_before_the_day(&self) -> Option<&Stretch> {
        let before = self.play.iter().filter(|stretch| stretch.span[0] < 0);
        before.max_by_key(|stretch| (stretch.span[1], stretch.session))
    }

    /// The day's sessions after which the court is turned around, each with when the next play
    /// starts. Where one session runs into the next there is nothing between to be done.
    pub fn turnarounds(&self) -> impl Iterator<Item = (&Stretch, Option<i64>)> {
        self.play.iter().filter_map(|stretch| {
            let end = stretch.span[1];
            let plays_on = self.play.iter().any(|other| {
                other.span[0] < end && (other.span[1], other.session) > (end, stretch.session)
            });
            (stretch.of_the_day && !plays_on).then(|| (stretch, self.next_play(end)))
        })
    }
}

/// While a court drains after rain.
fn drains(inputs: &Inputs, court: i64) -> Option<Span> {
    let drying = inputs.sky.drying.get(&court)?;
    let clock = &inputs.clock;
    Some([clock.begins(drying.since), clock.begins(drying.fit_at)])
}

/// A session without what closures shut out of it; none where nothing is left.
fn played(inputs: &Inputs, session: &SessionRow, closed: &[Span]) -> Option<Stretch> {
    let clock = &inputs.clock;
    let whole = [
        clock.begins(session.starts_at),
        clock.ends(ends_at(inputs, session)),
    ];
    let left = minus(whole, closed);
    let span = [left.first()?[0], left.last()?[1]];
    Some(Stretch {
        session: session.id,
        name: session.name.clone(),
        of_the_day: (0..clock.length_s()).contains(&whole[0]),
        span,
        may_be_short: session.short_turnaround,
        players_brush: session.players_brush,
    })
}

/// How long an open-ended session may run over before it counts as forgotten. Common practice, no
/// source.
const FORGOTTEN: TimeDelta = TimeDelta::hours(6);

/// When a session ends as far as it is known now. An open-ended one that runs over holds the court
/// to the end of the quarter of an hour that runs, so that a plan made within it still holds.
fn ends_at(inputs: &Inputs, session: &SessionRow) -> Instant {
    let (end, now) = (session.end().utc(), inputs.now.utc());
    let runs_over = session.open_ended && session.over_at.is_none() && end <= now;
    if !runs_over || now >= end + FORGOTTEN {
        return session.end();
    }
    let into_quarter = now.timestamp().rem_euclid(QUARTER_S);
    (now + TimeDelta::seconds(QUARTER_S - into_quarter)).into()
}

/// A quarter of an hour, s.
const QUARTER_S: i64 = 900;

/// No court gets two short turnarounds running, unless the manager said that the second will do.
fn spare_from_two_short(inputs: &Inputs, play: &mut [Stretch]) {
    let mut short_before = false;
    for stretch in play.iter_mut().filter(|stretch| stretch.of_the_day) {
        let row = inputs.sessions.iter().find(|row| row.id == stretch.session);
        let said_yes = row.is_some_and(|row| row.short_ok);
        stretch.may_be_short &= said_yes || !short_before;
        short_before = stretch.may_be_short;
    }
}
