//! Sites.

use super::access::{EditSite, Permit, SeeSite};
use super::error::Named;
use super::{Error, Office, Result};
use crate::store::audit::{Change, Deed, audit_edit};
use crate::store::sites::{self, SiteRow, Units};
use crate::store::users::{UserKind, user_active};
use crate::store::{Actor, Page, Paged};

/// The sites a user belongs to; that of a tablet. A key is for pulls from sites that are known.
pub fn site_list(office: &Office, actor: Actor, page: Page) -> Result<Paged<SiteRow>> {
    office.db.read(|conn| {
        let user = user_active(conn, actor.user_id)?;
        let user = user.ok_or(Error::NotSignedIn("the user is switched off"))?;
        match user.kind {
            UserKind::Person => Ok(sites::site_list(conn, &user, page)?),
            UserKind::Device => Ok(sites::site_list_of_device(conn, user.id, page)?),
            UserKind::Key => Err(Error::NotAllowed("a person, or a crew's tablet".into())),
        }
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
    /// Whether managers and finance must sign in with a second factor here; as it is where nothing stands.
    #[serde(default)]
    pub second_factor_required: Option<bool>,
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
        let before = sites::site_read(tx.conn(), permit)?;
        let site = sites::site_edit(
            tx,
            permit,
            version,
            name,
            edit.units,
            edit.second_factor_required,
        )?;
        let deed = Deed {
            verb: "edited",
            subject: "site",
            id: site.id,
            data: serde_json::json!({ "version": site.version }),
        };
        audit_edit(tx, permit, deed, Change::between(&before, &site)?, &[])?;
        Ok(site)
    })
}
