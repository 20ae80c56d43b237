//! The valves of the day: those the site has set up, and where it has set up none for a court, the court's own
//! sprinklers by the controller.

use std::collections::{BTreeMap, BTreeSet};

use crate::desk::day_build::Inputs;
use crate::store::courts::Watering;
use crate::store::water::Opened;

/// What lets water onto one court or several.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DayValve {
    /// The valve; none where a court's own sprinklers are meant.
    pub id: Option<i64>,
    /// The bank whose line feeds it.
    pub bank_id: i64,
    /// How it is opened.
    pub opened: Opened,
    /// What it takes while it runs, ml/s.
    pub flow_mlps: i64,
    /// The sprinkler courts it wets.
    pub courts: Vec<i64>,
}

/// The valves that wet sprinkler courts, those that were set up first. What a hose does is a step of the work.
pub fn valves(inputs: &Inputs) -> Vec<DayValve> {
    let sprinkled: BTreeSet<i64> = inputs
        .courts
        .iter()
        .filter(|court| court.watering == Watering::Sprinkler)
        .map(|court| court.id)
        .collect();
    let mut of_valve: BTreeMap<i64, Vec<i64>> = BTreeMap::new();
    for (valve, court) in &inputs.water.wets {
        if sprinkled.contains(court) {
            of_valve.entry(*valve).or_default().push(*court);
        }
    }
    let set_up = inputs.water.valves.iter().filter_map(|valve| {
        let courts = of_valve.get(&valve.id)?.clone();
        Some(DayValve {
            id: Some(valve.id),
            bank_id: valve.bank_id,
            opened: valve.opened,
            flow_mlps: valve.flow_mlps,
            courts,
        })
    });
    let known: BTreeSet<i64> = of_valve.values().flatten().copied().collect();
    let own = inputs
        .courts
        .iter()
        .filter(|court| sprinkled.contains(&court.id) && !known.contains(&court.id))
        .filter(|court| court.sprinkler_flow_mlps > 0)
        .map(|court| DayValve {
            id: None,
            bank_id: court.bank_id,
            opened: Opened::Controller,
            flow_mlps: court.sprinkler_flow_mlps,
            courts: vec![court.id],
        });
    let all = set_up.chain(own);
    all.filter(|valve| valve.opened != Opened::Hose).collect()
}
