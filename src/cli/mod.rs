//! The command line, one file a command.

mod advise;
pub mod backup;
pub mod check;
pub mod demo;
pub mod life;
mod log;
pub mod migrate;
pub mod openapi;
pub mod plan;
pub mod replan;
pub mod report;
pub mod restore;
mod rows;
pub mod serve;
mod serving;
pub mod wear;

use std::io::{ErrorKind, Write as _};
use std::process::ExitCode;

use clap::{Parser, Subcommand};

use crate::clock::Clock;
use crate::store::Db;

/// Daily rounds, work orders, tool wear and cost of clay tennis courts.
#[derive(Parser)]
#[command(version)]
struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Serve the API and the pages.
    Serve(serve::ServeArgs),
    Demo(demo::DemoArgs),
    /// Bring the database's schema up to this program's.
    Migrate(migrate::MigrateArgs),
    Plan(plan::PlanArgs),
    Replan(replan::ReplanArgs),
    Wear(wear::WearArgs),
    Life(life::LifeArgs),
    Check(check::CheckArgs),
    Backup(backup::TakeArgs),
    Restore(restore::RestoreArgs),
    /// Print the week report of a site as it would be mailed now.
    Report(report::ReportArgs),
    /// Print the OpenAPI document.
    Openapi,
}

/// Runs the command the line names.
pub fn run() -> ExitCode {
    let told = match Cli::parse().command {
        Command::Serve(args) => serve::run(&args),
        Command::Demo(args) => demo::run(&args),
        Command::Migrate(args) => migrate::run(&args),
        Command::Plan(args) => Ok(plan::run(&args)),
        Command::Replan(args) => Ok(replan::run(&args)),
        Command::Wear(args) => Ok(wear::run(&args)),
        Command::Life(args) => Ok(life::run(&args)),
        Command::Check(args) => Ok(check::run(&args)),
        Command::Backup(args) => backup::run(&args),
        Command::Restore(args) => restore::run(&args),
        Command::Report(args) => report::run(&args),
        Command::Openapi => openapi::run(),
    };
    match told {
        Ok(code) => code,
        Err(why) => {
            eprintln!("roundhand: {why}");
            ExitCode::FAILURE
        }
    }
}

/// What a command gives: its exit code, or the sentence that says why it could not do its work.
pub type Told = Result<ExitCode, Box<dyn std::error::Error + Send + Sync>>;

/// Prints text. Who reads only its beginning, as `head` does, has read enough.
fn print_out(text: &str) -> std::io::Result<()> {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(e) if e.kind() != ErrorKind::BrokenPipe => Err(e),
        _ => Ok(()),
    }
}

/// Which database a command works on.
#[derive(clap::Args, Clone, Debug)]
pub struct DatabaseArgs {
    /// `sqlite:PATH` or `postgres://…`
    #[arg(
        long = "database",
        env = "ROUNDHAND_DATABASE_URL",
        value_name = "URL",
        hide_env_values = true
    )]
    pub url: Option<String>,
}

impl DatabaseArgs {
    /// The URL, or the one to use where none is given.
    pub fn url_or<'a>(&'a self, other: &'a str) -> &'a str {
        self.url.as_deref().unwrap_or(other)
    }

    /// Opens the database.
    pub fn open(&self, other: &str, clock: Clock) -> crate::store::Result<Db> {
        Db::open(self.url_or(other), 8, clock)
    }
}

/// The database of a service that was told nothing else.
pub const DEFAULT_DATABASE: &str = "sqlite:roundhand.sqlite";
