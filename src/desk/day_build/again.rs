//! A run that did not come, laid again while its courts can still drain before play.

use trade::units::{MlPerSecond, Seconds};
use trade::watering::{Line, NightValve, Taken, again_before_play};

use super::Inputs;
use super::play::CourtHours;
use super::water::{Allowances, closed, drain_after_night_s, drain_after_soak_s};
use crate::store::Instant;
use crate::store::day_plans::WateringKind;
use crate::store::water::RunRow;

/// How long somebody needs to start it, s.
const TO_START: i64 = 300;

/// When a run that did not come can run again: all its courts free, the line too, and drained before the next players.
/// `inputs` are those of its plan's date, `of_plan` the runs of its plan, `visits` the work on its courts from `now` on.
pub fn again(
    inputs: &Inputs,
    run: &[RunRow],
    of_plan: &[RunRow],
    visits: &[(i64, Instant, Instant)],
    now: Instant,
) -> Option<(Instant, Instant)> {
    let first = run.first()?;
    let bank = inputs.banks.iter().find(|bank| bank.id == first.bank_id)?;
    let clock = &inputs.clock;
    let from = clock.ends(now) + TO_START;
    let (_, last) = clock.around();
    let mut ready_before = clock.ends(last);
    let mut busy = Vec::new();
    for part in run {
        let hours = CourtHours::of(inputs, part.court_id);
        let drain = match part.kind {
            WateringKind::NightCycle => drain_after_night_s(inputs, part.court_id),
            WateringKind::Soak => drain_after_soak_s(inputs, part.court_id),
        };
        let plays = hours.play.iter().map(|stretch| stretch.span);
        if plays.clone().any(|span| (span[0]..span[1]).contains(&from)) {
            return None;
        }
        if let Some(next) = hours.next_play(from) {
            ready_before = ready_before.min(next - drain);
        }
        busy.extend(plays.chain(hours.shut.iter().copied()));
    }
    let visits = visits.iter();
    busy.extend(visits.map(|(_, begin, end)| [clock.begins(*begin), clock.ends(*end)]));

    let planned = of_plan.iter().filter(|other| other.state == "planned");
    let planned = planned.filter(|other| other.bank_id == bank.id && other.ends_at > now);
    let own = planned.map(|other| (other.starts_at, other.ends_at, other.flow_mlps));
    let others = inputs
        .waterings
        .iter()
        .filter(|other| other.bank_id == bank.id);
    let others = others.map(|other| (other.starts_at, other.ends_at, other.flow_mlps));
    let mut allowances = Allowances::of(inputs);
    for other in of_plan.iter().filter(|other| other.state != "did_not_run") {
        allowances.take(
            other.bank_id,
            clock.begins(other.starts_at),
            other.volume_ml,
        );
    }
    let line = Line {
        capacity: MlPerSecond(bank.line_capacity_mlps),
        taken: own
            .chain(others)
            .map(|(begin, end, flow)| Taken {
                from: Seconds(clock.begins(begin)),
                to: Seconds(clock.ends(end)),
                flow: MlPerSecond(flow),
            })
            .collect(),
        closed: closed(inputs, bank.id)
            .into_iter()
            .map(|span| span.map(Seconds))
            .collect(),
        budgets: allowances.of_bank(bank.id),
    };
    let valve = NightValve {
        valve: first.id,
        flow: MlPerSecond(run.iter().map(|part| part.flow_mlps).sum()),
        cycles: 1,
        run: Seconds(clock.ends(first.ends_at) - clock.begins(first.starts_at)),
        pause: Seconds::ZERO,
        not_before: Seconds(from),
        ready_before: Seconds(ready_before),
        busy: busy.into_iter().map(|span| span.map(Seconds)).collect(),
    };
    let cycle = again_before_play(&valve, &line).ok().flatten()?;
    Some((clock.instant(cycle.from.0), clock.instant(cycle.to.0)))
}
