//! Crews' tablets: paired by a short code, at work until their access is taken away.

use std::net::IpAddr;

use chrono::TimeDelta;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::access::{PairDevice, Permit, RevokeDevice};
use super::error::Named;
use super::line::plain_name;
use super::once::Once;
use super::throttle::Try;
use super::tokens::digest;
use super::{Error, Office, Result};
use crate::store::audit::{Deed, audit_append};
use crate::store::devices::{
    DeviceRow, device_add as row_add, device_list as rows, device_paired, device_read as row,
    device_revoke as row_revoke, device_site,
};
use crate::store::sessions::session_revoke_user;
use crate::store::single_use::{
    NewSecret, SecretKind, secret_add, secret_by_digest, secret_use, secrets_void,
};
use crate::store::users::{NewUser, UserKind, user_add};
use crate::store::{self, Instant, Page, Paged, Scope, Tx};

/// How long a code holds: as long as it takes to walk to the shed and type it.
const CODE_LIFE: TimeDelta = TimeDelta::minutes(10);
/// Letters and digits of a code: 40 random bits, tried by few for ten minutes.
const CODE_CHARS: usize = 8;
/// Letters and digits that nobody mistakes for each other: without I, L, O and U.
const SYMBOLS: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";

/// A tablet that is to be paired.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewDevice {
    /// What the site calls it, 1 to 120 characters: that of its crew, or what stands on its back.
    #[schema(example = "North crew's tablet")]
    pub name: String,
}

/// A tablet with the code that pairs it.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
pub struct DeviceCode {
    /// The tablet.
    #[serde(flatten)]
    pub device: DeviceRow,
    /// The code, to be typed on the tablet: good once. Null where the request came before: it is shown once.
    #[schema(example = "7K3M-P9QX")]
    pub code: Option<String>,
    /// Until when it holds.
    pub code_until: Instant,
}

/// The site's tablets.
pub fn device_list(
    office: &Office,
    permit: &Permit<PairDevice>,
    page: Page,
) -> Result<Paged<DeviceRow>> {
    Ok(office.db.read(|conn| rows(conn, permit, page))?)
}

/// Adds a tablet, and gives the code that pairs it.
pub fn device_add(
    office: &Office,
    permit: &Permit<PairDevice>,
    new: &NewDevice,
    client_key: String,
) -> Result<DeviceCode> {
    let once = Once::new(client_key, "add tablet".into(), new)?;
    let name = new.name.trim();
    plain_name("/name", name)?;
    let made_by = permit
        .user_id()
        .ok_or(Error::NotSignedIn("a tablet is added by somebody"))?;
    let code = random_code(CODE_CHARS)?;
    let mut shown = None;
    let mut made = office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let now = tx.now();
            // Nobody is at an address that ends so (RFC 2606 section 2).
            let email = format!("tablet-{}@devices.invalid", uuid::Uuid::new_v4());
            let user = NewUser {
                kind: UserKind::Device,
                email: &email,
                name,
                password_hash: None,
                is_owner: false,
            };
            let user_id = user_add(tx.conn(), &user, now)?;
            let device = row_add(tx, permit, user_id, name, made_by)?;
            let code_until = give_code(tx, &device, &code)?;
            audit(tx, permit, "added", device.id)?;
            shown = Some(code.clone());
            Ok(DeviceCode {
                device,
                code: None,
                code_until,
            })
        })
    })?;
    made.code = shown.map(|code| spelled(&code));
    Ok(made)
}

/// A new code for a tablet, which lost its session or was never paired; the one before is void.
pub fn device_code(
    office: &Office,
    permit: &Permit<PairDevice>,
    id: i64,
    client_key: String,
) -> Result<DeviceCode> {
    let once = Once::new(client_key, format!("code for tablet {id}"), &())?;
    let code = random_code(CODE_CHARS)?;
    let mut shown = None;
    let mut made = office.db.write(permit, |tx| {
        once.run(tx, permit, |tx| {
            let device = row(tx.conn(), permit, id).named("tablet")?;
            if device.revoked_at.is_some() {
                return Err(Error::state(
                    "this tablet's access was taken away: add it anew".into(),
                ));
            }
            let code_until = give_code(tx, &device, &code)?;
            audit(tx, permit, "given_code", device.id)?;
            shown = Some(code.clone());
            Ok(DeviceCode {
                device,
                code: None,
                code_until,
            })
        })
    })?;
    made.code = shown.map(|code| spelled(&code));
    Ok(made)
}

/// Takes a tablet's access away, at once.
pub fn device_revoke(office: &Office, permit: &Permit<RevokeDevice>, id: i64) -> Result<()> {
    office.db.write(permit, |tx| {
        let device = row(tx.conn(), permit, id).named("tablet")?;
        row_revoke(tx, permit, id).map_err(|error| match error {
            store::Error::Stale => Error::state("its access was taken away before".into()),
            other => other.into(),
        })?;
        let now = tx.now();
        session_revoke_user(tx.conn(), device.user_id, now)?;
        secrets_void(tx.conn(), device.user_id, SecretKind::DeviceCode, now)?;
        audit(tx, permit, "revoked", id)
    })
}

/// Takes the code that was typed on a tablet; gives the user as which the tablet acts from now on. Whatever session it had
/// before ends. After some wrong codes from an address the next ones wait.
pub fn device_pair(office: &Office, code: &str, from: Option<IpAddr>) -> Result<i64> {
    let wrong = || {
        Error::refused(
            "/code",
            "this code does not hold: it is good once, for ten minutes; ask the crew lead for a new one",
        )
    };
    let counted = Try::count_from(office, from)?;
    let digest = code_digest(code);
    let now = office.now();
    let found = office.db.read(|conn| -> Result<_> {
        let secret = secret_by_digest(conn, &[SecretKind::DeviceCode], &digest)?;
        let Some((secret, user_id)) = secret.and_then(|s| s.user_id.map(|id| (s.id, id))) else {
            return Ok(None);
        };
        let device = device_site(conn, user_id)?;
        Ok(device.map(|(site_id, id)| (secret, user_id, site_id, id)))
    })?;
    let (secret, user_id, site_id, id) = found.ok_or_else(wrong)?;
    let scope = Scope::of_the_tablet(site_id, user_id, from);
    office.db.write(&scope, |tx| {
        if !secret_use(tx.conn(), secret, now)? {
            return Err(wrong());
        }
        session_revoke_user(tx.conn(), user_id, now)?;
        device_paired(tx, &scope, id)?;
        audit(tx, &scope, "paired", id)
    })?;
    counted.succeeded(office)?;
    Ok(user_id)
}

fn give_code(tx: &mut Tx<'_>, device: &DeviceRow, code: &str) -> Result<Instant> {
    let now = tx.now();
    let until = (now.utc() + CODE_LIFE).into();
    let secret = NewSecret {
        user_id: Some(device.user_id),
        kind: SecretKind::DeviceCode,
        digest: &code_digest(code),
        expires_at: until,
    };
    secret_add(tx.conn(), &secret, now)?;
    Ok(until)
}

fn audit(tx: &mut Tx<'_>, scope: &Scope, verb: &str, id: i64) -> Result<()> {
    let deed = Deed::plain(verb, "device", id);
    Ok(audit_append(tx, scope, &deed)?)
}

fn code_digest(code: &str) -> Vec<u8> {
    digest(&format!("tablet\0{}", plain_code(code)))
}

/// Random letters and digits that nobody mistakes for each other: five bits each.
pub fn random_code(chars: usize) -> Result<String> {
    let mut bytes = vec![0_u8; chars];
    getrandom::fill(&mut bytes)?;
    let symbols = bytes
        .iter()
        .map(|byte| char::from(SYMBOLS[usize::from(byte % 32)]));
    Ok(symbols.collect())
}

/// A code as it was made, however it is typed: small letters, dashes and spaces, O for 0, I and L for 1.
pub fn plain_code(typed: &str) -> String {
    let plain = typed.chars().filter(char::is_ascii_alphanumeric);
    plain
        .map(|c| match c.to_ascii_uppercase() {
            'O' => '0',
            'I' | 'L' => '1',
            other => other,
        })
        .collect()
}

/// A code in two halves, to be read out.
fn spelled(code: &str) -> String {
    let (first, second) = code.split_at(code.len() / 2);
    format!("{first}-{second}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_reads_however_it_is_typed() {
        assert_eq!(plain_code("7k3m-p9qx"), "7K3MP9QX");
        assert_eq!(plain_code(" OIL1 - 0000 "), "01110000");
        let code = random_code(8).unwrap();
        assert_eq!(plain_code(&spelled(&code).to_lowercase()), code);
    }
}
