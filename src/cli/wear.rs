//! `roundhand wear`: how a brush wears and what is left of it, from a file of readings.

use std::path::PathBuf;
use std::process::ExitCode;

use serde::Serialize;
use trade::wear::{
    ClassPrior, Doubt, Line, Reading, Record, Remaining, SEASON_OF_COURTS, Told, Wear, WearError,
};

use super::rows::{Faults, Findings, Refused, read, tell};

/// Tell how a brush wears, and what use it has left, from a file of readings.
///
/// The file has a header and the columns `use` (what the brush had been used since new) and `length_mm`. Prints one JSON
/// object: the line `length = intercept + slope × use` with its standard errors, and the use left until the limit: with 10, 50 and
/// 90 % chance it is no more than so much, `null` where no finite use can be named. Rows that cannot be are refused by their
/// line; readings that cannot well be are doubted, and do not count until the next ones say the same. Exits with 2 where the
/// file tells nothing.
#[derive(Debug, clap::Args)]
pub struct WearArgs {
    /// The readings.
    readings: PathBuf,
    /// The length at which the brush is changed, in millimetres; half of its class's length when new where none is given.
    #[arg(long, value_name = "MM", value_parser = above_zero)]
    limit: Option<f64>,
    /// Take nothing but the readings: least squares, in which no reading is doubted. Without a limit nothing is said of
    /// what is left.
    #[arg(long, conflicts_with_all = ["start", "life"])]
    flat_prior: bool,
    /// The usual length of such a brush when new, in millimetres; a drag broom's where none is given.
    #[arg(long, value_name = "MM", value_parser = above_zero)]
    start: Option<f64>,
    /// How much use such a brush usually lasts until its limit, in the unit of the file; 900 courts groomed, a drag
    /// broom's season, where none is given.
    #[arg(long, value_name = "USE", value_parser = above_zero)]
    life: Option<f64>,
}

fn above_zero(text: &str) -> Result<f64, String> {
    let number: Option<f64> = text.parse().ok();
    number
        .filter(|number| *number > 0.0 && number.is_finite())
        .ok_or_else(|| "give a number above zero".to_owned())
}

/// What a file of readings tells.
#[derive(Serialize)]
struct Found {
    fit: Line,
    /// How many readings it is made of.
    readings: u32,
    /// The use from which on the rest is counted: that of the last reading.
    used: f64,
    limit_mm: Option<f64>,
    remaining_use: Option<Remaining>,
    /// Readings that cannot well be, with what speaks against them.
    doubted: Vec<Refused>,
    refused: Vec<Refused>,
}

/// Runs the command.
pub fn run(args: &WearArgs) -> ExitCode {
    tell(find(args))
}

fn find(args: &WearArgs) -> Findings<Found> {
    let rows = read(&args.readings, ["use", "length_mm"], |used, length| {
        if used < 0.0 {
            return Err("`use` is below zero: give the use since the brush was new".into());
        }
        if length < 0.0 {
            return Err("`length_mm` is below zero: give the length of the bristles".into());
        }
        Ok(())
    })?;
    let (new, limit) = brush(args).map_err(|why| Faults::from(why.to_string()))?;
    let mut readings: Vec<(usize, Reading)> = rows
        .taken
        .iter()
        .map(|row| {
            let reading = Reading {
                used: row.first,
                length_mm: row.second,
            };
            (row.line, reading)
        })
        .collect();
    readings.sort_by(|(_, a), (_, b)| a.used.total_cmp(&b.used));
    let told = told(new, &readings, args.flat_prior).and_then(|(wear, doubted)| {
        let used = readings.last().map_or(0.0, |(_, last)| last.used);
        let remaining_use = limit.map(|limit| wear.remaining(used, limit)).transpose()?;
        Ok((wear.line()?, wear.readings(), used, remaining_use, doubted))
    });
    match told {
        _ if readings.is_empty() => Err(Faults {
            why: format!("{}: there is no reading in it", args.readings.display()),
            refused: rows.refused,
        }),
        Ok((fit, readings, used, remaining_use, doubted)) => Ok(Found {
            fit,
            readings,
            used,
            limit_mm: limit,
            remaining_use,
            doubted,
            refused: rows.refused,
        }),
        Err(why) => Err(Faults {
            why: format!("{}: {why}", args.readings.display()),
            refused: rows.refused,
        }),
    }
}

/// The brush before its first reading, and its limit.
fn brush(args: &WearArgs) -> Result<(Wear, Option<f64>), WearError> {
    if args.flat_prior {
        return Ok((Wear::flat(), args.limit));
    }
    let usual = ClassPrior::default();
    let start = args.start.unwrap_or(usual.start_mm);
    let limit = args.limit.unwrap_or(start / 2.0);
    // The usual class has its own limit: another one is only reached sooner or later.
    let prior = match (args.start, args.life) {
        (None, None) => usual,
        (_, life) => ClassPrior::of_life(
            start,
            usual.start_sd_mm,
            limit,
            life.unwrap_or(SEASON_OF_COURTS),
        )?,
    };
    Ok((Wear::new(&prior)?, Some(limit)))
}

/// The brush after its readings, in the order of their use, and those that are doubted to the end.
fn told(
    new: Wear,
    readings: &[(usize, Reading)],
    believe_all: bool,
) -> Result<(Wear, Vec<Refused>), WearError> {
    let mut record = Record::new(new);
    let mut doubted = Vec::new();
    for (line, reading) in readings {
        if believe_all {
            record.wear.take(*reading)?;
            continue;
        }
        match record.tell(*reading)? {
            Told::Taken => {}
            Told::Doubted(why) => doubted.push((*line, *reading, why)),
            Told::Confirms(before) => doubted.retain(|(_, reading, _)| !before.contains(reading)),
        }
    }
    let in_words = |(line, _, why)| Refused {
        line,
        reason: match why {
            Doubt::TooLong => "longer than the reading before: bristles do not grow; read it again",
            Doubt::FurtherThanForecast => {
                "farther from what is expected than a reading strays: read it again"
            }
        }
        .into(),
    };
    Ok((record.wear, doubted.into_iter().map(in_words).collect()))
}
