//! How long the forecasts of a shed take.
//!
//! `cargo bench --bench wear`. 400 parts with five years of weekly readings each (260), told one by one with the doubt of
//! each, then what is left of each: the three quantiles and the chance by tomorrow. `one more` is one further reading of a
//! part that has 260. Wall time of one thread, median of so many turns.
//!
//! Measured on a busy machine with two cores, optimised: 38 ms for all from their readings, 4 ms from what is kept of each
//! part, 0.2 microseconds for one reading more. The doubt of a reading asks for no t distribution unless the reading
//! lies beyond where a normal one would doubt it; asking for it each time would take some microseconds a reading.

mod args;
mod timing;

use std::hint::black_box;

use args::Args;
use timing::{median, ms};
use trade::wear::{ClassPrior, Reading, Record, Wear};

const PARTS: u32 = 400;
const READINGS: u32 = 260;
/// Of a class that lasts five years of weeks.
const LIFE: f64 = 10_000.0;
const LIMIT_MM: f64 = 60.0;

fn main() {
    let Some(mut args) = Args::read() else {
        return;
    };
    let turns: usize = args.one("--turns", 21);
    args.words();
    let prior = ClassPrior::of_life(133.0, 11.0, LIMIT_MM, LIFE).expect("a sound class");
    let new = Wear::new(&prior).expect("a sound class");
    let shed: Vec<Vec<Reading>> = (0..PARTS).map(readings).collect();

    let all = median(turns, || {
        for part in &shed {
            black_box(left(&told(new, part)));
        }
    });
    let records: Vec<Record> = shed.iter().map(|part| told(new, part)).collect();
    let forecasts = median(turns, || {
        for record in &records {
            black_box(left(record));
        }
    });
    let one_more = median(turns, || {
        for (record, part) in records.iter().zip(&shed) {
            let last = part[part.len() - 1];
            let mut record = record.clone();
            let further = Reading {
                used: last.used + 33.0,
                ..last
            };
            black_box(record.tell(further)).expect("it is told in order");
        }
    });
    println!("Wall time on this machine, one thread, median of {turns} turns.");
    println!(
        "{PARTS} parts, {READINGS} readings each: {:.1} ms from the readings, {:.1} ms from what is kept; \
         one reading more: {:.2} microseconds",
        ms(all),
        ms(forecasts),
        ms(one_more) * 1e3 / f64::from(PARTS)
    );
}

/// Readings of one part, of a rate of its own, with a wobble of a millimetre.
fn readings(part: u32) -> Vec<Reading> {
    let rate = 0.004 + 0.000_01 * f64::from(part % 100);
    (1..=READINGS)
        .map(|nth| {
            let used = 33.0 * f64::from(nth);
            Reading {
                used,
                length_mm: (133.0 - rate * used + (f64::from(nth * 7 + part)).sin()).round(),
            }
        })
        .collect()
}

fn told(new: Wear, readings: &[Reading]) -> Record {
    let mut record = Record::new(new);
    for reading in readings {
        record.tell(*reading).expect("it is told in order");
    }
    record
}

fn left(record: &Record) -> f64 {
    let used = record.wear.last().map_or(0.0, |last| last.used);
    let left = record.wear.remaining(used, LIMIT_MM).expect("a forecast");
    let tomorrow = record.wear.chance_of_limit(used + 5.0, LIMIT_MM);
    left.p50.unwrap_or(0.0) + tomorrow.expect("a forecast")
}
