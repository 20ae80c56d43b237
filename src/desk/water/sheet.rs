//! The sheet for the controller, as comma-separated values (RFC 4180).

use chrono::NaiveDate;

use super::day::{ValveVisitView, day_water};
use crate::desk::access::{Permit, SeeWater};
use crate::desk::{Office, Result};
use crate::store;
use crate::store::sites::site_read;

/// The runs of a date, a line each: valve, how it is opened, date and time on the site's clock, minutes, seconds, cycle,
/// courts, litres, state; of a valve that is opened by hand who opens and closes it, and when.
pub fn sheet_csv(office: &Office, permit: &Permit<SeeWater>, date: NaiveDate) -> Result<String> {
    let zone = office.db.read(|conn| site_read(conn, permit))?.zone()?;
    let day = day_water(office, permit, date)?;
    let unwritable = |why: &dyn std::fmt::Display| {
        store::Error::Unreadable(format!("a sheet cannot be written: {why}"))
    };
    let mut sheet = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(Vec::new());
    let head = [
        "valve",
        "opened",
        "date",
        "from",
        "until",
        "run_s",
        "kind",
        "cycle",
        "courts",
        "planned_l",
        "state",
        "opened_by",
        "opened_at",
        "closed_by",
        "closed_at",
    ];
    sheet.write_record(head).map_err(|e| unwritable(&e))?;
    for run in &day.runs {
        let from = run.starts_at.utc().with_timezone(&zone);
        let until = run.ends_at.utc().with_timezone(&zone);
        let crew = |visit: &Option<ValveVisitView>| {
            let crew = visit.as_ref().map(|visit| plain(&visit.crew));
            crew.unwrap_or_default()
        };
        let time = |visit: &Option<ValveVisitView>| {
            let at = visit.as_ref().map(|visit| visit.at.utc());
            let at = at.map(|at| at.with_timezone(&zone).format("%H:%M:%S").to_string());
            at.unwrap_or_default()
        };
        let record = [
            plain(&run.valve),
            run.opened.clone(),
            from.format("%Y-%m-%d").to_string(),
            from.format("%H:%M:%S").to_string(),
            until.format("%H:%M:%S").to_string(),
            (until - from).num_seconds().to_string(),
            run.kind.to_string(),
            run.cycle.map(|cycle| cycle.to_string()).unwrap_or_default(),
            plain(&run.courts.join(" + ")),
            ((run.planned_ml + 500) / 1_000).to_string(),
            run.state.clone(),
            crew(&run.opens),
            time(&run.opens),
            crew(&run.closes),
            time(&run.closes),
        ];
        sheet.write_record(record).map_err(|e| unwritable(&e))?;
    }
    let bytes = sheet.into_inner().map_err(|e| unwritable(&e))?;
    Ok(String::from_utf8(bytes).map_err(|e| unwritable(&e))?)
}

/// A name that a spreadsheet does not take for a formula.
fn plain(text: &str) -> String {
    if text.starts_with(['=', '+', '-', '@', '\t', '\r']) {
        return format!("'{text}");
    }
    text.to_owned()
}
