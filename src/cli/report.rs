//! `roundhand report`: the week report of a site, as it would be mailed now.

use std::process::ExitCode;

use trade::calendar::{IsoWeek, work_date};

use super::{DEFAULT_DATABASE, DatabaseArgs, Told};
use crate::clock::Clock;
use crate::desk::{self, reports};
use crate::store::Db;
use crate::store::reports::{ReportedSite, reported_sites};

/// Print the week report of a site as it would be mailed now.
#[derive(clap::Args)]
pub struct ReportArgs {
    #[command(flatten)]
    database: DatabaseArgs,
    /// The site's id; needed where there is more than one.
    #[arg(long, value_name = "ID")]
    site: Option<i64>,
    /// The ISO week, like 2031-W24; the last whole one where none is given.
    #[arg(long, value_name = "WEEK")]
    week: Option<IsoWeek>,
    /// Print the HTML document instead of the text.
    #[arg(long)]
    html: bool,
    /// Where readers find the service, for the link.
    #[arg(long, env = "ROUNDHAND_PUBLIC_URL", value_name = "URL")]
    public_url: Option<String>,
}

/// Prints the report.
pub fn run(args: &ReportArgs) -> Told {
    let clock = Clock::system();
    let db = args.database.open(DEFAULT_DATABASE, clock)?;
    let site = the_site(&db, args.site)?;
    let week = match args.week {
        Some(week) => week,
        None => last_whole_week(&site, clock)?,
    };
    let now = clock.now().into();
    let sheet = reports::week_report_sheet(&db, site.id, week, now, args.public_url.as_deref())
        .map_err(in_words)?;
    if args.html {
        print!("{}", sheet.html());
    } else {
        print!("{}\n\n{}", sheet.subject, sheet.text());
    }
    Ok(ExitCode::SUCCESS)
}

fn in_words(error: desk::Error) -> String {
    match error {
        desk::Error::Refused(faults) => {
            let details: Vec<String> = faults.into_iter().map(|fault| fault.detail).collect();
            details.join("; ")
        }
        other => other.to_string(),
    }
}

type Fallible<T> = Result<T, Box<dyn std::error::Error + Send + Sync>>;

fn the_site(db: &Db, id: Option<i64>) -> Fallible<ReportedSite> {
    let mut sites = db.read(reported_sites)?;
    if let Some(id) = id {
        sites.retain(|site| site.id == id);
    }
    match (sites.len(), id) {
        (1, _) => Ok(sites.remove(0)),
        (0, Some(id)) => Err(format!("the database has no site {id}").into()),
        (0, None) => Err("the database has no site".into()),
        _ => {
            let ids: Vec<String> = sites.iter().map(|site| site.id.to_string()).collect();
            Err(format!("name the site with --site: one of {}", ids.join(", ")).into())
        }
    }
}

fn last_whole_week(site: &ReportedSite, clock: Clock) -> Fallible<IsoWeek> {
    let zone = site
        .zone
        .parse()
        .map_err(|_| format!("the site's zone is unknown: {}", site.zone))?;
    Ok(IsoWeek::of(work_date(zone, clock.now())).previous())
}
