//! Passwords: how they are kept (Argon2id), which are taken, and how one is set anew.

use std::net::IpAddr;
use std::sync::LazyLock;

use argon2::password_hash::{PasswordHasher, PasswordVerifier, phc::PasswordHash};
use argon2::{Algorithm, Argon2, Params, Version};
use serde::Deserialize;
use utoipa::ToSchema;
use zxcvbn::matching::patterns::MatchPattern;

use super::account_mail::{AccountMail, Reader, What};
use super::line::plain_name;
use super::me::{person, proved_again};
use super::throttle::Try;
use super::tokens::digest;
use super::{Error, Office, Result};
use crate::store::sessions::session_revoke_user;
use crate::store::single_use::{SecretKind, SecretRow, secret_by_digest, secret_use};
use crate::store::users::{UserRow, user_active, user_set_name, user_set_password};
use crate::store::{self, Actor};

/// Least length, characters (NIST SP 800-63B section 5.1.1.2 of revision 3: at least 8).
const LEAST_CHARS: usize = 8;
/// Greatest length, characters: whoever wants a sentence may have one.
const MOST_CHARS: usize = 128;
/// Passwords of so many characters stand on no list of common ones.
const LISTED_CHARS: usize = 40;
/// What takes fewer guesses than this many powers of ten is found by who tries the commonest first.
const LEAST_GUESSES_LOG10: f64 = 6.0;

/// Argon2id with the parameters OWASP's password storage cheat sheet gives first:
/// 19 MiB, two passes, one lane.
static ARGON: LazyLock<Argon2<'static>> = LazyLock::new(|| {
    let params = Params::new(19 * 1024, 2, 1, None).unwrap_or_default();
    Argon2::new(Algorithm::Argon2id, Version::V0x13, params)
});

/// Checked in place of an unknown user's hash, so that both answers take the same time.
static NOBODYS_HASH: LazyLock<String> =
    LazyLock::new(|| hash_password("nobody has this password").unwrap_or_default());

/// The PHC string of a password.
pub fn hash_password(password: &str) -> Result<String> {
    ARGON
        .hash_password(password.as_bytes())
        .map(|hash| hash.to_string())
        .map_err(|e| Error::Failed(store::Error::Unreadable(format!("password hash: {e}"))))
}

/// Whether a password is the one behind a hash; false, after the same time, where there is no hash.
pub fn password_fits(password: &str, hash: Option<&str>) -> bool {
    let known = hash.unwrap_or(&NOBODYS_HASH);
    let fits = PasswordHash::new(known)
        .is_ok_and(|known| ARGON.verify_password(password.as_bytes(), &known).is_ok());
    fits && hash.is_some()
}

/// Takes a new password by NIST SP 800-63B: a least length, nothing that stands on a list of common ones or follows from
/// whose it is, and no rule of what it must be composed of. `about` is what others know of its owner.
pub fn take_password(field: &str, password: &str, about: &[&str]) -> Result<()> {
    let chars = password.chars().count();
    if !(LEAST_CHARS..=MOST_CHARS).contains(&chars) {
        return Err(Error::refused(
            field,
            format!(
                "choose a password of {LEAST_CHARS} to {MOST_CHARS} characters; a few words in a row are good"
            ),
        ));
    }
    if is_common(password, about) {
        return Err(Error::refused(
            field,
            "this password is among the first that are tried: choose another, a few words in a row are good",
        ));
    }
    Ok(())
}

/// Whether a password is on the lists of common passwords, words and names (some 90,000, in the library), is a run of keys,
/// a repetition, a date or what is known of its owner, or is so near to one that it is soon guessed.
fn is_common(password: &str, about: &[&str]) -> bool {
    if password.chars().count() > LISTED_CHARS {
        let mut chars: Vec<_> = password.chars().collect();
        chars.sort_unstable();
        chars.dedup();
        return chars.len() < LEAST_CHARS / 2;
    }
    let known = about
        .iter()
        .flat_map(|text| std::iter::once(*text).chain(text.split(|c: char| !c.is_alphanumeric())))
        .filter(|text| text.chars().count() > 2);
    let mut known: Vec<&str> = known.collect();
    known.push("roundhand");
    let found = zxcvbn::zxcvbn(password, &known);
    let is_one_pattern = matches!(
        found.sequence(),
        [one] if !matches!(one.pattern, MatchPattern::BruteForce)
    );
    is_one_pattern || found.guesses_log10() < LEAST_GUESSES_LOG10
}

/// A change of one's own password.
#[derive(Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PasswordChange {
    /// The password so far.
    pub old_password: String,
    /// The new one: 8 to 128 characters, none that is among the first to be tried.
    pub new_password: String,
}

/// Changes one's own password. Every session ends, this one too; a mail says so.
pub fn password_change(office: &Office, actor: Actor, change: &PasswordChange) -> Result<()> {
    let user = office.db.read(|conn| person(conn, actor.user_id))?;
    take_password(
        "/new_password",
        &change.new_password,
        &[&user.email, &user.name],
    )?;
    proved_again(office, actor, "/old_password", &change.old_password)?;
    let hash = hash_password(&change.new_password)?;
    let now = office.now();
    office.db.write_shared(|conn| -> Result<()> {
        user_set_password(conn, user.id, &hash)?;
        session_revoke_user(conn, user.id, now)?;
        AccountMail::new(office, What::PasswordChanged, Reader::User(user.id)).put_out(conn, now)
    })?;
    tracing::info!(user = user.id, "password changed");
    Ok(())
}

/// Asks for a mail by which a forgotten password is set anew. What is done here is the same whether there is such an
/// account or not: only the job that writes the mail finds out.
pub fn new_password_ask(office: &Office, email: &str, from: Option<IpAddr>) -> Result<()> {
    // Counted apart from tries to sign in: who asks for mail in somebody's name must not shut them out.
    Try::count(office, &format!("new password\0{email}"), from)?;
    let now = office.now();
    let mail = AccountMail::new(
        office,
        What::NewPassword,
        Reader::Email(email.trim().to_lowercase()),
    );
    office.db.write_shared(|conn| mail.put_out(conn, now))
}

/// A first or new password, by the secret of a mail.
#[derive(Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PasswordBySecret {
    /// The secret of the mail: the end of its link.
    pub secret: String,
    /// The password: 8 to 128 characters, none that is among the first to be tried.
    pub password: String,
    /// What to greet with; as it was told with the invitation where nothing stands here.
    #[serde(default)]
    pub name: Option<String>,
}

/// Whom a secret of a mail belongs to, where it can still be used.
pub fn secret_holder(office: &Office, secret: &str) -> Result<(SecretRow, UserRow)> {
    let void = || {
        Error::refused(
            "/secret",
            "this link was used before, or is over: ask for a new one",
        )
    };
    let now = office.now();
    let found = office.db.read(|conn| -> Result<_> {
        let kinds = [SecretKind::Invitation, SecretKind::NewPassword];
        let row = secret_by_digest(conn, &kinds, &digest(secret.trim()))?;
        let Some(row) = row.filter(|row| row.used_at.is_none() && row.expires_at > now) else {
            return Ok(None);
        };
        let user = row.user_id.map(|id| user_active(conn, id)).transpose()?;
        Ok(user.flatten().map(|user| (row, user)))
    })?;
    found.ok_or_else(void)
}

/// Sets a password by the secret of a mail, which is used up by it. Every session ends. Gives the user.
pub fn password_by_secret(office: &Office, sent: &PasswordBySecret) -> Result<i64> {
    let (secret, user) = secret_holder(office, &sent.secret)?;
    let name = sent
        .name
        .as_deref()
        .map(str::trim)
        .filter(|n| !n.is_empty());
    if let Some(name) = name {
        plain_name("/name", name)?;
    }
    let about = [user.email.as_str(), name.unwrap_or(&user.name)];
    take_password("/password", &sent.password, &about)?;
    let hash = hash_password(&sent.password)?;
    let now = office.now();
    office.db.write_shared(|conn| -> Result<()> {
        if !secret_use(conn, secret.id, now)? {
            return Err(Error::refused(
                "/secret",
                "this link was used before, or is over: ask for a new one",
            ));
        }
        user_set_password(conn, user.id, &hash)?;
        if let Some(name) = name {
            user_set_name(conn, user.id, name)?;
        }
        session_revoke_user(conn, user.id, now)?;
        if secret.kind == SecretKind::NewPassword {
            let mail = AccountMail::new(office, What::PasswordChanged, Reader::User(user.id));
            mail.put_out(conn, now)?;
        }
        Ok(())
    })?;
    tracing::info!(user = user.id, by = %secret.kind, "password set");
    Ok(user.id)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refused(password: &str) -> bool {
        take_password("/p", password, &["pat.marsh@example.org", "Pat Marsh"]).is_err()
    }

    /// Source: NIST SP 800-63B: at least 8 characters, long ones allowed, spaces and every printing character too, no
    /// rules of composition. Each code point counts as one character.
    #[test]
    fn length_counts_and_composition_does_not() {
        assert!(refused("xqzvkwp"));
        for taken in [
            "gravel heron tuesday",
            "fjordmoosezink",
            "ゆうやけこやけの歌",
            &"a clay court after rain ".repeat(5),
        ] {
            assert!(!refused(taken), "{taken}");
        }
        assert!(refused(&"gravel heron tuesday ".repeat(7)), "more than 128");
    }

    #[test]
    fn what_everybody_tries_first_is_refused() {
        for common in [
            "password",
            "Password1",
            "p@ssw0rd",
            "12345678",
            "qwertyuiop",
            "iloveyou",
            "aaaaaaaaaaaa",
            "abcdefghij",
            "letmein1",
            "sunshine",
            "football1",
            "baseball",
            "trustno1",
            "drowssap",
        ] {
            assert!(refused(common), "{common}");
        }
        assert!(refused(&"x".repeat(100)));
    }

    #[test]
    fn what_follows_from_whose_it_is_is_refused() {
        for own in [
            "patmarsh",
            "Pat Marsh",
            "pat.marsh@example.org",
            "marsh2031",
            "roundhand",
        ] {
            assert!(refused(own), "{own}");
        }
    }

    #[test]
    fn no_hash_fits_nothing() {
        assert!(!password_fits("nobody has this password", None));
    }
}
