//! `roundhand check`: proves that what is kept is what was booked.

use std::fmt::Write as _;
use std::process::ExitCode;

use super::{DEFAULT_DATABASE, DatabaseArgs, print_out};
use crate::clock::Clock;
use crate::desk::check::{Anchor, Line, prove_all};
use crate::store::Db;
use crate::store::db::Standing;

/// Nothing could be proved.
const UNPROVED: u8 = 2;

/// Prove that what is kept is what was booked: audit chain, numbers, sums, stock, keys.
///
/// Reads only, also beside a running service. Ends with 0 where all holds, 1 where something does
/// not, 2 where nothing could be proved.
#[derive(clap::Args)]
pub struct CheckArgs {
    #[command(flatten)]
    database: DatabaseArgs,
    /// The end of a site's audit chain as an earlier check printed it: proves that the chain still
    /// holds that event. Keep such ends where the database's keeper cannot write. Several may be named.
    #[arg(long, value_name = "SITE:NUMBER:HASH")]
    expect: Vec<Anchor>,
}

/// Runs every proof and prints a line for each.
pub fn run(args: &CheckArgs) -> ExitCode {
    match prove(args) {
        Ok(true) => ExitCode::SUCCESS,
        Ok(false) => ExitCode::FAILURE,
        Err(why) => {
            eprintln!("roundhand: {why}");
            ExitCode::from(UNPROVED)
        }
    }
}

fn prove(args: &CheckArgs) -> Result<bool, Box<dyn std::error::Error + Send + Sync>> {
    let db = Db::open_to_read(args.database.url_or(DEFAULT_DATABASE), Clock::system())?;
    match db.standing()? {
        Standing::Same => {}
        Standing::Blank => return Err("the database holds no tables of roundhand".into()),
        Standing::Older => {
            return Err(
                "the database's schema is older than this program: run roundhand migrate".into(),
            );
        }
        Standing::Newer => {
            return Err(
                "the database's schema is newer than this program: use the newer one".into(),
            );
        }
    }
    let (mut broken, mut unsaid) = (0, None);
    let all_hold = prove_all(&db, &args.expect, &mut |line| {
        broken += usize::from(!line.found.holds());
        unsaid = unsaid.take().or(print_out(&in_words(line)).err());
    })?;
    if let Some(why) = unsaid {
        return Err(why.into());
    }
    print_out(&if all_hold {
        "all proofs hold\n".to_owned()
    } else {
        format!("{broken} proofs do not hold\n")
    })?;
    Ok(all_hold)
}

/// A line as it is printed, with what does not hold below it.
pub fn in_words(line: &Line) -> String {
    let (found, proof) = (&line.found, line.proof);
    let of = match line.site_id {
        Some(site) => format!("site {site}"),
        None => "database".to_owned(),
    };
    let mut text = if found.holds() {
        format!("{of}: {proof}: ok ({})\n", found.looked_at)
    } else {
        format!("{of}: {proof}: BROKEN\n")
    };
    for what in &found.broken {
        let _ = writeln!(text, "    {what}");
    }
    if found.more > 0 {
        text += "    and more\n";
    }
    if let Some(head) = &found.head {
        let _ = writeln!(text, "    its end: {head}");
    }
    text
}
