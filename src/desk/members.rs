//! Who may sign in to a site, and as what.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::access::{EditUsers, Permit, SeeUsers};
use super::account_mail::{AccountMail, Reader, What, password_path};
use super::error::Named;
use super::line::plain_name;
use super::once::Once;
use super::{Error, Office, Result};
use crate::mail;
use crate::store::audit::{Deed, audit_append};
use crate::store::incidents::reader_forget;
use crate::store::members::{
    MemberRow, has_manager, member_elsewhere, member_list as rows, member_read as row,
    member_remove as remove_row, member_set,
};
use crate::store::users::{NewUser, UserKind, UserRow, user_active, user_add, user_by_email};
use crate::store::{self, Page, Paged, Role, Scope, Tx};

/// Somebody who may sign in to the site.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[schema(as = Member)]
pub struct MemberView {
    /// The user.
    pub id: i64,
    /// The address they sign in with.
    pub email: String,
    /// Their name.
    pub name: String,
    /// What they are to the site.
    pub roles: Vec<Role>,
    /// Whether they have set a password: until then their invitation waits.
    pub has_password: bool,
    /// Whether they sign in with a second factor.
    pub has_second_factor: bool,
    /// Whether the owner has switched them off.
    pub is_disabled: bool,
    /// Changes whenever the roles do, for `If-Match`.
    pub version: i64,
}

impl From<MemberRow> for MemberView {
    fn from(row: MemberRow) -> Self {
        Self {
            id: row.user_id,
            email: row.email,
            name: row.name,
            roles: row.roles,
            has_password: row.has_password,
            has_second_factor: row.has_second_factor,
            is_disabled: row.disabled_at.is_some(),
            version: row.version,
        }
    }
}

/// Somebody who is to sign in to the site.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewMember {
    /// Their name, 1 to 120 characters.
    pub name: String,
    /// Their address.
    #[schema(example = "lead@example.org")]
    pub email: String,
    /// What they are to be to the site, at least one.
    pub roles: Vec<Role>,
}

/// What may be changed of somebody at the site.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MemberEdit {
    /// What they are to be to the site, at least one.
    pub roles: Vec<Role>,
}

/// Somebody who was invited.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
pub struct Invited {
    /// Who.
    #[serde(flatten)]
    pub member: MemberView,
    /// Where they set their password, to be handed over by hand: only where this service sends no mail. Shown once.
    pub by_hand: Option<String>,
}

/// Who may sign in to the site.
pub fn member_list(
    office: &Office,
    permit: &Permit<SeeUsers>,
    page: Page,
) -> Result<Paged<MemberView>> {
    let page = office.db.read(|conn| rows(conn, permit, page))?;
    Ok(Paged {
        items: page.items.into_iter().map(MemberView::from).collect(),
        next: page.next,
    })
}

/// One of them.
pub fn member_read(office: &Office, permit: &Permit<SeeUsers>, user_id: i64) -> Result<MemberView> {
    let row = office
        .db
        .read(|conn| row(conn, permit, user_id).named("user"))?;
    Ok(row.into())
}

/// Lets somebody sign in to the site. Who is new gets a mail by which they set a password; who signs in already, one that
/// says so. [`Error::State`] where they belong to the site.
pub fn member_invite(
    office: &Office,
    permit: &Permit<EditUsers>,
    new: &NewMember,
    client_key: String,
) -> Result<Invited> {
    let once = Once::new(client_key, "invite user".into(), new)?;
    let name = new.name.trim();
    plain_name("/name", name)?;
    let email = new.email.trim().to_lowercase();
    if !mail::is_address(&email) {
        return Err(Error::refused(
            "/email",
            "give one address, like lead@example.org",
        ));
    }
    let roles = roles_of(&new.roles)?;
    let mut by_hand = None;
    let member = office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let user = user_for(tx, &email, name)?;
            if row(tx.conn(), permit, user.id).is_ok() {
                return Err(Error::state(format!(
                    "{email} belongs to this site already: change their roles instead"
                )));
            }
            member_set(tx, permit, user.id, &roles)?;
            let after = serde_json::json!({ "roles": roles });
            audit(
                tx,
                permit,
                "invited",
                user.id,
                &serde_json::json!({ "after": after }),
            )?;
            by_hand = write_to(office, tx, permit, &user)?;
            Ok(MemberView::from(row(tx.conn(), permit, user.id)?))
        })
    })?;
    Ok(Invited { member, by_hand })
}

/// Sends the invitation of who has not set a password yet once more; the one before is void.
pub fn member_invite_again(
    office: &Office,
    permit: &Permit<EditUsers>,
    user_id: i64,
    client_key: String,
) -> Result<Invited> {
    let once = Once::new(client_key, format!("invite user {user_id} again"), &())?;
    let mut by_hand = None;
    let member = office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let member = row(tx.conn(), permit, user_id).named("user")?;
            let user = user_active(tx.conn(), user_id)?.ok_or(Error::NotFound("user"))?;
            if member.has_password {
                return Err(Error::state(
                    "they have set a password: whoever forgot it asks for a new one at sign-in"
                        .into(),
                ));
            }
            audit(tx, permit, "invited_again", user_id, &serde_json::json!({}))?;
            by_hand = write_to(office, tx, permit, &user)?;
            Ok(MemberView::from(member))
        })
    })?;
    Ok(Invited { member, by_hand })
}

/// Changes somebody's roles at the site, where they still are as of `version`.
pub fn member_edit(
    office: &Office,
    permit: &Permit<EditUsers>,
    user_id: i64,
    version: i64,
    edit: &MemberEdit,
) -> Result<MemberView> {
    let roles = roles_of(&edit.roles)?;
    office.db.write(permit, |tx| {
        let before = row(tx.conn(), permit, user_id).named("user")?;
        if before.version != version {
            return Err(Error::Stale);
        }
        member_set(tx, permit, user_id, &roles)?;
        still_managed(tx, permit)?;
        let data =
            serde_json::json!({ "before": { "roles": before.roles }, "after": { "roles": roles } });
        audit(tx, permit, "edited", user_id, &data)?;
        Ok(row(tx.conn(), permit, user_id)?.into())
    })
}

/// Takes somebody's way in to the site away, at once. Their account stays: they may belong to other sites.
pub fn member_remove(office: &Office, permit: &Permit<EditUsers>, user_id: i64) -> Result<()> {
    office.db.write(permit, |tx| {
        let before = row(tx.conn(), permit, user_id).named("user")?;
        remove_row(tx, permit, user_id)?;
        reader_forget(tx, permit, user_id)?;
        still_managed(tx, permit)?;
        let data = serde_json::json!({ "before": { "roles": before.roles } });
        audit(tx, permit, "removed", user_id, &data)
    })
}

/// The user with this address, who is added where there is none.
fn user_for(tx: &mut Tx<'_>, email: &str, name: &str) -> Result<UserRow> {
    if let Some(known) = user_by_email(tx.conn(), email)? {
        if known.disabled_at.is_some() {
            return Err(Error::state(format!(
                "{email} is switched off: the owner of the installation may switch them on again"
            )));
        }
        return Ok(known);
    }
    let now = tx.now();
    let new = NewUser {
        kind: UserKind::Person,
        email,
        name,
        password_hash: None,
        is_owner: false,
    };
    let id = user_add(tx.conn(), &new, now).map_err(|error| match error {
        store::Error::Taken(_) => Error::state(format!(
            "somebody else is adding {email} right now: send it again"
        )),
        other => other.into(),
    })?;
    user_active(tx.conn(), id)?.ok_or(Error::NotFound("user"))
}

/// Puts the mail to somebody who belongs to the site out. Where none can be sent, gives what is handed over instead.
fn write_to(
    office: &Office,
    tx: &mut Tx<'_>,
    permit: &Permit<EditUsers>,
    user: &UserRow,
) -> Result<Option<String>> {
    let is_new = user.password_hash.is_none();
    let what = if is_new {
        What::Invitation
    } else {
        What::Joined
    };
    let mail = AccountMail::new(office, what, Reader::User(user.id)).about_site(permit.site_id());
    let now = tx.now();
    if office.mail.can_send() {
        mail.put_out(tx.conn(), now)?;
        return Ok(None);
    }
    // Whoever holds the link chooses the password: of an account that another site waits for, that is not ours to give.
    if is_new && member_elsewhere(tx.conn(), permit, user.id)? {
        return Err(Error::state(
            "another site has invited them, and they have not set a password yet: invite them once they have".into(),
        ));
    }
    let secret = mail.secret_by_hand(office, tx.conn(), user)?;
    let base = office.mail.public_url().unwrap_or_default();
    Ok(secret.map(|secret| format!("{}{}", base.trim_end_matches('/'), password_path(&secret))))
}

fn roles_of(asked: &[Role]) -> Result<Vec<Role>> {
    let roles: Vec<Role> = Role::ALL
        .iter()
        .copied()
        .filter(|role| asked.contains(role))
        .collect();
    if roles.is_empty() {
        return Err(Error::refused("/roles", "give at least one role"));
    }
    Ok(roles)
}

/// Refuses what would leave the site without a manager who can sign in.
pub fn still_managed(tx: &mut Tx<'_>, scope: &Scope) -> Result<()> {
    if has_manager(tx.conn(), scope)? {
        return Ok(());
    }
    Err(Error::state(
        "the site needs a manager who can sign in: make somebody else one first".into(),
    ))
}

fn audit(
    tx: &mut Tx<'_>,
    permit: &Permit<EditUsers>,
    verb: &str,
    user_id: i64,
    data: &serde_json::Value,
) -> Result<()> {
    let deed = Deed {
        verb,
        subject: "user",
        id: user_id,
        data: data.clone(),
    };
    Ok(audit_append(tx, permit, &deed)?)
}
