//! Sites.

use super::access::{EditSite, Permit, SeeSite};
use super::error::Named;
use super::{Error, Office, Result};
use crate::store::audit::{Deed, audit_append};
use crate::store::sites::{self, SiteRow, Units};
use crate::store::users::user_active;
use crate::store::{Page, Paged};

/// The sites a user belongs to. [`Error::NotSignedIn`] where the user is switched off: the token
/// may hold a little longer.
pub fn site_list(office: &Office, user_id: i64, page: Page) -> Result<Paged<SiteRow>> {
    office.db.read(|conn| {
        user_active(conn, user_id)?.ok_or(Error::NotSignedIn("the user is switched off"))?;
        Ok(sites::site_list(conn, user_id, page)?)
    })
}

/// One site.
pub fn site_read(office: &Office, permit: &Permit<SeeSite>) -> Result<SiteRow> {
    office
        .db
        .read(|conn| sites::site_read(conn, permit).named("site"))
}

/// What may be changed of a site.
#[derive(Clone, Debug, serde::Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SiteEdit {
    /// Its name, 1 to 120 characters.
    pub name: String,
    /// How it shows quantities.
    pub units: Units,
}

/// Changes a site that still has `version`.
pub fn site_edit(
    office: &Office,
    permit: &Permit<EditSite>,
    version: i64,
    edit: &SiteEdit,
) -> Result<SiteRow> {
    let name = edit.name.trim();
    if name.is_empty() || name.chars().count() > 120 {
        return Err(Error::refused(
            "/name",
            "give the site a name of 1 to 120 characters",
        ));
    }
    office.db.write(permit, |tx| {
        let site = sites::site_edit(tx, permit, version, name, edit.units)?;
        audit_append(
            tx,
            permit,
            &Deed {
                verb: "edited",
                subject: "site",
                id: site.id,
                data: serde_json::json!({ "version": site.version }),
            },
        )?;
        Ok(site)
    })
}
