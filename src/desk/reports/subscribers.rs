//! Who gets the week report by mail.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::desk::access::{Permit, SeeSubscribers, SendReport};
use crate::desk::error::Named;
use crate::desk::line::plain_name;
use crate::desk::once::Once;
use crate::desk::{Error, Office, Result};
use crate::mail;
use crate::store::audit::{Deed, audit_append};
use crate::store::reports::{self, SubscriberRow};
use crate::store::{self, Page, Paged};

/// The one language there is.
const LANGUAGE: &str = "en-US";

/// Somebody who is to get the week report.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewSubscriber {
    /// Name, 1 to 120 characters.
    pub name: String,
    /// Address.
    #[schema(example = "gm@example.org")]
    pub email: String,
}

/// The site's subscribers.
pub fn subscriber_list(
    office: &Office,
    permit: &Permit<SeeSubscribers>,
    page: Page,
) -> Result<Paged<SubscriberRow>> {
    Ok(office
        .db
        .read(|conn| reports::subscriber_list(conn, permit, page))?)
}

/// Adds a subscriber. [`Error::State`] where the address is subscribed already.
pub fn subscriber_add(
    office: &Office,
    permit: &Permit<SendReport>,
    new: &NewSubscriber,
    client_key: String,
) -> Result<SubscriberRow> {
    let once = Once::new(client_key, "add report subscriber".into(), new)?;
    let (name, email) = (new.name.trim(), new.email.trim());
    plain_name("/name", name)?;
    if !mail::is_address(email) {
        return Err(Error::refused(
            "/email",
            "give one address, like gm@example.org",
        ));
    }
    office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let row = match reports::subscriber_add(tx, permit, email, name, LANGUAGE) {
                Err(store::Error::Taken(_)) => {
                    return Err(Error::state("this address is subscribed already".into()));
                }
                other => other?,
            };
            audit_append(
                tx,
                permit,
                &Deed::plain("added", "report_subscriber", row.id),
            )?;
            Ok(row)
        })
    })
}

/// Takes a subscriber off: mail to them that still waits is not sent.
pub fn subscriber_remove(office: &Office, permit: &Permit<SendReport>, id: i64) -> Result<()> {
    office.db.write(permit, |tx| {
        reports::subscriber_remove(tx, permit, id).named("subscriber")?;
        audit_append(tx, permit, &Deed::plain("removed", "report_subscriber", id))?;
        Ok(())
    })
}
