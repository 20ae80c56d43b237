//! `roundhand life`: how long parts of a class last, from a file of lives.

use std::path::PathBuf;
use std::process::ExitCode;

use serde::Serialize;
use trade::life::{Between, Fit, Life, fit, fit_with_shape};

use super::rows::{Faults, Findings, Refused, read, tell};

/// Tell how long parts of a class last, from a file of their lives.
///
/// The file has a header and the columns `age` (above zero, in any unit) and `failed` (1 where the part failed at that age, 0
/// where it still held or was changed before it failed). Prints one JSON object: shape and scale of their lives as a Weibull
/// distribution, with 95 % limits, and the ages by which 10, 50 and 90 % have failed. Rows that cannot be are refused by
/// their line. Exits with 2 where the file tells nothing: none has failed, or all at one age.
#[derive(Debug, clap::Args)]
pub struct LifeArgs {
    /// The lives.
    lives: PathBuf,
    /// Take this shape and fit the scale alone, where too few have failed to tell a shape: about 3 for parts that wear out.
    #[arg(long, value_name = "SHAPE")]
    shape: Option<f64>,
}

/// What a file of lives tells.
#[derive(Serialize)]
struct Found {
    fit: Shown,
    life: Ages,
    refused: Vec<Refused>,
}

#[derive(Serialize)]
struct Shown {
    shape: f64,
    shape_low: Option<f64>,
    shape_high: Option<f64>,
    scale: f64,
    scale_low: f64,
    scale_high: Option<f64>,
    log_likelihood: f64,
    failures: usize,
    unfailed: usize,
}

impl From<Fit> for Shown {
    fn from(fit: Fit) -> Self {
        let shape = fit.shape_between;
        Self {
            shape: fit.lives.shape,
            shape_low: shape.map(|between| between.low),
            shape_high: shape.and_then(|Between { high, .. }| high),
            scale: fit.lives.scale,
            scale_low: fit.scale_between.low,
            scale_high: fit.scale_between.high,
            log_likelihood: fit.log_likelihood,
            failures: fit.failures,
            unfailed: fit.unfailed,
        }
    }
}

/// Ages by which so many of a hundred have failed, and the mean.
#[derive(Serialize)]
struct Ages {
    p10: f64,
    p50: f64,
    p90: f64,
    mean: f64,
}

/// Runs the command.
pub fn run(args: &LifeArgs) -> ExitCode {
    tell(find(args))
}

fn find(args: &LifeArgs) -> Findings<Found> {
    let rows = read(&args.lives, ["age", "failed"], |age, failed| {
        if age <= 0.0 {
            return Err("`age` is not above zero: give the age reached".into());
        }
        flag(failed).map(|_| ()).ok_or_else(|| {
            "`failed` is neither 1 nor 0: give 1 where the part failed at that age".into()
        })
    })?;
    let lives: Vec<Life> = rows
        .taken
        .iter()
        .map(|row| Life {
            age: row.first,
            failed: flag(row.second).unwrap_or(false),
        })
        .collect();
    let fitted = match args.shape {
        Some(shape) => fit_with_shape(&lives, shape),
        None => fit(&lives),
    };
    match fitted {
        Ok(fit) => Ok(Found {
            life: Ages {
                p10: fit.lives.b10(),
                p50: fit.lives.median(),
                p90: fit.lives.quantile(0.9),
                mean: fit.lives.mean(),
            },
            fit: fit.into(),
            refused: rows.refused,
        }),
        Err(why) => Err(Faults {
            why: format!("{}: {why}", args.lives.display()),
            refused: rows.refused,
        }),
    }
}

/// Whether a number says that a part failed.
fn flag(number: f64) -> Option<bool> {
    const NEAR: f64 = 1e-9;
    if (number - 1.0).abs() < NEAR {
        Some(true)
    } else {
        (number.abs() < NEAR).then_some(false)
    }
}
