//! Setting a site up from readable data files.

mod accounts;
pub mod demo;
mod files;
mod history;
mod lay;
mod outlook;

use trade::calendar::work_date;

use super::{Error, Office, Result};
use crate::store::sites::{SiteRow, site_found};
use crate::store::{self, Role, Scope};
use accounts::Fresh;
use files::Files;

pub use history::lay_demo_history;

/// A site that was set up, and who may sign in to it.
#[derive(Clone, Debug)]
pub struct SetUp {
    /// The site.
    pub site_id: i64,
    /// One account a role.
    pub accounts: Vec<Account>,
    /// The owner of the installation.
    pub owner: Owner,
}

/// An account of a site that was set up.
#[derive(Clone, Debug, serde::Serialize)]
pub struct Account {
    /// Its role.
    pub role: Role,
    /// The address it signs in with.
    pub email: String,
    /// Its password, which is kept nowhere else in clear.
    pub password: String,
}

/// Who owns the installation.
#[derive(Clone, Debug, serde::Serialize)]
pub struct Owner {
    /// The address the owner signs in with.
    pub email: String,
    /// The password, which is kept nowhere else in clear.
    pub password: String,
}

/// Lays the invented resort of `demo-seed/` with random passwords: everything but what crews have
/// done. Days are counted from the office's today. Users that stand already (another such site)
/// keep their row and get the new password.
pub fn lay_demo_site(office: &Office) -> Result<SetUp> {
    let files = Files::demo().map_err(|e| unreadable(&e))?;
    let fresh = Fresh::of(&files)?;
    let now = office.now();
    let site = site(&files);
    let zone = site.zone.parse().map_err(|e| unreadable(&e))?;
    let today = work_date(zone, now.utc());
    let (site_id, users) = office.db.write_shared(|conn| -> Result<_> {
        let site_id = site_found(conn, &site, now)?;
        let users = fresh.keep(conn, now)?;
        Ok((site_id, users))
    })?;
    let scope = Scope::of_the_service(site_id);
    office.db.write(&scope, |tx| {
        lay::Laying {
            scope: &scope,
            zone,
            today,
            files: &files,
            users: &users,
        }
        .lay(tx)
    })?;
    Ok(fresh.set_up(site_id))
}

fn site(files: &Files) -> SiteRow {
    let site = &files.site.site;
    SiteRow {
        id: 0,
        name: site.name.clone(),
        zone: site.zone.clone(),
        units: site.units,
        currency: site.currency.clone(),
        walk_mm_per_s: site.walk_mm_per_s,
        shed_x_mm: site.shed_x_mm,
        shed_y_mm: site.shed_y_mm,
        pay_week_starts_on: site.pay_week_starts_on,
        water_cents_per_m3: site.water_cents_per_m3,
        second_factor_required: false,
        version: 1,
    }
}

/// The data files are part of the program: what does not read in them is the service's own fault.
fn unreadable(why: &dyn std::fmt::Display) -> Error {
    store::Error::Unreadable(format!("setting the site up: {why}")).into()
}
