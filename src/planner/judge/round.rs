//! Rules 2 to 7: one round by itself, and the kits.

use std::collections::HashSet;

use super::{Done, Judge};
use crate::plan::Round;
use crate::problem::Crew;

impl Judge<'_> {
    pub(super) fn round(&mut self, i: usize) {
        let (crew, round, stops) = self.rounds[i].clone();
        for done in &stops {
            self.stop(crew, round, done);
        }
        let load: i64 = stops.iter().map(|d| d.visit.load_g).sum();
        if load > crew.load_limit_g {
            self.no(7, format_args!("crew {} carries {load} g", crew.id));
        }
        if round.leave_s < crew.shift[0] || round.return_s > crew.overtime_until {
            self.no(4, format_args!("crew {} is out of its hours", crew.id));
        }
        self.travels(crew, round, &stops);
        self.breaks(crew, round, &stops);
    }

    /// Rules 2, 3, 6 of one stop.
    fn stop(&mut self, crew: &Crew, round: &Round, done: &Done) {
        let Done {
            visit, way, stop, ..
        } = done;
        let id = &visit.id;
        let skilled = way.skills.iter().all(|s| crew.skills.contains(s));
        if !skilled || crew.hands < way.min_hands {
            self.no(2, format_args!("crew {} cannot serve {id}", crew.id));
        }
        let hands = usize::try_from(crew.hands).unwrap_or(usize::MAX);
        let service = way.service_s.get(hands - 1).or(way.service_s.last());
        if service != Some(&(stop.end_s - stop.start_s)) {
            self.no(2, format_args!("{id} takes another time than it needs"));
        }
        let [open, close] = way.window.unwrap_or(visit.window);
        if stop.start_s < open || stop.end_s > close {
            self.no(3, format_args!("{id} lies outside its window"));
        }
        if stop.start_s < stop.arrive_s {
            self.no(4, format_args!("{id} starts before the crew arrives"));
        }
        if let Some([from, to]) = crew.kit_hours
            && !way.tools.is_empty()
            && (stop.start_s < from || stop.end_s > to)
        {
            self.no(
                6,
                format_args!("{id} needs tools outside the kit hours of crew {}", crew.id),
            );
        }
        if way.tools.iter().any(|t| !round.kit.contains(t)) {
            self.no(6, format_args!("crew {} lacks a tool for {id}", crew.id));
        }
    }

    /// Rule 4, and that of rule 5 by which no break splits a travel: of every leg some stretch without a break is
    /// as long as the travel.
    fn travels(&mut self, crew: &Crew, round: &Round, stops: &[Done]) {
        let mut breaks: Vec<(i64, i64)> =
            round.breaks.iter().map(|b| (b.start_s, b.end_s)).collect();
        breaks.retain(|b| b.0 < b.1);
        breaks.sort_unstable();
        let (mut place, mut at) = (crew.start_place, round.leave_s);
        let ends = stops
            .iter()
            .map(|d| (d.visit.place, d.stop.arrive_s, d.stop.end_s));
        for (next, arrive, end) in ends.chain([(crew.end_place, round.return_s, 0)]) {
            let mut most_free = 0;
            let mut from = at;
            for &(rest, on) in breaks.iter().filter(|b| b.1 > at && b.0 < arrive) {
                most_free = most_free.max(rest - from);
                from = from.max(on);
            }
            most_free = most_free.max(arrive - from);
            let needed = self.travel(place, next);
            if arrive - at < needed {
                self.no(
                    4,
                    format_args!("crew {} has no time to travel before {arrive}", crew.id),
                );
            } else if most_free < needed {
                self.no(
                    5,
                    format_args!(
                        "crew {}: a break splits the travel before {arrive}",
                        crew.id
                    ),
                );
            }
            (place, at) = (next, end);
        }
    }

    /// Rule 5.
    fn breaks(&mut self, crew: &Crew, round: &Round, stops: &[Done]) {
        if round.breaks.len() != crew.breaks.len() {
            self.no(
                5,
                format_args!("crew {} does not take each of its breaks", crew.id),
            );
        }
        let latest = crew.shift[1].max(round.return_s);
        let mut free_from = crew.shift[0];
        for (rest, b) in round.breaks.iter().zip(&crew.breaks) {
            let [open, close] = b.start_window;
            let timely = open <= rest.start_s && rest.start_s <= close;
            let whole = rest.end_s - rest.start_s == b.length_s;
            if !timely || !whole || rest.start_s < free_from || rest.end_s > latest {
                self.no(
                    5,
                    format_args!(
                        "crew {}: the break at {} is out of order",
                        crew.id, rest.start_s
                    ),
                );
            }
            if stops
                .iter()
                .any(|d| rest.start_s < d.stop.end_s && d.stop.start_s < rest.end_s)
            {
                self.no(
                    5,
                    format_args!(
                        "crew {}: the break at {} is during a visit",
                        crew.id, rest.start_s
                    ),
                );
            }
            free_from = rest.end_s;
        }
    }

    /// Rule 6, between crews.
    pub(super) fn kits(&mut self) {
        for i in 0..self.rounds.len() {
            let (crew, round, _) = &self.rounds[i];
            let kit: HashSet<&String> = round.kit.iter().collect();
            let known = kit
                .iter()
                .all(|k| self.problem.tools.iter().any(|t| t.class == **k));
            let size = match &crew.kit {
                Some(given) => kit == given.iter().collect(),
                None => i64::try_from(kit.len()).is_ok_and(|n| n <= crew.kit_limit),
            };
            if kit.len() != round.kit.len() || !known || !size {
                self.violations
                    .push(format!("6: crew {} has a kit it cannot have", crew.id));
            }
        }
        for tool in &self.problem.tools {
            let holds = |c: &&Crew| {
                let round = self.rounds.iter().find(|r| r.0.id == c.id);
                c.kit.iter().flatten().any(|k| *k == tool.class)
                    || round.is_some_and(|r| r.1.kit.contains(&tool.class))
            };
            let hours = |c: &Crew| c.kit_hours.unwrap_or(c.shift);
            let held: Vec<[i64; 2]> = self.problem.crews.iter().filter(holds).map(hours).collect();
            let at_once = |x: i64| held.iter().filter(|h| h[0] <= x && x < h[1]).count();
            let most = held.iter().map(|h| at_once(h[0])).max().unwrap_or(0);
            if i64::try_from(most).is_ok_and(|most| most > tool.count) {
                self.no(6, format_args!("{most} kits hold {}", tool.class));
            }
        }
    }
}
