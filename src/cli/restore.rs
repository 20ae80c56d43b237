//! `roundhand restore`: the way back from a backup.

use std::path::PathBuf;
use std::process::ExitCode;

use super::backup::ToolsArgs;
use super::{Told, check, print_out};
use crate::clock::Clock;
use crate::desk::backups::restore;

/// Restore a backup into a database that holds nothing, and check all that is in it.
///
/// Everybody is signed out, and signs in again with the password of then. Mail that waited when the
/// backup was taken is sent again.
#[derive(clap::Args)]
pub struct RestoreArgs {
    /// The backup; its sheet, FILE.json, lies beside it.
    #[arg(value_name = "FILE")]
    from: PathBuf,
    /// Where to: `sqlite:PATH` or `postgres://…`, of the engine the backup is of.
    #[arg(long = "database", env = "ROUNDHAND_DATABASE_URL", value_name = "URL")]
    url: String,
    /// Replace a SQLite file that holds something, after it was copied into the folder PATH.backups;
    /// no service may have it open.
    #[arg(long)]
    replace: bool,
    #[command(flatten)]
    tools: ToolsArgs,
}

/// Restores, and prints what each proof found.
pub fn run(args: &RestoreArgs) -> Told {
    let mut unsaid = None;
    let restored = restore(
        &args.from,
        &args.url,
        args.replace,
        args.tools.folder(),
        Clock::system(),
        &mut |line| unsaid = unsaid.take().or(print_out(&check::in_words(line)).err()),
    )?;
    if let Some(why) = unsaid {
        return Err(why.into());
    }
    for step in &restored.steps {
        print_out(&format!("migrated: {step}\n"))?;
    }
    if let Some(copy) = &restored.safety_copy {
        print_out(&format!(
            "what stood there before lies in {}\n",
            copy.display()
        ))?;
    }
    if !restored.all_hold {
        return Err("it is restored, and not all of it holds: see above".into());
    }
    print_out("restored, and all proofs hold\n")?;
    Ok(ExitCode::SUCCESS)
}
