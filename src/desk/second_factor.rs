//! The second factor: codes of six digits that somebody's phone makes from a shared secret (RFC 6238), and codes on paper
//! for the day the phone is lost.

use serde::{Deserialize, Serialize};
use totp_rs::{Algorithm, Builder, Secret, Totp};
use utoipa::ToSchema;

use super::account_mail::{AccountMail, Reader, What};
use super::devices::{plain_code, random_code};
use super::me::{OncePassword, person, proved_again};
use super::passwords::{hash_password, password_fits};
use super::{Error, Office, Result};
use crate::store::second_factors::{
    SecondFactorRow, recovery_code_use, recovery_codes_unused, second_factor_begin,
    second_factor_confirm, second_factor_read, second_factor_remove, second_factor_reseal,
    second_factor_step, second_factors_not_under,
};
use crate::store::{self, Actor, Conn};

/// Length of the shared secret, bytes (RFC 4226 section 4 recommends 160 bits).
const SECRET_BYTES: usize = 20;
/// How many codes for the day the phone is lost.
const RECOVERY_CODES: usize = 8;
/// Letters and digits of such a code.
const RECOVERY_CHARS: usize = 10;
/// What the phone shows above the code.
const ISSUER: &str = "Roundhand";

/// A second factor that waits for its first code.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct SecondFactorBegun {
    /// The shared secret in base32, to be typed into the phone's program.
    pub secret: String,
    /// The same as an address that such programs read from a picture.
    pub address: String,
}

/// The codes for the day the phone is lost: each is good once.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct RecoveryCodes {
    /// To be written down now: they are shown once.
    pub codes: Vec<String>,
}

/// A code.
#[derive(Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Code {
    /// Six digits of the phone.
    pub code: String,
}

/// What it takes to take a second factor away.
#[derive(Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SecondFactorRemoval {
    /// The password.
    pub password: String,
    /// Six digits of the phone, or one of the codes for the day it is lost.
    pub code: String,
}

/// Begins a second factor: it is asked for once a code of it was confirmed. [`Error::State`] where there is one.
pub fn begin(office: &Office, actor: Actor, again: &OncePassword) -> Result<SecondFactorBegun> {
    proved_again(office, actor, "/password", &again.password)?;
    let mut secret = [0_u8; SECRET_BYTES];
    getrandom::fill(&mut secret)?;
    let sealed = office.tokens.seal(actor.user_id, &secret);
    let sealed = sealed.ok_or_else(|| unusable("the secret could not be sealed"))?;
    let now = office.now();
    let email = office.db.write_shared(|conn| -> Result<String> {
        let user = person(conn, actor.user_id)?;
        if confirmed(conn, user.id)?.is_some() {
            return Err(Error::state(
                "you have a second factor: take it away before you set up another".into(),
            ));
        }
        second_factor_begin(conn, user.id, &sealed, office.tokens.newest(), now)?;
        Ok(user.email)
    })?;
    let shared = Secret::from(secret.to_vec());
    let account = email.replace(':', " ");
    let address = settings(secret.to_vec())
        .with_account_name(account)
        .with_issuer(Some(ISSUER))
        .build()
        .and_then(|made| made.to_url())
        .map_err(|e| unusable(&e.to_string()))?;
    Ok(SecondFactorBegun {
        secret: shared.to_base32(),
        address,
    })
}

/// Confirms a second factor by its first code; from then on it is asked for. Gives the codes for the day the phone is lost.
pub fn confirm(office: &Office, actor: Actor, sent: &Code) -> Result<RecoveryCodes> {
    let codes = (0..RECOVERY_CODES)
        .map(|_| recovery_code())
        .collect::<Result<Vec<_>>>()?;
    let hashes = codes
        .iter()
        .map(|code| hash_password(&plain_code(code)))
        .collect::<Result<Vec<_>>>()?;
    let now = office.now();
    office.db.write_shared(|conn| -> Result<()> {
        let user = person(conn, actor.user_id)?;
        let row = second_factor_read(conn, user.id)?;
        let row = row.filter(|row| row.confirmed_at.is_none());
        let row = row.ok_or_else(|| Error::state("begin a second factor first".into()))?;
        if !takes(office, conn, &row, &sent.code)? {
            return Err(Error::refused(
                "/code",
                "this is not the code that the phone shows now: look at its clock, and type the next one",
            ));
        }
        second_factor_confirm(conn, user.id, &hashes, now)?;
        AccountMail::new(office, What::SecondFactorOn, Reader::User(user.id)).put_out(conn, now)
    })?;
    tracing::info!(user = actor.user_id, "second factor set up");
    Ok(RecoveryCodes { codes })
}

/// Takes one's own second factor away.
pub fn remove(office: &Office, actor: Actor, sent: &SecondFactorRemoval) -> Result<()> {
    let user = proved_again(office, actor, "/password", &sent.password)?;
    match ask(office, user.id, Some(&sent.code)) {
        Err(Error::NeedsCode(why)) => return Err(Error::refused("/code", why)),
        other => other?,
    }
    let now = office.now();
    office.db.write_shared(|conn| -> Result<()> {
        second_factor_remove(conn, user.id)?;
        AccountMail::new(office, What::SecondFactorOff, Reader::User(user.id)).put_out(conn, now)
    })?;
    tracing::info!(user = user.id, "second factor taken away");
    Ok(())
}

/// Asks a user whose password was right for the code of their second factor. Nothing is asked of who has none.
pub fn ask(office: &Office, user_id: i64, code: Option<&str>) -> Result<()> {
    let (factor, left) = office.db.read(|conn| -> Result<_> {
        let factor = confirmed(conn, user_id)?;
        Ok((factor, recovery_codes_unused(conn, user_id)?))
    })?;
    let Some(factor) = factor else {
        return Ok(());
    };
    let Some(code) = code.map(str::trim).filter(|code| !code.is_empty()) else {
        return Err(Error::NeedsCode(
            "send the code that your phone shows as code, too",
        ));
    };
    // Hashing is slow: it is done before anything is written.
    let on_paper = plain_code(code);
    let on_paper = (on_paper.len() == RECOVERY_CHARS)
        .then(|| {
            left.iter()
                .find(|(_, hash)| password_fits(&on_paper, Some(hash)))
        })
        .flatten();
    // What is taken is written, so that no code is good twice.
    let taken = office.db.write_shared(|conn| match on_paper {
        Some((id, _)) => Ok(recovery_code_use(conn, *id, office.now())?),
        None => takes(office, conn, &factor, code),
    })?;
    if taken {
        Ok(())
    } else {
        Err(Error::NeedsCode(
            "the code is wrong, or was used before: type the one that the phone shows now",
        ))
    }
}

/// Seals anew, under the newest key, what lies under an older one: that one can be taken away then.
pub fn seal_anew(office: &Office) -> store::Result<usize> {
    let newest = office.tokens.newest();
    let old = office
        .db
        .read(|conn| second_factors_not_under(conn, newest))?;
    let mut done = 0;
    for row in old {
        let plain = office
            .tokens
            .unseal(&row.sealed_under, row.user_id, &row.sealed);
        let Some(sealed) = plain.and_then(|plain| office.tokens.seal(row.user_id, &plain)) else {
            tracing::warn!(
                user = row.user_id,
                "a second factor is sealed under a key that is gone: it must be set up anew"
            );
            continue;
        };
        office
            .db
            .write_shared(|conn| second_factor_reseal(conn, &row, &sealed, newest))?;
        done += 1;
    }
    Ok(done)
}

fn confirmed(conn: &mut Conn, user_id: i64) -> Result<Option<SecondFactorRow>> {
    let row = second_factor_read(conn, user_id)?;
    Ok(row.filter(|row| row.confirmed_at.is_some()))
}

/// Takes a code of the phone, where it is right now and none of its step was taken before.
fn takes(office: &Office, conn: &mut Conn, row: &SecondFactorRow, code: &str) -> Result<bool> {
    let plain = office
        .tokens
        .unseal(&row.sealed_under, row.user_id, &row.sealed)
        .ok_or_else(|| unusable("a second factor is sealed under a key that is gone"))?;
    let digits: String = code.chars().filter(|c| !c.is_whitespace()).collect();
    let seconds = u64::try_from(office.now().utc().timestamp()).unwrap_or(0);
    let Some(step) = totp(plain).check(&digits, seconds) else {
        return Ok(false);
    };
    let step = i64::try_from(step).unwrap_or(i64::MAX);
    Ok(second_factor_step(conn, row.user_id, step)?)
}

/// RFC 6238 with what every program on a phone knows: HMAC-SHA-1, six digits, steps of 30 s; one step before and after is
/// taken, for clocks that differ (section 5.2).
fn settings(secret: Vec<u8>) -> Builder {
    Builder::new()
        .with_algorithm(Algorithm::SHA1)
        .with_digits(6)
        .with_skew(1)
        .with_step_duration(30)
        .with_secret(secret)
}

fn totp(secret: Vec<u8>) -> Totp {
    settings(secret).build_noncompliant()
}

/// 50 random bits in two groups of five letters and digits that nobody mistakes for each other.
fn recovery_code() -> Result<String> {
    let text = random_code(RECOVERY_CHARS)?;
    let (first, second) = text.split_at(RECOVERY_CHARS / 2);
    Ok(format!("{first}-{second}"))
}

fn unusable(why: &str) -> Error {
    store::Error::Unreadable(why.to_owned()).into()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: RFC 6238 appendix B, the vectors for HMAC-SHA-1, of which the last six digits are what six digits show (the
    /// code is the number modulo ten to the digits, RFC 4226 section 5.3).
    #[test]
    fn the_vectors_of_rfc_6238_come_out() {
        let totp = totp(b"12345678901234567890".to_vec());
        for (seconds, code) in [
            (59, "94287082"),
            (1_111_111_109, "07081804"),
            (1_111_111_111, "14050471"),
            (1_234_567_890, "89005924"),
            (2_000_000_000, "69279037"),
            (20_000_000_000, "65353130"),
        ] {
            assert_eq!(totp.generate(seconds).to_string(), code[2..], "{seconds}");
            assert_eq!(totp.check(&code[2..], seconds), Some(seconds / 30));
        }
    }

    #[test]
    fn one_step_before_and_after_is_taken_and_no_other() {
        let totp = totp(b"12345678901234567890".to_vec());
        let code = totp.generate(3000).to_string();
        for (seconds, taken) in [
            (2940, false),
            (2970, true),
            (3000, true),
            (3059, true),
            (3060, false),
        ] {
            assert_eq!(totp.check(&code, seconds).is_some(), taken, "{seconds}");
        }
    }

    #[test]
    fn a_recovery_code_reads_however_it_is_typed() {
        let code = recovery_code().unwrap();
        assert_eq!(code.len(), 11);
        let typed = code.to_lowercase().replace('-', " ");
        assert_eq!(plain_code(&code), plain_code(&typed));
    }
}
