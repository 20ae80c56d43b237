//! A person's own data: given out whole, and taken away. Whoever asks for either is a person with a right to it by the law of
//! the place; which law holds, and what must be kept in spite of it, the site asks its own counsel.

use serde::{Deserialize, Serialize};
use trade::calendar::work_date;
use utoipa::ToSchema;

use super::access::{HandOutPerson, Permit};
use super::error::Named;
use super::members::still_managed;
use super::once::Once;
use super::tablet::{SentView, sent_by};
use super::{Error, Office, Result};
use crate::store::audit::{Deed, audit_append};
use crate::store::crews::{PersonRow, person_read};
use crate::store::incidents::reader_forget;
use crate::store::members::{member_elsewhere, member_remove};
use crate::store::privacy::{
    KnownOf, account_erase, account_traces_erase, known_of, person_erase as row_erase,
    person_words_erase, user_behind,
};
use crate::store::second_factors::second_factor_remove;
use crate::store::sessions::session_revoke_user;
use crate::store::sites::site_read;
use crate::store::users::user_active;
use crate::store::{Instant, Tx};

/// Everything the site knows of a person.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct PersonExport {
    /// When it was put together.
    pub at: Instant,
    /// The person.
    pub person: PersonRow,
    /// What is known of them.
    #[serde(flatten)]
    pub known: KnownOf,
    /// What they told by tablet, as it came; of incidents only that they told one.
    pub told_by_tablet: Vec<SentView>,
}

/// Erasing a person.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Erasure {
    /// The person's name, as it stands: so that nobody is erased by a slip.
    pub name: String,
}

/// What became of a person.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
pub struct Erased {
    /// The person's id: hours and costs stay under it.
    pub person_id: i64,
    /// What became of their account.
    pub account: ErasedAccount,
}

/// What became of an erased person's account.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum ErasedAccount {
    /// There was none.
    None,
    /// It is erased with them.
    Erased,
    /// It belongs to other sites too: there it goes on.
    KeptElsewhere,
}

/// Everything the site knows of a person, for whoever has a right to it.
pub fn person_export(
    office: &Office,
    permit: &Permit<HandOutPerson>,
    person_id: i64,
) -> Result<PersonExport> {
    // That it was given out is written too.
    office.db.write(permit, |tx| {
        let person = person_read(tx.conn(), permit, person_id).named("person")?;
        let known = known_of(tx.conn(), permit, person_id)?;
        let told_by_tablet = sent_by(tx.conn(), permit, person_id)?;
        audit(tx, permit, "given_out", person_id)?;
        Ok(PersonExport {
            at: tx.now(),
            person,
            known,
            told_by_tablet,
        })
    })
}

/// Erases a person: names and addresses go, hours, treatments and costs stay under the person's number, and the audit trail
/// still proves. Text that somebody typed into a note stays as typed.
pub fn person_erase(
    office: &Office,
    permit: &Permit<HandOutPerson>,
    person_id: i64,
    asked: &Erasure,
    client_key: String,
) -> Result<Erased> {
    let once = Once::new(client_key, format!("erase person {person_id}"), &())?;
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let person = person_read(tx.conn(), permit, person_id).named("person")?;
            if asked.name.trim() != person.name {
                return Err(Error::refused(
                    "/name",
                    "type the person's name as it stands: what is erased cannot be had back",
                ));
            }
            let zone = site_read(tx.conn(), permit)?.zone()?;
            let today = work_date(zone, tx.now().utc());
            let user_id = user_behind(tx.conn(), permit, person_id)?;
            row_erase(
                tx,
                permit,
                person_id,
                &format!("Erased person {person_id}"),
                today,
            )?;
            person_words_erase(tx, permit, person_id)?;
            let account = match user_id {
                Some(user_id) => erase_account(tx, permit, user_id)?,
                None => ErasedAccount::None,
            };
            audit(tx, permit, "erased", person_id)?;
            Ok(Erased { person_id, account })
        })
    })
}

fn erase_account(
    tx: &mut Tx<'_>,
    permit: &Permit<HandOutPerson>,
    user_id: i64,
) -> Result<ErasedAccount> {
    let Some(user) = user_active(tx.conn(), user_id)? else {
        return Ok(ErasedAccount::None);
    };
    if user.is_owner {
        return Err(Error::state(
            "this is an owner of the installation: make somebody else the owner first".into(),
        ));
    }
    member_remove(tx, permit, user_id)?;
    reader_forget(tx, permit, user_id)?;
    still_managed(tx, permit)?;
    account_traces_erase(tx, permit, user_id, &user.email)?;
    if member_elsewhere(tx.conn(), permit, user_id)? {
        return Ok(ErasedAccount::KeptElsewhere);
    }
    let now = tx.now();
    // Nobody is at an address that ends so (RFC 2606 section 2).
    let email = format!("erased-{user_id}@people.invalid");
    account_erase(
        tx.conn(),
        user_id,
        &email,
        &format!("Erased user {user_id}"),
        now,
    )?;
    second_factor_remove(tx.conn(), user_id)?;
    session_revoke_user(tx.conn(), user_id, now)?;
    Ok(ErasedAccount::Erased)
}

fn audit(tx: &mut Tx<'_>, permit: &Permit<HandOutPerson>, verb: &str, id: i64) -> Result<()> {
    let deed = Deed::plain(verb, "person", id);
    Ok(audit_append(tx, permit, &deed)?)
}
