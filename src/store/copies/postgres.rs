//! PostgreSQL's own dump (<https://www.postgresql.org/docs/current/backup-dump.html>): `pg_dump` in the
//! custom format, `pg_restore` in one transaction.
//!
//! The dump is of the snapshot in which the ends of the audit chains are read. Passwords go to the
//! programs in their environment (`PGPASSWORD`; a `PGPASSFILE` of the service's own is theirs as well),
//! never on the command line.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use diesel::connection::SimpleConnection;
use diesel::prelude::*;
use diesel::sql_types::Text;

use super::{Copied, CopyFault, heads};
use crate::store::db::{Conn, Db};

pub(super) fn dump(
    db: &Db,
    url: &str,
    to: &Path,
    tools: Option<&Path>,
) -> Result<Copied, CopyFault> {
    let place = Place::of(url)?;
    db.read(|conn| {
        let about = about(conn)?;
        let program = program("pg_dump", tools, about.major)?;
        let heads = heads(conn)?;
        let mut command = place.command(&program);
        command
            .args(["--format=custom", "--no-owner", "--no-privileges"])
            .arg("--lock-wait-timeout=60000")
            .arg(format!("--schema=\"{}\"", about.schema))
            .arg(format!("--snapshot={}", about.snapshot))
            .arg("--file")
            .arg(to);
        run(command, "pg_dump")?;
        Ok(Copied {
            schema: Some(about.schema),
            heads,
        })
    })
}

pub(super) fn restore(
    url: &str,
    schema: &str,
    from: &Path,
    tools: Option<&Path>,
) -> Result<(), CopyFault> {
    let place = Place::of(url)?;
    let mut conn = connect(url)?;
    let quoted = schema.replace('"', "\"\"");
    conn.batch_execute(&format!("CREATE SCHEMA IF NOT EXISTS \"{quoted}\""))?;
    let found: Option<String> = diesel::sql_query("SELECT current_schema()::text AS word")
        .get_result::<MaybeWord>(&mut conn)?
        .word;
    if found.as_deref() != Some(schema) {
        return Err(CopyFault(format!(
            "the backup is of the schema {schema}, and the URL leads to {}: restore into a database \
             whose search path leads there",
            found.as_deref().unwrap_or("none")
        )));
    }
    let major = major(&mut conn)?;
    let mut command = place.command(&program("pg_restore", tools, major)?);
    command
        .args([
            "--single-transaction",
            "--exit-on-error",
            "--no-owner",
            "--no-privileges",
        ])
        .arg(format!("--schema={schema}"))
        .arg(from);
    run(command, "pg_restore")
}

pub(super) fn with_scratch<T>(
    url: &str,
    name: &str,
    work: impl FnOnce(&str) -> Result<T, CopyFault>,
) -> Result<T, CopyFault> {
    let mut conn = connect(url)?;
    conn.batch_execute(&format!("CREATE DATABASE \"{name}\" TEMPLATE template0"))
        .map_err(|e| {
            CopyFault(format!(
                "no database can be made to prove the backup in: {e}"
            ))
        })?;
    let done = Place::of(url).and_then(|place| work(&place.of_database(name)));
    if let Err(why) = conn.batch_execute(&format!("DROP DATABASE \"{name}\" WITH (FORCE)")) {
        tracing::warn!(database = name, %why, "the database made for a proof could not be dropped");
    }
    done
}

fn connect(url: &str) -> Result<PgConnection, CopyFault> {
    PgConnection::establish(url)
        .map_err(|e| CopyFault(format!("the database cannot be reached: {e}")))
}

#[derive(QueryableByName)]
struct Word {
    #[diesel(sql_type = Text)]
    word: String,
}

#[derive(QueryableByName)]
struct MaybeWord {
    #[diesel(sql_type = diesel::sql_types::Nullable<Text>)]
    word: Option<String>,
}

/// What the dump needs to know of where it is taken.
struct About {
    schema: String,
    snapshot: String,
    major: u32,
}

fn about(conn: &mut Conn) -> Result<About, CopyFault> {
    let Conn::Pg(conn) = conn else {
        return Err(CopyFault("not a PostgreSQL database".into()));
    };
    let schema: Word =
        diesel::sql_query("SELECT current_schema()::text AS word").get_result(conn)?;
    let snapshot: Word =
        diesel::sql_query("SELECT pg_export_snapshot() AS word").get_result(conn)?;
    Ok(About {
        schema: schema.word,
        snapshot: snapshot.word,
        major: major(conn)?,
    })
}

/// The server's major version.
fn major(conn: &mut PgConnection) -> Result<u32, CopyFault> {
    let number: Word = diesel::sql_query("SELECT current_setting('server_version_num') AS word")
        .get_result(conn)?;
    let number: u32 = number
        .word
        .parse()
        .map_err(|_| CopyFault("the server does not say its version".into()))?;
    Ok(number / 10_000)
}

/// The program of this name in the folder that was named, on the path, or where Debian keeps it: one
/// that is not older than the server, since an older one refuses its data.
fn program(name: &str, tools: Option<&Path>, server: u32) -> Result<PathBuf, CopyFault> {
    let mut older = None;
    for candidate in candidates(name, tools) {
        match version_of(&candidate) {
            Some(version) if version >= server => return Ok(candidate),
            Some(version) => older = Some(version),
            None => {}
        }
    }
    let mend = "install PostgreSQL's client programs of the server's version, or name their folder \
                with --postgres-tools";
    Err(CopyFault(match older {
        Some(version) => {
            format!("{name} is of version {version} and the server of {server}: {mend}")
        }
        None => format!("{name} is not found: {mend}"),
    }))
}

fn candidates(name: &str, tools: Option<&Path>) -> Vec<PathBuf> {
    if let Some(folder) = tools {
        return vec![folder.join(name)];
    }
    let path = std::env::var_os("PATH").unwrap_or_default();
    let mut found: Vec<PathBuf> = std::env::split_paths(&path)
        .map(|folder| folder.join(name))
        .collect();
    if let Ok(versions) = std::fs::read_dir("/usr/lib/postgresql") {
        found.extend(
            versions
                .flatten()
                .map(|version| version.path().join("bin").join(name)),
        );
    }
    found.retain(|file| file.is_file());
    found
}

/// `pg_dump (PostgreSQL) 15.14`: 15.
fn version_of(program: &Path) -> Option<u32> {
    let told = Command::new(program)
        .arg("--version")
        .stdin(Stdio::null())
        .output()
        .ok()?;
    let text = String::from_utf8(told.stdout).ok()?;
    let version = text.split(')').nth(1)?.trim_start();
    let digits = version.split(|c: char| !c.is_ascii_digit()).next()?;
    digits.parse().ok()
}

/// How much a program may say of why it failed.
const MOST_TOLD: usize = 600;

fn run(mut command: Command, name: &str) -> Result<(), CopyFault> {
    let ran = command
        .stdin(Stdio::null())
        .output()
        .map_err(|e| CopyFault(format!("{name} cannot be started: {e}")))?;
    if ran.status.success() {
        return Ok(());
    }
    let told: String = String::from_utf8_lossy(&ran.stderr)
        .chars()
        .take(MOST_TOLD)
        .collect();
    Err(CopyFault(format!("{name} failed: {}", told.trim())))
}

/// A database's URL without its password, and the password.
struct Place {
    url: String,
    password: Option<String>,
}

impl Place {
    /// Takes a URL apart (<https://www.postgresql.org/docs/current/libpq-connect.html>, 34.1.1.2).
    fn of(url: &str) -> Result<Self, CopyFault> {
        let wrong = || CopyFault("the database URL cannot be read".into());
        let (scheme, rest) = url.split_once("://").ok_or_else(wrong)?;
        let (main, query) = rest
            .split_once('?')
            .map_or((rest, None), |(m, q)| (m, Some(q)));
        let (hosts, path) = main
            .split_once('/')
            .map_or((main, None), |(h, p)| (h, Some(p)));
        let (user, hosts) = hosts
            .rsplit_once('@')
            .map_or((None, hosts), |(u, h)| (Some(u), h));
        let (user, mut password) = match user.map(|user| user.split_once(':')) {
            Some(Some((user, password))) => (Some(user.to_owned()), Some(password.to_owned())),
            Some(None) => (user.map(str::to_owned), None),
            None => (None, None),
        };
        let mut kept = Vec::new();
        for pair in query.into_iter().flat_map(|query| query.split('&')) {
            match pair.strip_prefix("password=") {
                Some(text) => password = Some(text.to_owned()),
                None => kept.push(pair),
            }
        }
        let mut plain = format!("{scheme}://");
        if let Some(user) = user {
            plain.push_str(&user);
            plain.push('@');
        }
        plain.push_str(hosts);
        if let Some(path) = path {
            plain.push('/');
            plain.push_str(path);
        }
        if !kept.is_empty() {
            plain.push('?');
            plain.push_str(&kept.join("&"));
        }
        Ok(Self {
            url: plain,
            password: password.map(|text| decoded(&text)).transpose()?,
        })
    }

    fn command(&self, program: &Path) -> Command {
        let mut command = Command::new(program);
        command
            .arg("--no-password")
            .arg(format!("--dbname={}", self.url));
        if let Some(password) = &self.password {
            command.env("PGPASSWORD", password);
        }
        command
    }

    /// The URL of another database of the same server, its password in it: for our own use.
    fn of_database(&self, name: &str) -> String {
        let (main, query) = self
            .url
            .split_once('?')
            .map_or((self.url.as_str(), None), |(m, q)| (m, Some(q)));
        let start = main.find("://").map_or(0, |at| at + 3);
        let hosts = main[start..]
            .find('/')
            .map_or(main, |at| &main[..start + at]);
        let mut url = format!("{hosts}/{name}");
        let password = self
            .password
            .as_deref()
            .map(|text| format!("password={}", encoded(text)));
        let pairs: Vec<String> = query
            .map(str::to_owned)
            .into_iter()
            .chain(password)
            .collect();
        if !pairs.is_empty() {
            url.push('?');
            url.push_str(&pairs.join("&"));
        }
        url
    }
}

fn encoded(text: &str) -> String {
    use std::fmt::Write as _;
    text.bytes().fold(String::new(), |mut out, byte| {
        if byte.is_ascii_alphanumeric() {
            out.push(char::from(byte));
        } else {
            let _ = write!(out, "%{byte:02X}");
        }
        out
    })
}

fn decoded(text: &str) -> Result<String, CopyFault> {
    let wrong = || CopyFault("the password in the database URL cannot be read".into());
    let (mut bytes, mut rest) = (Vec::new(), text.bytes());
    while let Some(byte) = rest.next() {
        if byte != b'%' {
            bytes.push(byte);
            continue;
        }
        let digits = [
            rest.next().ok_or_else(wrong)?,
            rest.next().ok_or_else(wrong)?,
        ];
        let digits = std::str::from_utf8(&digits).map_err(|_| wrong())?;
        bytes.push(u8::from_str_radix(digits, 16).map_err(|_| wrong())?);
    }
    String::from_utf8(bytes).map_err(|_| wrong())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_password_leaves_the_url_and_comes_back_as_it_was() {
        for (url, plain, password) in [
            ("postgres://h/d", "postgres://h/d", None),
            ("postgres://u@h:5/d", "postgres://u@h:5/d", None),
            (
                "postgres://u:p%40%2f@h/d?a=b",
                "postgres://u@h/d?a=b",
                Some("p@/"),
            ),
            (
                "postgres://u@h/d?password=s%20x&a=b",
                "postgres://u@h/d?a=b",
                Some("s x"),
            ),
        ] {
            let place = Place::of(url).unwrap();
            assert_eq!(
                (place.url.as_str(), place.password.as_deref()),
                (plain, password),
                "{url}"
            );
        }
        let other = Place::of("postgres://u:p%40@h:5/d?a=b")
            .unwrap()
            .of_database("x");
        assert_eq!(other, "postgres://u@h:5/x?a=b&password=p%40");
        assert_eq!(Place::of(&other).unwrap().password.as_deref(), Some("p@"));
    }

    #[test]
    fn no_password_stands_on_a_command_line() {
        let place = Place::of("postgres://u:secret@h/d?password=secret").unwrap();
        let command = place.command(Path::new("pg_dump"));
        let line = format!("{:?}", command.get_args().collect::<Vec<_>>());
        assert!(!line.contains("secret"), "{line}");
    }

    #[test]
    fn a_program_that_is_not_there_is_told_with_the_mend() {
        let why = program("pg_dump", Some(Path::new("/nowhere")), 15)
            .unwrap_err()
            .to_string();
        assert!(
            why.contains("pg_dump is not found") && why.contains("--postgres-tools"),
            "{why}"
        );
    }
}
