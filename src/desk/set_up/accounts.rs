//! Who may sign in to a site that was set up, with passwords that are kept nowhere in clear.

use super::files::Files;
use super::{Account, Owner, SetUp, unreadable};
use crate::desk::passwords::hash_password;
use crate::desk::tokens::random_secret;
use crate::desk::{Office, Result};
use crate::store::users::{NewUser, UserKind, user_add, user_by_email, user_set_password};
use crate::store::{Conn, Instant};

/// The accounts of the data files with fresh passwords, and the hashes of those. Hashing is slow:
/// it is done before any transaction, each on a thread of its own.
pub struct Fresh<'a> {
    files: &'a Files,
    /// One account a role.
    pub accounts: Vec<Account>,
    /// The owner of the installation.
    pub owner: Owner,
    hashes: Vec<String>,
}

impl<'a> Fresh<'a> {
    /// Makes them.
    pub fn of(files: &'a Files) -> Result<Self> {
        let owner = Owner {
            email: files.people.owner.email.clone(),
            password: password()?,
        };
        let entries = files.people.accounts.iter();
        let accounts = entries
            .map(|entry| {
                Ok(Account {
                    role: entry.role,
                    email: entry.email.clone(),
                    password: password()?,
                })
            })
            .collect::<Result<Vec<_>>>()?;
        let passwords = accounts
            .iter()
            .map(|account| &account.password)
            .chain([&owner.password]);
        let hashes = std::thread::scope(|scope| {
            let hashing: Vec<_> = passwords
                .map(|password| scope.spawn(move || hash_password(password)))
                .collect();
            let hashed = hashing.into_iter().map(|thread| {
                thread
                    .join()
                    .unwrap_or_else(|_| Err(unreadable(&"hashing stopped")))
            });
            hashed.collect::<Result<Vec<_>>>()
        })?;
        Ok(Self {
            files,
            accounts,
            owner,
            hashes,
        })
    }

    /// Writes them: users that stand already keep their row and get the new password. Gives the
    /// accounts' users, in the order of the file.
    pub fn keep(&self, conn: &mut Conn, now: Instant) -> Result<Vec<i64>> {
        let people = &self.files.people;
        let mut users = Vec::new();
        for (entry, hash) in people.accounts.iter().zip(&self.hashes) {
            users.push(user(conn, &entry.email, &entry.name, hash, false, now)?);
        }
        if let Some(hash) = self.hashes.last() {
            user(
                conn,
                &people.owner.email,
                &people.owner.name,
                hash,
                true,
                now,
            )?;
        }
        Ok(users)
    }

    /// The site with who may sign in to it.
    pub fn set_up(self, site_id: i64) -> SetUp {
        SetUp {
            site_id,
            accounts: self.accounts,
            owner: self.owner,
        }
    }
}

/// Gives the accounts of a site that was laid fresh passwords.
pub fn renew_passwords(office: &Office, site_id: i64) -> Result<SetUp> {
    let files = Files::demo().map_err(|e| unreadable(&e))?;
    let fresh = Fresh::of(&files)?;
    let now = office.now();
    office.db.write_shared(|conn| fresh.keep(conn, now))?;
    Ok(fresh.set_up(site_id))
}

fn password() -> Result<String> {
    let secret = random_secret().map_err(|e| unreadable(&e))?;
    Ok(secret
        .chars()
        .filter(char::is_ascii_alphanumeric)
        .take(16)
        .collect())
}

fn user(
    conn: &mut Conn,
    email: &str,
    name: &str,
    hash: &str,
    is_owner: bool,
    now: Instant,
) -> Result<i64> {
    if let Some(known) = user_by_email(conn, email)? {
        user_set_password(conn, known.id, hash)?;
        return Ok(known.id);
    }
    let new = NewUser {
        kind: UserKind::Person,
        email,
        name,
        password_hash: Some(hash),
        is_owner,
    };
    Ok(user_add(conn, &new, now)?)
}
