//! `roundhand backup`: a copy of the whole installation, now.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use chrono::NaiveTime;

use super::{DEFAULT_DATABASE, DatabaseArgs, Told, print_out};
use crate::clock::Clock;
use crate::desk::backups::{self, Settings, note, note_proved, prove, take};
use crate::store::Db;
use crate::store::backups::BackupWhy;
use crate::store::db::Standing;

/// Where backups go.
#[derive(clap::Args, Debug)]
pub struct BackupArgs {
    /// Folder for backups: one is taken every night, and before the schema changes. Services that
    /// share a database share the folder, or only one of them names it.
    #[arg(long, env = "ROUNDHAND_BACKUP_FOLDER", value_name = "FOLDER")]
    backup_folder: Option<PathBuf>,
    /// How many of the last nights are kept; of the eight weeks before them one night each is as well.
    #[arg(long, env = "ROUNDHAND_BACKUP_KEEP", value_name = "NIGHTS", default_value_t = 14,
        value_parser = clap::value_parser!(u16).range(1..))]
    backup_keep: u16,
    /// When the night's backup is taken, by the clock of the first site.
    #[arg(long, env = "ROUNDHAND_BACKUP_AT", value_name = "HH:MM", default_value = "03:00",
        value_parser = time_of)]
    backup_at: NaiveTime,
    #[command(flatten)]
    tools: ToolsArgs,
}

/// Where PostgreSQL's programs are.
#[derive(clap::Args, Debug)]
pub struct ToolsArgs {
    /// Folder of `pg_dump` and `pg_restore`, where they are not on the path.
    #[arg(long, env = "ROUNDHAND_POSTGRES_TOOLS", value_name = "FOLDER")]
    postgres_tools: Option<PathBuf>,
}

impl ToolsArgs {
    /// The folder.
    pub fn folder(&self) -> Option<&Path> {
        self.postgres_tools
            .as_deref()
            .filter(|folder| !folder.as_os_str().is_empty())
    }
}

fn time_of(text: &str) -> Result<NaiveTime, String> {
    NaiveTime::parse_from_str(text, "%H:%M").map_err(|_| "write a time as 03:00".into())
}

impl BackupArgs {
    /// The settings these come to.
    pub fn settings(&self) -> Settings {
        // A variable that is set to nothing is as good as not set.
        let folder = self.backup_folder.clone();
        Settings {
            folder: folder.filter(|folder| !folder.as_os_str().is_empty()),
            keep_nights: usize::from(self.backup_keep),
            at: self.backup_at,
            tools: self.tools.folder().map(Path::to_owned),
            ..Settings::default()
        }
    }
}

/// Copy the whole installation into a file, beside a running service as well.
///
/// Beside the file lies a sheet, FILE.json, with its digest: keep the two together. The key file of
/// `serve` is not in it.
#[derive(clap::Args)]
pub struct TakeArgs {
    #[command(flatten)]
    database: DatabaseArgs,
    /// File to write, or folder to write a file with a name of its own into; the folder of
    /// --backup-folder where neither is named.
    #[arg(long, value_name = "FILE_OR_FOLDER")]
    to: Option<PathBuf>,
    /// Folder for backups.
    #[arg(long, env = "ROUNDHAND_BACKUP_FOLDER", value_name = "FOLDER")]
    backup_folder: Option<PathBuf>,
    /// Restore it into a place of its own, and check all that is in it.
    #[arg(long)]
    prove: bool,
    #[command(flatten)]
    tools: ToolsArgs,
}

/// Takes a backup and says where it lies.
pub fn run(args: &TakeArgs) -> Told {
    let url = args.database.url_or(DEFAULT_DATABASE);
    if let Some(path) = url.strip_prefix("sqlite:")
        && !Path::new(path.strip_prefix("//").unwrap_or(path)).is_file()
    {
        return Err(format!("there is no file {path}").into());
    }
    let db = Db::open(url, 2, Clock::system())?;
    let standing = db.standing()?;
    if standing == Standing::Blank {
        return Err("the database holds no tables of roundhand".into());
    }
    let (folder, name) = place(args)?;
    let (began_at, tools) = (db.now(), args.tools.folder());
    let taken = take(&db, BackupWhy::Asked, &folder, name.as_deref(), tools);
    let id = if standing == Standing::Same {
        let what = taken.as_ref().map_err(ToString::to_string);
        Some(note(&db, BackupWhy::Asked, began_at, what)?)
    } else {
        None
    };
    let kept = taken?;
    let file = folder.join(&kept.file);
    print_out(&format!(
        "{}\n{} bytes, SHA-256 {}\n",
        file.display(),
        kept.bytes,
        kept.sha256
    ))?;
    for head in &kept.heads {
        print_out(&format!("end of an audit chain: {head}\n"))?;
    }
    if args.prove {
        let proved = prove(&db, &file, tools);
        if let Some(id) = id {
            let why = proved.as_ref().map_err(ToString::to_string);
            note_proved(
                &db,
                id,
                why.as_ref().map(|()| db.now()).map_err(String::as_str),
            )?;
        }
        proved.map_err(|why| format!("the backup was taken and not proved: {why}"))?;
        print_out("restored elsewhere, and all proofs hold\n")?;
    }
    Ok(ExitCode::SUCCESS)
}

/// The folder to write into, and the file's name where it was named.
fn place(args: &TakeArgs) -> Result<(PathBuf, Option<String>), String> {
    let Some(to) = &args.to else {
        let folder = args.backup_folder.clone();
        let folder = folder.filter(|folder| !folder.as_os_str().is_empty());
        return folder
            .map(|folder| (folder, None))
            .ok_or_else(|| "say where to: --to FILE_OR_FOLDER, or --backup-folder FOLDER".into());
    };
    let is_folder = to.is_dir() || to.as_os_str().to_string_lossy().ends_with('/');
    if is_folder {
        return Ok((to.clone(), None));
    }
    let name = to
        .file_name()
        .map(|name| name.to_string_lossy().into_owned());
    let name = name.ok_or_else(|| format!("{} names no file", to.display()))?;
    let folder = to.parent().filter(|folder| !folder.as_os_str().is_empty());
    Ok((folder.unwrap_or(Path::new(".")).to_owned(), Some(name)))
}

/// Brings a schema up to the program's, with a backup before; where one should be and cannot, says what
/// to do.
pub fn migrate(
    db: &Db,
    settings: &Settings,
    without_backup: bool,
) -> Result<Vec<String>, Box<dyn std::error::Error + Send + Sync>> {
    let folder = if without_backup {
        None
    } else {
        backups::folder_before_migration(db, settings)
    };
    if folder.is_none() && !without_backup && db.standing()? == Standing::Older {
        return Err(
            "the schema changes, and there is no folder for a backup before: name one with \
            --backup-folder, or say --without-backup"
                .into(),
        );
    }
    Ok(backups::migrate(
        db,
        folder.as_deref(),
        settings.tools.as_deref(),
    )?)
}
