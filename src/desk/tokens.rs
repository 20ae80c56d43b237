//! Access tokens (RFC 7519) with one pinned algorithm, and the secrets that sessions are made of.

use std::path::Path;

use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use chrono::{DateTime, TimeDelta, Utc};
use jsonwebtoken::{Algorithm, DecodingKey, EncodingKey, Header, Validation};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

const ISSUER: &str = "roundhand";
const AUDIENCE: &str = "roundhand-api";

/// How long an access token holds.
pub const ACCESS_LIFE: TimeDelta = TimeDelta::minutes(15);

/// Signs and checks access tokens.
pub struct Tokens {
    sign: EncodingKey,
    check: DecodingKey,
}

#[derive(Serialize, Deserialize)]
struct Claims {
    iss: String,
    aud: String,
    sub: String,
    exp: i64,
    jti: String,
}

/// Why a key cannot be had.
#[derive(Debug, thiserror::Error)]
pub enum KeyError {
    /// The file cannot be read or written.
    #[error("the token key file {0} cannot be used: {1}")]
    File(String, std::io::Error),
    /// The file does not hold a key.
    #[error(
        "the token key file {0} must hold at least 32 bytes in base64url; make one with: openssl rand 32 | basenc --base64url > FILE"
    )]
    Short(String),
    /// The machine gives no random bytes.
    #[error("the machine gives no random bytes: {0}")]
    NoRandom(getrandom::Error),
}

impl Tokens {
    /// Tokens signed with HMAC-SHA-256 under `key` (at least 32 bytes, RFC 7518 section 3.2).
    pub fn new(key: &[u8]) -> Self {
        Self {
            sign: EncodingKey::from_secret(key),
            check: DecodingKey::from_secret(key),
        }
    }

    /// Tokens under the key in `path`; makes the file (readable by its owner alone) where
    /// `make` allows and there is none.
    pub fn from_file(path: &Path, make: bool) -> Result<Self, KeyError> {
        let name = path.display().to_string();
        let failed = |e| KeyError::File(name.clone(), e);
        let text = match std::fs::read_to_string(path) {
            Err(e) if e.kind() == std::io::ErrorKind::NotFound && make => {
                let text = random_secret().map_err(KeyError::NoRandom)?;
                write_private(path, &text).map_err(failed)?;
                text
            }
            other => other.map_err(failed)?,
        };
        let key = URL_SAFE_NO_PAD.decode(text.trim().trim_end_matches('='));
        match key {
            Ok(key) if key.len() >= 32 => Ok(Self::new(&key)),
            _ => Err(KeyError::Short(name)),
        }
    }

    /// An access token for a user, good from `now` for [`ACCESS_LIFE`].
    pub fn issue(&self, user_id: i64, now: DateTime<Utc>) -> Option<String> {
        let claims = Claims {
            iss: ISSUER.into(),
            aud: AUDIENCE.into(),
            sub: user_id.to_string(),
            exp: (now + ACCESS_LIFE).timestamp(),
            jti: uuid::Uuid::new_v4().to_string(),
        };
        jsonwebtoken::encode(&Header::new(Algorithm::HS256), &claims, &self.sign).ok()
    }

    /// The user an access token was given to, where it holds at `now`; else why it does not.
    pub fn user_of(&self, token: &str, now: DateTime<Utc>) -> Result<i64, &'static str> {
        let mut rules = Validation::new(Algorithm::HS256);
        rules.set_issuer(&[ISSUER]);
        rules.set_audience(&[AUDIENCE]);
        rules.set_required_spec_claims(&["iss", "aud", "sub", "exp"]);
        // The service's own clock judges the time, below.
        rules.validate_exp = false;
        let claims = jsonwebtoken::decode::<Claims>(token, &self.check, &rules)
            .map_err(|_| "the access token does not hold")?
            .claims;
        if claims.exp <= now.timestamp() {
            return Err("the access token has expired");
        }
        claims
            .sub
            .parse()
            .map_err(|_| "the access token names no user")
    }
}

fn write_private(path: &Path, text: &str) -> std::io::Result<()> {
    use std::io::Write;
    let mut options = std::fs::OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    options.open(path)?.write_all(text.as_bytes())
}

/// 256 random bits in base64url: a refresh token, a page session, a key.
pub fn random_secret() -> Result<String, getrandom::Error> {
    let mut bytes = [0_u8; 32];
    getrandom::fill(&mut bytes)?;
    Ok(URL_SAFE_NO_PAD.encode(bytes))
}

/// What is kept of a secret.
pub fn digest(secret: &str) -> Vec<u8> {
    Sha256::digest(secret.as_bytes()).to_vec()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(seconds: i64) -> DateTime<Utc> {
        DateTime::from_timestamp(seconds, 0).unwrap()
    }

    #[test]
    fn a_token_tells_its_user_until_it_expires() {
        let tokens = Tokens::new(&[7; 32]);
        let token = tokens.issue(41, at(1_000_000)).unwrap();
        assert_eq!(tokens.user_of(&token, at(1_000_000)), Ok(41));
        assert_eq!(tokens.user_of(&token, at(1_000_899)), Ok(41));
        assert_eq!(
            tokens.user_of(&token, at(1_000_900)),
            Err("the access token has expired")
        );
    }

    #[test]
    fn a_token_of_another_key_or_without_a_signature_is_refused() {
        let token = Tokens::new(&[8; 32]).issue(41, at(1_000_000)).unwrap();
        let tokens = Tokens::new(&[7; 32]);
        assert!(tokens.user_of(&token, at(1_000_000)).is_err());
        let mine = tokens.issue(41, at(1_000_000)).unwrap();
        let body = mine.split('.').nth(1).unwrap();
        let none = format!(
            "{}.{body}.",
            URL_SAFE_NO_PAD.encode(r#"{"alg":"none","typ":"JWT"}"#)
        );
        assert!(tokens.user_of(&none, at(1_000_000)).is_err());
    }

    /// Source: RFC 7515, appendix A.1 (HS256): the key, signing input and signature printed there.
    #[test]
    fn the_example_of_rfc_7515_a_1_verifies_and_a_changed_byte_does_not() {
        let key = URL_SAFE_NO_PAD
            .decode("AyM1SysPpbyDfgZld3umj1qzKObwVMkoqQ-EstJQLr_T-1qS0gZH75aKtMN3Yj0iPS4hcgUuTwjAzZr1Z9CAow")
            .unwrap();
        let input = "eyJ0eXAiOiJKV1QiLA0KICJhbGciOiJIUzI1NiJ9.eyJpc3MiOiJqb2UiLA0KICJleHAiOjEzMDA4MTkzODAsDQogImh0dHA6Ly9leGFtcGxlLmNvbS9pc19yb290Ijp0cnVlfQ";
        let signature = "dBjftJeZ4CVP-mB92K27uhbUJU1p1r_wW1gFWFOEjXk";
        let tokens = Tokens::new(&key);
        let verify = |input: &str| {
            jsonwebtoken::crypto::verify(
                signature,
                input.as_bytes(),
                &tokens.check,
                Algorithm::HS256,
            )
        };
        assert!(verify(input).unwrap());
        assert!(!verify(&input.replace("VlfQ", "VlfR")).unwrap());
        // RFC 7519: its `exp` lies in 2011, and it carries neither our issuer nor our audience.
        assert!(
            tokens
                .user_of(&format!("{input}.{signature}"), at(2_000_000_000))
                .is_err()
        );
    }
}
