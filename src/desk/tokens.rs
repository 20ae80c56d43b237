//! Access tokens (RFC 7519) with one pinned algorithm, refresh tokens, and the secrets that sessions are made of.

mod keys;

use std::path::Path;

use aws_lc_rs::aead::{Aad, NONCE_LEN, Nonce};
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use chrono::{DateTime, TimeDelta, Utc};
use jsonwebtoken::{Algorithm, Header, Validation};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

pub use keys::KeyError;
use keys::{Key, read_keys};

const ISSUER: &str = "roundhand";
const AUDIENCE: &str = "roundhand-api";
/// What the token is, in its header (RFC 8725 section 3.11; the word is that of RFC 9068), so that no other kind of token
/// under the same key is taken for it.
const TYPE: &str = "at+jwt";

/// How long an access token holds.
pub const ACCESS_LIFE: TimeDelta = TimeDelta::minutes(15);
/// By how much the clocks of instances may differ.
const CLOCKS_DIFFER: TimeDelta = TimeDelta::seconds(30);

/// Signs and checks access tokens, and makes refresh tokens. The newest key signs; the older ones still check what they
/// signed, so that keys change without signing anybody out.
pub struct Tokens {
    keys: Vec<Key>,
}

/// Whom an access token was given to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Holder {
    /// The user.
    pub user_id: i64,
    /// The family of the session it was given in.
    pub session: String,
}

#[derive(Serialize, Deserialize)]
struct Claims {
    iss: String,
    aud: String,
    sub: String,
    sid: String,
    iat: i64,
    nbf: i64,
    exp: i64,
    jti: String,
}

impl Tokens {
    /// Tokens under one key of at least 32 bytes (RFC 7518 section 3.2).
    pub fn new(key: &[u8]) -> Self {
        Self::of(&[key])
    }

    /// Tokens under these keys, of which the first signs.
    pub fn of(keys: &[&[u8]]) -> Self {
        Self {
            keys: keys.iter().map(|key| Key::of(key)).collect(),
        }
    }

    /// Tokens under the keys in `path`, one a line, the newest first; makes the file (readable by its owner alone) where
    /// `make` allows and there is none.
    pub fn from_file(path: &Path, make: bool) -> Result<Self, KeyError> {
        let keys = read_keys(path, make)?;
        Ok(Self::of(
            &keys.iter().map(Vec::as_slice).collect::<Vec<_>>(),
        ))
    }

    /// An access token for a user in a session, good from `now` for [`ACCESS_LIFE`].
    pub fn issue(&self, to: &Holder, now: DateTime<Utc>) -> Option<String> {
        let claims = Claims {
            iss: ISSUER.into(),
            aud: AUDIENCE.into(),
            sub: to.user_id.to_string(),
            sid: to.session.clone(),
            iat: now.timestamp(),
            nbf: now.timestamp(),
            exp: (now + ACCESS_LIFE).timestamp(),
            jti: uuid::Uuid::new_v4().to_string(),
        };
        let key = self.keys.first()?;
        let header = Header {
            typ: Some(TYPE.into()),
            kid: Some(key.id.clone()),
            ..Header::new(Algorithm::HS256)
        };
        jsonwebtoken::encode(&header, &claims, &key.sign).ok()
    }

    /// Whom an access token was given to, where it holds at `now`; else why it does not.
    pub fn holder(&self, token: &str, now: DateTime<Utc>) -> Result<Holder, &'static str> {
        const NOT_OURS: &str = "the access token does not hold";
        let header = jsonwebtoken::decode_header(token).map_err(|_| NOT_OURS)?;
        if header.typ.as_deref() != Some(TYPE) {
            return Err(NOT_OURS);
        }
        let key = header.kid.and_then(|id| self.key(&id)).ok_or(NOT_OURS)?;
        let mut rules = Validation::new(Algorithm::HS256);
        rules.set_issuer(&[ISSUER]);
        rules.set_audience(&[AUDIENCE]);
        rules.set_required_spec_claims(&["iss", "aud", "sub", "exp", "nbf"]);
        // The service's own clock judges the times, below.
        rules.validate_exp = false;
        rules.validate_nbf = false;
        let claims = jsonwebtoken::decode::<Claims>(token, &key.check, &rules)
            .map_err(|_| NOT_OURS)?
            .claims;
        if claims.exp <= now.timestamp() {
            return Err("the access token has expired");
        }
        if claims.nbf > (now + CLOCKS_DIFFER).timestamp() {
            return Err("the access token does not hold yet");
        }
        Ok(Holder {
            user_id: claims.sub.parse().map_err(|_| NOT_OURS)?,
            session: claims.sid,
        })
    }

    /// The id of the key under which new refresh tokens are made.
    pub fn newest(&self) -> &str {
        self.keys.first().map_or("", |key| &key.id)
    }

    /// The refresh token of a generation of a family under a key: the same whenever it is asked for, so that an answer
    /// that was lost can be given again, though only its digest is kept. None where the key is gone.
    pub fn refresh_token(&self, key_id: &str, family: &str, generation: i64) -> Option<String> {
        let key = self.key(key_id)?;
        let text = format!("{family}\0{generation}");
        jsonwebtoken::crypto::sign(text.as_bytes(), &key.refresh, Algorithm::HS256).ok()
    }

    /// The secret of a mail that is good once, made from its nonce under a key: the same whenever the mail goes out. None
    /// where the key is gone.
    pub fn single_use_secret(&self, key_id: &str, nonce: &str) -> Option<String> {
        let key = self.key(key_id)?;
        jsonwebtoken::crypto::sign(nonce.as_bytes(), &key.single_use, Algorithm::HS256).ok()
    }

    /// Seals what must be read again (AES-256-GCM, NIST SP 800-38D) under the newest key, for one user.
    pub fn seal(&self, user_id: i64, plain: &[u8]) -> Option<Vec<u8>> {
        let key = self.keys.first()?.seal.as_ref()?;
        let mut text = plain.to_vec();
        let nonce = key
            .seal_in_place_append_tag(Aad::from(user_id.to_be_bytes()), &mut text)
            .ok()?;
        let mut sealed = nonce.as_ref().to_vec();
        sealed.append(&mut text);
        Some(sealed)
    }

    /// What was sealed for a user under a key; none where it was changed, is somebody else's, or the key is gone.
    pub fn unseal(&self, key_id: &str, user_id: i64, sealed: &[u8]) -> Option<Vec<u8>> {
        let key = self.key(key_id)?.seal.as_ref()?;
        let (nonce, text) = sealed.split_at_checked(NONCE_LEN)?;
        let nonce = Nonce::try_assume_unique_for_key(nonce).ok()?;
        let mut text = text.to_vec();
        let plain = key
            .open_in_place(nonce, Aad::from(user_id.to_be_bytes()), &mut text)
            .ok()?;
        Some(plain.to_vec())
    }

    fn key(&self, id: &str) -> Option<&Key> {
        self.keys.iter().find(|key| key.id == id)
    }
}

/// 256 random bits in base64url: a page session, a key.
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
mod tests;
