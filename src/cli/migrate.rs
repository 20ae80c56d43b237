//! `roundhand migrate`: brings the schema up to this program's.

use std::process::ExitCode;

use super::backup::{BackupArgs, migrate};
use super::{DEFAULT_DATABASE, DatabaseArgs, Told};
use crate::clock::Clock;

/// Bring the database's schema up to this program's.
///
/// Where something stands in it a backup is taken before: into the backup folder, or into the folder
/// PATH.backups beside a SQLite file.
#[derive(clap::Args)]
pub struct MigrateArgs {
    #[command(flatten)]
    database: DatabaseArgs,
    #[command(flatten)]
    backups: BackupArgs,
    /// Take no backup before.
    #[arg(long)]
    without_backup: bool,
}

/// Takes the steps that are waiting and names them.
pub fn run(args: &MigrateArgs) -> Told {
    let db = args.database.open(DEFAULT_DATABASE, Clock::system())?;
    let steps = migrate(&db, &args.backups.settings(), args.without_backup)?;
    if steps.is_empty() {
        println!("the schema is up to date");
    }
    for step in steps {
        println!("{step}");
    }
    Ok(ExitCode::SUCCESS)
}
