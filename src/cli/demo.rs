//! `roundhand demo`: an invented resort with its last weeks, its day planned and served.

mod place;
mod table;

use std::fs;
use std::io::{ErrorKind, Read, Write as _};
use std::net::{Ipv4Addr, SocketAddr, TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::thread;
use std::time::{Duration, Instant};

use chrono::{DateTime, Utc};
use serde_json::json;

use super::backup::BackupArgs;
use super::log;
use super::serve::{MailArgs, run_server};
use super::serving::SightArgs;
use super::{DatabaseArgs, Told, print_out};
use crate::clock::Clock;
use crate::desk::Office;
use crate::desk::at_work::AtWork;
use crate::desk::pictures;
use crate::desk::plan_runs::Limit;
use crate::desk::set_up::SetUp;
use crate::desk::set_up::demo::{DemoDay, plan_today};
use crate::desk::tokens::{Tokens, random_secret};
use crate::http::serving::Serving;
use crate::jobs::run_due;

/// How many weeks of work the demo tells.
const WEEKS: u32 = 8;
/// Chooses what happened in them, and among the searches for today's plan.
const SEED: u64 = 1;
/// Steps of that search: counted, so that the same day gives the same plan on every machine.
const STEPS: Limit = Limit::Steps(20_000);
/// Whom the demo's mail comes from.
const SENDER: &str = "Grounds office <grounds@saltmarsh.example>";
/// How long the service may take to answer for the first time.
const PATIENCE: Duration = Duration::from_secs(30);

type Fallible<T> = Result<T, Box<dyn std::error::Error + Send + Sync>>;

/// Show an invented resort: eight weeks of work, today planned, served with a sign-in a role.
///
/// Without --database the demo keeps its data in the file roundhand-demo.sqlite in the folder for
/// temporary files. A demo of today that stands there is opened again, with fresh passwords; one
/// of another day is made anew. A database that is not a demo is left as it is. Without --smtp-url
/// mail is laid into the folder roundhand-demo-mail beside it, a file a message.
#[derive(clap::Args)]
pub struct DemoArgs {
    #[command(flatten)]
    database: DatabaseArgs,
    /// Port to serve on at 127.0.0.1; 0 takes any free one.
    #[arg(long, default_value_t = 8080)]
    port: u16,
    /// Time the demo's clock shows at the start (RFC 3339), in place of the machine's.
    #[arg(long, value_name = "TIME")]
    now: Option<DateTime<Utc>>,
    /// Print the day and the sign-ins, and stop.
    #[arg(long)]
    once: bool,
    /// Folder to write day-problem.json and day-plan.json into.
    #[arg(long, value_name = "DIR")]
    dump: Option<PathBuf>,
    /// File to write once the service answers: JSON with its `base_url` and the `accounts`.
    #[arg(long, value_name = "FILE", conflicts_with = "once")]
    ready_file: Option<PathBuf>,
    #[command(flatten)]
    mail: MailArgs,
    #[command(flatten)]
    sight: SightArgs,
    #[command(flatten)]
    backups: BackupArgs,
}

/// Lays or opens the demo, prints its day, and serves it until stopped.
pub fn run(args: &DemoArgs) -> Told {
    let clock = args.now.map_or_else(Clock::system, Clock::set_to);
    // Bound before anything is laid: a port that is taken is told at once.
    let listener = if args.once {
        None
    } else {
        Some(listen(args.port)?)
    };
    if let Some(path) = &args.ready_file {
        forget(path)?;
    }
    let own = place::default_url();
    let url = args.database.url_or(&own);
    let mail_folder = std::env::temp_dir().join("roundhand-demo-mail");
    let mail_url = format!("file:{}", mail_folder.display());
    let mail = args.mail.settings_or(Some(&mail_url), Some(SENDER))?;
    let office = |db| {
        Ok(Office {
            at_work: AtWork::default(),
            db,
            clock,
            tokens: Tokens::new(random_secret()?.as_bytes()),
            mail: mail.clone(),
            backups: args.backups.settings(),
            pictures: pictures::Settings::default(),
        })
    };
    let (office, set_up) = place::open(url, clock, &office, WEEKS, SEED)?;
    let day = plan_today(&office, set_up.site_id, SEED, &STEPS)?;
    if let Some(folder) = &args.dump {
        dump(folder, &day)?;
    }
    print_out(&table::of_day(&day)?)?;
    print_out(&table::of_accounts(&set_up))?;
    // What is due by itself, last week's report first of all, is done before anybody asks.
    run_due(&office);
    if args.mail.sends_nowhere() {
        print_out(&format!("Mail is laid into {}\n", mail_folder.display()))?;
    }
    print_out(&format!("The data lies in {url}\n"))?;
    let Some(listener) = listener else {
        return Ok(ExitCode::SUCCESS);
    };
    log::start()?;
    let sight = args.sight.listener(None)?;
    let address = listener.local_addr()?;
    let ready_file = args.ready_file.clone();
    thread::spawn(move || {
        if let Err(why) = tell_when_ready(address, ready_file.as_deref(), &set_up) {
            eprintln!("roundhand: {why}");
        }
    });
    run_server(office, listener, sight, &Serving::default())
}

/// Removes what another run said, so that nobody takes it for this one's.
fn forget(ready_file: &Path) -> Fallible<()> {
    match fs::remove_file(ready_file) {
        Err(e) if e.kind() != ErrorKind::NotFound => {
            Err(format!("cannot remove {}: {e}", ready_file.display()).into())
        }
        _ => Ok(()),
    }
}

fn listen(port: u16) -> Fallible<TcpListener> {
    TcpListener::bind((Ipv4Addr::LOCALHOST, port)).map_err(|e| {
        format!("cannot listen on port {port}: {e}; name another with --port, or 0 for any").into()
    })
}

fn dump(folder: &Path, day: &DemoDay) -> Fallible<()> {
    let write = |name: &str, text: &str| {
        let path = folder.join(name);
        fs::write(&path, text).map_err(|e| format!("cannot write {}: {e}", path.display()))
    };
    fs::create_dir_all(folder).map_err(|e| format!("cannot make {}: {e}", folder.display()))?;
    write("day-problem.json", &day.problem_text)?;
    Ok(write("day-plan.json", &day.plan_text)?)
}

/// Waits until the service answers, then says where, and writes the file that others wait for.
fn tell_when_ready(address: SocketAddr, ready_file: Option<&Path>, set_up: &SetUp) -> Fallible<()> {
    let begun = Instant::now();
    while !answers(address) {
        if begun.elapsed() > PATIENCE {
            return Err(format!("the service at {address} does not answer").into());
        }
        thread::sleep(Duration::from_millis(20));
    }
    let base_url = format!("http://{address}");
    if let Some(path) = ready_file {
        let accounts = set_up.accounts.iter().map(|account| json!(account));
        let owner = &set_up.owner;
        let owner = json!({ "role": "owner", "email": owner.email, "password": owner.password });
        let accounts: Vec<_> = accounts.chain([owner]).collect();
        let text = json!({ "base_url": base_url, "accounts": accounts }).to_string();
        write_whole(path, &text).map_err(|e| format!("cannot write {}: {e}", path.display()))?;
    }
    print_out(&format!("Serving at {base_url} until stopped (Ctrl-C)\n"))?;
    Ok(())
}

fn answers(address: SocketAddr) -> bool {
    let ask = || -> std::io::Result<bool> {
        let mut stream = TcpStream::connect_timeout(&address, Duration::from_secs(1))?;
        stream.set_read_timeout(Some(Duration::from_secs(5)))?;
        stream.write_all(b"GET /healthz HTTP/1.0\r\n\r\n")?;
        let mut head = [0; 12];
        stream.read_exact(&mut head)?;
        Ok(head.ends_with(b" 200"))
    };
    ask().unwrap_or(false)
}

/// Writes a file beside its place and moves it there, so that nobody reads half of it; only its
/// owner reads it, since it holds passwords.
fn write_whole(path: &Path, text: &str) -> std::io::Result<()> {
    let name = path
        .file_name()
        .ok_or_else(|| std::io::Error::other("no file name"))?;
    let beside = path.with_file_name(format!(
        ".{}.{}",
        name.to_string_lossy(),
        std::process::id()
    ));
    let mut options = fs::OpenOptions::new();
    options.write(true).create(true).truncate(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    let written = options
        .open(&beside)
        .and_then(|mut file| file.write_all(text.as_bytes()))
        .and_then(|()| fs::rename(&beside, path));
    if written.is_err() {
        // Best effort: what counts is why the file could not be written.
        let _ = fs::remove_file(&beside);
    }
    written
}
