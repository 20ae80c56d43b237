//! From a finished day to the plan that is handed out.

use crate::day::{Day, Stop};
use crate::finish;
use crate::model::Crew;
use crate::money::{CENT, Total};
use crate::plan::{self, Cost, Plan, Rest, Round, Unserved, Watered};
use crate::problem::Problem;

/// Writes a day down. Crews leave as late as they can, everything else is as early as it can be.
pub(crate) fn plan(problem: &Problem, day: &Day, bound: i64, seed: u64) -> Plan {
    let id = |visit: usize| problem.visits[visit].id.clone();
    let mut watering: Vec<Watered> = (0..day.served.len())
        .filter_map(|i| {
            let start_s = day.served[i]?.watering?;
            let run = day.model.visits[i].water?.run;
            Some(Watered {
                visit: id(i),
                start_s,
                end_s: start_s + run,
            })
        })
        .collect();
    watering.sort_by_key(|w| w.start_s);
    let unserved = (0..day.served.len()).filter(|&i| day.served[i].is_none());
    Plan {
        format: plan::FORMAT.to_owned(),
        rounds: (0..day.rounds.len())
            .filter(|&c| !day.rounds[c].stops.is_empty())
            .map(|c| round(problem, day, c))
            .collect(),
        watering,
        unserved: unserved
            .map(|i| Unserved {
                visit: id(i),
                reason: finish::reason(day, i),
            })
            .collect(),
        cost: cost(problem, day),
        lower_bound: Total::not_above(bound),
        seed,
        elapsed_ms: 0,
    }
}

fn round(problem: &Problem, day: &Day, crew: usize) -> Round {
    let model = day.model;
    let (c, round) = (&model.crews[crew], &day.rounds[crew]);
    let breaks: Vec<Rest> = round
        .breaks
        .iter()
        .zip(&c.breaks)
        .map(|(&start_s, b)| Rest {
            start_s,
            end_s: start_s + b.len,
        })
        .collect();
    let mut stops = Vec::with_capacity(round.stops.len());
    let (mut place, mut at, mut rested, mut leave_s) = (c.start_place, c.from, 0, c.from);
    for (i, stop) in round.stops.iter().enumerate() {
        let next = day.visit(stop).place;
        let leg = Leg {
            at,
            way: model.travel(place, next),
            breaks: &breaks[rested..stop.rested],
            by: stop.start,
        };
        let arrive_s = if i == 0 {
            leg.latest_arrival()
        } else {
            leg.earliest_arrival()
        };
        if i == 0 {
            leave_s = arrive_s - leg.way;
        }
        stops.push(written(problem, day, stop, arrive_s));
        (place, at, rested) = (next, stop.end, stop.rested);
    }
    let leg = Leg {
        at,
        way: model.travel(place, c.end_place),
        breaks: &breaks[rested..],
        by: c.until,
    };
    let return_s = home(c, leg.earliest_arrival(), &breaks);
    let kit = match &problem.crews[crew].kit {
        Some(given) => given.clone(),
        None => day
            .kits
            .of(crew)
            .map(|k| problem.tools[k].class.clone())
            .collect(),
    };
    Round {
        crew: problem.crews[crew].id.clone(),
        kit,
        leave_s,
        return_s,
        stops,
        breaks,
    }
}

fn written(problem: &Problem, day: &Day, stop: &Stop, arrive_s: i64) -> plan::Stop {
    plan::Stop {
        visit: problem.visits[stop.visit].id.clone(),
        way: day.offer(stop).way(),
        arrive_s,
        start_s: stop.start,
        end_s: stop.end,
    }
}

/// A break that runs into overtime is part of the round.
fn home(c: &Crew, arrive: i64, breaks: &[Rest]) -> i64 {
    let last = breaks.last().map_or(0, |b| b.end_s);
    if last > c.shift_end {
        arrive.max(last)
    } else {
        arrive
    }
}

/// A travel between two activities with the breaks taken in between.
struct Leg<'a> {
    at: i64,
    way: i64,
    breaks: &'a [Rest],
    /// When the next activity starts.
    by: i64,
}

impl Leg<'_> {
    /// The stretches between breaks that are long enough for the travel.
    fn stretches(&self) -> impl DoubleEndedIterator<Item = (i64, i64)> {
        let from = |i: usize| {
            if i == 0 {
                self.at
            } else {
                self.breaks[i - 1].end_s
            }
        };
        let to = move |i: usize| self.breaks.get(i).map_or(self.by, |b| b.start_s);
        (0..=self.breaks.len())
            .map(move |i| (from(i), to(i)))
            .filter(|(from, to)| to - from >= self.way)
    }

    fn earliest_arrival(&self) -> i64 {
        self.stretches()
            .next()
            .map_or(self.by, |(from, _)| from + self.way)
    }

    fn latest_arrival(&self) -> i64 {
        self.stretches().next_back().map_or(self.by, |(_, to)| to)
    }
}

/// The parts of the cost. Each is summed exactly and rounded once.
fn cost(problem: &Problem, day: &Day) -> Cost {
    let model = day.model;
    let (mut travel, mut service, mut overtime, mut balance) = (0, 0, 0, 0);
    let (mut ways, mut late, mut change) = (0, 0, 0);
    for (c, round) in model
        .crews
        .iter()
        .zip(&day.rounds)
        .filter(|(_, r)| !r.stops.is_empty())
    {
        let mut at = c.start_place;
        for stop in &round.stops {
            let (v, offer) = (day.visit(stop), day.offer(stop));
            let extra = problem.visits[stop.visit].ways[offer.way()].extra_cost * CENT;
            travel += c.rate * model.travel(at, v.place);
            service += c.rate * offer.dur();
            ways += extra;
            change += offer.cost() - c.rate * offer.dur() - extra;
            late += v.late(offer, stop.end);
            at = v.place;
        }
        travel += c.rate * model.travel(at, c.end_place);
        overtime += c.overtime(round.done);
        balance += c.balance(round.work);
    }
    let unserved = model
        .visits
        .iter()
        .zip(&day.served)
        .filter(|(_, s)| s.is_none());
    let skip: i64 = unserved.map(|(v, _)| v.skip).sum();
    Cost {
        travel: Total::of_units(travel),
        service: Total::of_units(service),
        overtime: Total::of_units(overtime),
        balance: Total::of_units(balance),
        ways: Total::of_units(ways),
        late: Total::of_units(late),
        change: Total::of_units(change),
        skip: Total::of_units(skip),
        total: Total::of_units(travel + service + overtime + balance + ways + late + change + skip),
    }
}
