//! `roundhand migrate`: brings the schema up to this program's.

use std::process::ExitCode;

use super::{DEFAULT_DATABASE, DatabaseArgs, Told};
use crate::clock::Clock;

/// Bring the database's schema up to this program's.
#[derive(clap::Args)]
pub struct MigrateArgs {
    #[command(flatten)]
    database: DatabaseArgs,
}

/// Takes the steps that are waiting and names them.
pub fn run(args: &MigrateArgs) -> Told {
    let db = args.database.open(DEFAULT_DATABASE, Clock::system())?;
    let steps = db.migrate()?;
    if steps.is_empty() {
        println!("the schema is up to date");
    }
    for step in steps {
        println!("{step}");
    }
    Ok(ExitCode::SUCCESS)
}
