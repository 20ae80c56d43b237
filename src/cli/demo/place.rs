//! Where the demo lies: its own database, made where there is none, never another's.

use std::path::Path;

use super::Fallible;
use crate::clock::Clock;
use crate::desk::Office;
use crate::desk::set_up::SetUp;
use crate::desk::set_up::demo::{Holds, lay_demo, renew_passwords, what_it_holds};
use crate::store::Db;
use crate::store::demo_file::{demo_file_make, demo_file_remove, is_demo_file};

/// Connections of the demo's pool.
const CONNECTIONS: u32 = 4;

/// The demo's own file, in the folder for temporary files.
pub fn default_url() -> String {
    let path = std::env::temp_dir().join("roundhand-demo.sqlite");
    format!("sqlite:{}", path.display())
}

/// Opens the demo at `url`, laid where it is not of today.
pub fn open(
    url: &str,
    clock: Clock,
    office: &dyn Fn(Db) -> Fallible<Office>,
    weeks: u32,
    seed: u64,
) -> Fallible<(Office, SetUp)> {
    match url.strip_prefix("sqlite:") {
        Some(path) => {
            let path = Path::new(path.strip_prefix("//").unwrap_or(path));
            of_file(path, url, clock, office, weeks, seed)
        }
        None => of_server(url, clock, office, weeks, seed),
    }
}

fn of_file(
    path: &Path,
    url: &str,
    clock: Clock,
    office: &dyn Fn(Db) -> Fallible<Office>,
    weeks: u32,
    seed: u64,
) -> Fallible<(Office, SetUp)> {
    if path.symlink_metadata().is_ok() {
        let own = is_demo_file(path).map_err(|e| format!("cannot read {}: {e}", path.display()))?;
        if !own {
            return Err(left_alone(&path.display().to_string()).into());
        }
        if let Some(site_id) = of_today(&office(Db::open(url, 1, clock)?)?)? {
            let office = office(Db::open(url, CONNECTIONS, clock)?)?;
            let set_up = renew_passwords(&office, site_id)?;
            return Ok((office, set_up));
        }
        demo_file_remove(path).map_err(|e| format!("cannot remove {}: {e}", path.display()))?;
    }
    demo_file_make(path)?;
    let office = office(Db::open(url, CONNECTIONS, clock)?)?;
    office.db.migrate()?;
    let set_up = lay_demo(&office, weeks, seed)?;
    Ok((office, set_up))
}

/// The site of a demo of today. It is asked over one connection: a pool that may have more opens them in the background, and
/// one that comes late would make the file anew that is about to be removed.
fn of_today(office: &Office) -> Fallible<Option<i64>> {
    if office.db.needs_migration()? {
        return Ok(None);
    }
    Ok(match what_it_holds(office)? {
        Holds::Demo {
            site_id,
            of_today: true,
        } => Some(site_id),
        _ => None,
    })
}

fn of_server(
    url: &str,
    clock: Clock,
    office: &dyn Fn(Db) -> Fallible<Office>,
    weeks: u32,
    seed: u64,
) -> Fallible<(Office, SetUp)> {
    let office = office(Db::open(url, CONNECTIONS, clock)?)?;
    if office.db.is_blank()? {
        office.db.migrate()?;
    } else if office.db.needs_migration()? {
        return Err("the database's schema is older than this program's: name a blank one".into());
    }
    let set_up = match what_it_holds(&office)? {
        Holds::Other => return Err(left_alone("the database").into()),
        Holds::Demo {
            site_id,
            of_today: true,
        } => renew_passwords(&office, site_id)?,
        Holds::Nothing => lay_demo(&office, weeks, seed)?,
        Holds::Demo {
            of_today: false, ..
        } => {
            office.db.revert_all()?;
            office.db.migrate()?;
            lay_demo(&office, weeks, seed)?
        }
    };
    Ok((office, set_up))
}

fn left_alone(what: &str) -> String {
    format!("{what} is not a demo: it is left as it is; name another with --database")
}
