//! The runs that somebody opens and closes, as the plan's visits make them.

use std::collections::HashSet;

use planner::plan::{Plan, Stop};
use trade::units::{Millilitres, MlPerSecond, Seconds};
use trade::watering::{Cycle, Line, Taken, WhyUnfinished};

use super::{AskedOfNight, Laying};
use crate::desk::day_build::{Built, HandRun, Stage};
use crate::store::day_plans::WateringKind;

/// The openings of a plan that closes nothing after them: nobody is sent for such a one, for nobody would come back.
pub fn lone_openings(built: &Built, plan: &Plan) -> HashSet<String> {
    let asked = built.hand_runs.runs.iter();
    let asked = asked.filter(|run| run.stage == Stage::Asked);
    asked
        .filter(|run| stop(plan, &run.closing_key()).is_none())
        .map(HandRun::opening_key)
        .collect()
}

fn stop<'p>(plan: &'p Plan, key: &str) -> Option<&'p Stop> {
    let mut stops = plan.rounds.iter().flat_map(|round| &round.stops);
    stops.find(|stop| stop.visit == key)
}

impl Laying<'_> {
    /// The runs of a bank's valves that somebody opens and closes; the line is then taken by them.
    pub(super) fn by_hand(&mut self, bank: i64, line: &mut Line) {
        let built = self.built;
        let runs = built.hand_runs.runs.iter();
        for run in runs.filter(|run| run.valve.bank_id == bank) {
            let open = stop(self.plan, &run.opening_key());
            let close = stop(self.plan, &run.closing_key());
            if let Some((open, close)) = open.zip(close) {
                // The water runs from when it is open until somebody begins to close it.
                let run_s = (close.start_s - open.end_s).max(0);
                self.lay(bank, run, open.end_s, run_s);
                line.taken.push(Taken {
                    from: Seconds(open.start_s),
                    to: Seconds(close.end_s),
                    flow: MlPerSecond(run.valve.flow_mlps),
                });
            } else {
                self.miss(run);
            }
        }
        let missed = built.hand_runs.missed.iter();
        for one in missed.filter(|one| one.valve.bank_id == bank) {
            // What does not fit at midday is told with the day's work.
            if one.kind == WateringKind::NightCycle {
                let asked = AskedOfNight {
                    wanted_ml: one.wanted_ml,
                    run_s: 0,
                    within: one.within,
                };
                self.note_asked(&one.valve, &asked, Some((one.wanted_ml, one.why)));
            }
        }
    }

    fn lay(&mut self, bank: i64, run: &HandRun, from: i64, run_s: i64) {
        let volume = run.valve.flow_mlps.saturating_mul(run_s);
        let cycle = Cycle {
            valve: 0,
            number: 1,
            from: Seconds(from),
            to: Seconds(from + run_s),
            flow: MlPerSecond(run.valve.flow_mlps),
            volume: Millilitres(volume),
        };
        self.keep(bank, &run.valve, &cycle, run.kind);
        for court in &run.valve.courts {
            let worked = self.worked.entry(*court).or_default();
            worked.push([from, from + run_s]);
        }
        if run.kind == WateringKind::NightCycle {
            let asked = AskedOfNight {
                wanted_ml: volume,
                run_s,
                within: run.kept_free,
            };
            self.note_asked(&run.valve, &asked, None);
        }
    }

    /// Nobody comes for it: its courts go without.
    fn miss(&mut self, run: &HandRun) {
        if run.kind == WateringKind::Soak {
            let courts = run.valve.courts.iter();
            let missed = courts.map(|court| (*court, run.kept_free));
            self.night.missed_soaks.extend(missed);
            return;
        }
        let asked = AskedOfNight {
            wanted_ml: run.wanted_ml(),
            run_s: 0,
            within: run.kept_free,
        };
        let left = (run.wanted_ml(), WhyUnfinished::NobodyThere);
        self.note_asked(&run.valve, &asked, Some(left));
    }
}
