//! Weather from a file: comma-separated values with a header, each column named with its unit.

use chrono::DateTime;
use serde::{Deserialize, Serialize};
use trade::weather::{Column, WeatherReading};
use utoipa::ToSchema;

use super::{checked, keep};
use crate::desk::access::{Permit, TellWeather};
use crate::desk::once::Once;
use crate::desk::{Error, Office, Result};
use crate::store::Instant;
use crate::store::weather::{NewWeather, WeatherKind};

/// A file's text.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WeatherFile {
    /// Comma-separated values (RFC 4180) with a header: `at` (RFC 3339), perhaps `kind` (`observed` or `forecast`), and any of `temp_c`,
    /// `temp_f`, `humidity_pct`, `wind_mps`, `wind_mph`, `wind_kmh`, `gust_mps`, `gust_mph`, `gust_kmh`, `rain_mm`,
    /// `rain_in`, `solar_w_m2`, `frost` (`yes` or `no`).
    #[schema(example = "at,temp_f,humidity_pct\n2031-06-14T17:00:00Z,88,61\n")]
    pub csv: String,
}

/// What became of a file.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
pub struct Imported {
    /// How many lines were taken.
    pub taken: usize,
    /// The lines that were not, each with its mend.
    pub refused: Vec<LineRefused>,
}

/// A line that was not taken.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct LineRefused {
    /// Its number in the file, the header being 1.
    pub line: u64,
    /// The column, empty for the whole line.
    pub column: String,
    /// What is wrong and how to mend it.
    pub detail: String,
}

/// Takes what can be read of a file, and tells line by line what cannot.
pub fn weather_import(
    office: &Office,
    permit: &Permit<TellWeather>,
    client_key: String,
    file: &WeatherFile,
) -> Result<Imported> {
    let once = Once::new(client_key, "import weather".into(), file)?;
    let now = office.now();
    let (new, refused) = read(&file.csv, now)?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            if !new.is_empty() {
                keep(tx, permit, &new)?;
            }
            Ok(Imported {
                taken: new.len(),
                refused: refused.clone(),
            })
        })
    })
}

/// What each column of the header holds.
enum Head {
    At,
    Kind,
    Of(Column),
}

fn header(names: &csv::StringRecord) -> Result<Vec<Head>> {
    let refused = |detail: String| Error::refused("/csv", detail);
    let mut seen = std::collections::BTreeSet::new();
    let heads: Vec<Head> = names
        .iter()
        .map(|name| {
            let name = name.trim().trim_start_matches('\u{feff}');
            if !seen.insert(name.to_owned()) {
                return Err(refused(format!("column `{name}` comes twice: leave one")));
            }
            match name {
                "at" => Ok(Head::At),
                "kind" => Ok(Head::Kind),
                other => other.parse().map(Head::Of).map_err(|_| {
                    refused(format!(
                        "line 1: there is no column `{other}`; take at, kind, {}",
                        Column::ALL
                            .iter()
                            .map(|c| c.as_str())
                            .collect::<Vec<_>>()
                            .join(", ")
                    ))
                }),
            }
        })
        .collect::<Result<_>>()?;
    if !heads.iter().any(|head| matches!(head, Head::At)) {
        return Err(refused(
            "line 1: name the column `at`, the time of each reading".into(),
        ));
    }
    Ok(heads)
}

fn read(text: &str, now: Instant) -> Result<(Vec<NewWeather>, Vec<LineRefused>)> {
    // The reader counts a line once its LF is read, which after a CR is one record too late.
    let text = text.replace("\r\n", "\n");
    let mut lines = csv::ReaderBuilder::new()
        .flexible(true)
        .from_reader(text.as_bytes());
    let names = lines
        .headers()
        .map_err(|why| Error::refused("/csv", why.to_string()))?
        .clone();
    let heads = header(&names)?;
    let (mut new, mut refused) = (Vec::new(), Vec::new());
    for (nth, record) in (2..).zip(lines.records()) {
        let line = record
            .as_ref()
            .ok()
            .and_then(|record| record.position())
            .map_or(nth, csv::Position::line);
        let told = record
            .map_err(|why| (String::new(), why.to_string()))
            .and_then(|record| one(&heads, &names, &record, now));
        match told {
            Ok(one) => new.push(one),
            Err((column, detail)) => refused.push(LineRefused {
                line,
                column,
                detail,
            }),
        }
    }
    Ok((new, refused))
}

/// One line, or the column that is wrong and its mend.
fn one(
    heads: &[Head],
    names: &csv::StringRecord,
    cells: &csv::StringRecord,
    now: Instant,
) -> Result<NewWeather, (String, String)> {
    if cells.len() != heads.len() {
        let detail = format!("{} cells under {} columns", cells.len(), heads.len());
        return Err((String::new(), detail));
    }
    let (mut at, mut kind) = (None, WeatherKind::Observed);
    let mut reading = WeatherReading::default();
    for ((head, name), cell) in heads.iter().zip(names).zip(cells) {
        let wrong = |detail: &str| (name.trim().to_owned(), detail.to_owned());
        match head {
            Head::At => {
                let read = DateTime::parse_from_rfc3339(cell.trim());
                let read = read.map_err(|_| {
                    wrong("give date, time and offset, like 2031-06-14T13:00:00-04:00")
                })?;
                at = Some(Instant::from(read.to_utc()));
            }
            Head::Kind if cell.trim().is_empty() => {}
            Head::Kind => {
                kind = cell
                    .trim()
                    .parse()
                    .map_err(|_| wrong("give observed or forecast"))?;
            }
            Head::Of(Column::Frost) => {
                Column::Frost
                    .put(cell, &mut reading)
                    .ok_or_else(|| wrong("give yes or no, or leave it empty"))?;
            }
            Head::Of(column) => column.put(cell, &mut reading).ok_or_else(|| {
                wrong("give a number of at most three decimals, or leave it empty")
            })?,
        }
    }
    let at = at.ok_or_else(|| ("at".to_owned(), "give the time".to_owned()))?;
    checked(at, kind, reading, now).map_err(|(field, detail)| (field.to_owned(), detail))
}
