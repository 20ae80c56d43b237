//! Files of numbers for `wear` and `life`: comma-separated values with a header, read row by row.

use std::fs;
use std::path::Path;
use std::process::ExitCode;

use serde::Serialize;

use super::plan::BAD_INPUT;
use super::print_out;

/// A row that was not taken.
#[derive(Debug, PartialEq, Eq, Serialize)]
pub(super) struct Refused {
    /// Its line in the file, the header being 1.
    pub line: usize,
    /// What is wrong, and the mend.
    pub reason: String,
}

/// The two numbers of a row and its line in the file.
pub(super) struct Row {
    pub line: usize,
    pub first: f64,
    pub second: f64,
}

/// What a file holds.
pub(super) struct Rows {
    pub taken: Vec<Row>,
    pub refused: Vec<Refused>,
}

/// Reads two named columns; others are left alone. `judge` says what is wrong with a row's two numbers, if anything is.
/// An error is what is wrong with the file as a whole.
pub(super) fn read(
    path: &Path,
    columns: [&str; 2],
    judge: impl Fn(f64, f64) -> Result<(), String>,
) -> Result<Rows, String> {
    let named = path.display();
    let bytes = fs::read(path).map_err(|e| format!("cannot read {named}: {e}"))?;
    let text = String::from_utf8(bytes)
        .map_err(|_| format!("cannot read {named}: it is no text in UTF-8: save it as such"))?;
    parse(&text, columns, judge).map_err(|why| format!("{named}: {why}"))
}

fn parse(
    text: &str,
    columns: [&str; 2],
    judge: impl Fn(f64, f64) -> Result<(), String>,
) -> Result<Rows, String> {
    let text = text.trim_start_matches('\u{feff}');
    // Each line is a row of its own: a file of numbers has no cell of several lines, and so the line that is named is
    // the one that an editor shows. Blank ones say nothing.
    let mut lines = (1..)
        .zip(text.lines())
        .filter(|(_, line)| !line.trim().is_empty());
    let (header_line, header) = lines.next().ok_or_else(|| {
        format!(
            "it is empty: begin with a line `{},{}`",
            columns[0], columns[1]
        )
    })?;
    let names = cells(header).map_err(|why| format!("line {header_line}: {why}"))?;
    let places = [
        place(&names, columns[0], header_line)?,
        place(&names, columns[1], header_line)?,
    ];
    let mut rows = Rows {
        taken: Vec::new(),
        refused: Vec::new(),
    };
    for (line, text) in lines {
        let numbers = cells(text).and_then(|cells| {
            if cells.len() != names.len() {
                return Err(format!(
                    "{} cells under {} columns: give one a column, decimals with a point",
                    cells.len(),
                    names.len()
                ));
            }
            let first = number(&cells[places[0]], columns[0])?;
            let second = number(&cells[places[1]], columns[1])?;
            judge(first, second)?;
            Ok((first, second))
        });
        match numbers {
            Ok((first, second)) => rows.taken.push(Row {
                line,
                first,
                second,
            }),
            Err(reason) => rows.refused.push(Refused { line, reason }),
        }
    }
    Ok(rows)
}

/// The cells of one line, without the spaces around them.
fn cells(line: &str) -> Result<Vec<String>, String> {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(line.as_bytes());
    match reader.records().next() {
        Some(Ok(record)) => Ok(record.iter().map(str::to_owned).collect()),
        Some(Err(why)) => Err(why.to_string()),
        None => Ok(Vec::new()),
    }
}

fn place(names: &[String], column: &str, line: usize) -> Result<usize, String> {
    let mut places = (0..).zip(names).filter(|(_, name)| *name == column);
    match (places.next(), places.next()) {
        (Some((place, _)), None) => Ok(place),
        (Some(_), Some(_)) => Err(format!(
            "line {line}: column `{column}` comes twice: leave one"
        )),
        (None, _) => Err(format!(
            "line {line}: there is no column `{column}`: name it so"
        )),
    }
}

fn number(cell: &str, column: &str) -> Result<f64, String> {
    if cell.is_empty() {
        return Err(format!(
            "`{column}` is empty: give a number, or take the row out"
        ));
    }
    let number: Option<f64> = cell.parse().ok();
    number
        .filter(|number| number.is_finite())
        .ok_or_else(|| format!("`{column}` is no number: `{cell}`: give one like 12.5"))
}

/// What a command tells of a file.
pub(super) type Findings<T> = Result<T, Faults>;

/// Why a file tells nothing.
pub(super) struct Faults {
    /// What is wrong with it as a whole.
    pub why: String,
    /// The rows that were refused.
    pub refused: Vec<Refused>,
}

impl From<String> for Faults {
    fn from(why: String) -> Self {
        Self {
            why,
            refused: Vec::new(),
        }
    }
}

/// Prints what was found as one JSON object, or on standard error why there is none and each row that was refused.
pub(super) fn tell(findings: Findings<impl Serialize>) -> ExitCode {
    let faults = match findings.map(|found| serde_json::to_string_pretty(&found)) {
        Ok(Ok(text)) => {
            return match print_out(&(text + "\n")) {
                Ok(()) => ExitCode::SUCCESS,
                Err(e) => {
                    eprintln!("cannot print: {e}");
                    ExitCode::FAILURE
                }
            };
        }
        Ok(Err(e)) => Faults::from(e.to_string()),
        Err(faults) => faults,
    };
    eprintln!("{}", faults.why);
    for row in &faults.refused {
        eprintln!("line {}: {}", row.line, row.reason);
    }
    BAD_INPUT.into()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parsed(text: &str) -> Result<Rows, String> {
        parse(text, ["use", "length_mm"], |_, length| {
            if length < 0.0 {
                return Err("below nothing".into());
            }
            Ok(())
        })
    }

    #[test]
    fn a_row_is_named_by_the_line_an_editor_shows() {
        let rows = parsed(
            "\u{feff} use , length_mm\r\n1,5\r\n\r\n2,x\r\n\"3\", 4 \r\n5\r\n6,\r\n7,-1\r\n1e999,2",
        )
        .unwrap();
        let taken: Vec<usize> = rows.taken.iter().map(|row| row.line).collect();
        let refused: Vec<usize> = rows.refused.iter().map(|row| row.line).collect();
        assert_eq!((taken, refused), (vec![2, 5], vec![4, 6, 7, 8, 9]));
    }

    #[test]
    fn other_columns_are_left_alone() {
        let rows = parsed("note,length_mm,use\na,5,1").unwrap();
        assert!(
            (rows.taken[0].first - 1.0).abs() < 1e-12 && (rows.taken[0].second - 5.0).abs() < 1e-12
        );
    }

    #[test]
    fn a_header_that_does_not_name_both_columns_is_refused() {
        for (text, says) in [
            ("", "it is empty"),
            ("\n\n", "it is empty"),
            ("use\n1", "line 1: there is no column `length_mm`"),
            ("\nuse;length_mm\n", "line 2: there is no column `use`"),
            ("use,length_mm,use\n", "line 1: column `use` comes twice"),
        ] {
            let why = parsed(text).err().unwrap();
            assert!(why.contains(says), "{text:?}: {why}");
        }
    }
}
