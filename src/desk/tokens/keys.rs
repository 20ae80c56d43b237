//! The keys that tokens are signed with, and the file they lie in.

use std::path::Path;

use aws_lc_rs::aead::{AES_256_GCM, RandomizedNonceKey};
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use jsonwebtoken::{DecodingKey, EncodingKey};
use sha2::{Digest, Sha256};

use super::random_secret;

/// The least length of a key, bytes (RFC 7518 section 3.2).
const LEAST: usize = 32;

/// Why a key cannot be had.
#[derive(Debug, thiserror::Error)]
pub enum KeyError {
    /// The file cannot be read or written.
    #[error("the token key file {0} cannot be used: {1}")]
    File(String, std::io::Error),
    /// The file does not hold a key.
    #[error(
        "the token key file {0} must hold one key a line, the newest first, each at least 32 bytes in base64url; make one with: openssl rand 32 | basenc --base64url"
    )]
    Short(String),
    /// The machine gives no random bytes.
    #[error("the machine gives no random bytes: {0}")]
    NoRandom(getrandom::Error),
}

/// One key of the file, and what is made of it. Each use has a key of its own, so that no token of one use can be taken
/// for another's.
pub struct Key {
    /// What tells it from the others, in a token's header.
    pub id: String,
    pub sign: EncodingKey,
    pub check: DecodingKey,
    pub refresh: EncodingKey,
    pub single_use: EncodingKey,
    /// For what must be read again; none where the library refuses, which it has no reason to.
    pub seal: Option<RandomizedNonceKey>,
}

impl Key {
    pub fn of(key: &[u8]) -> Self {
        let access = derived("access tokens", key);
        Self {
            id: URL_SAFE_NO_PAD.encode(&derived("key id", key)[..9]),
            sign: EncodingKey::from_secret(&access),
            check: DecodingKey::from_secret(&access),
            refresh: EncodingKey::from_secret(&derived("refresh tokens", key)),
            single_use: EncodingKey::from_secret(&derived("single-use secrets", key)),
            seal: RandomizedNonceKey::new(&AES_256_GCM, &derived("sealed secrets", key)).ok(),
        }
    }
}

/// A key for one use: SHA-256 of the use and the key, which is random and of one length class, so that it can be told from
/// no other.
fn derived(for_what: &str, key: &[u8]) -> Vec<u8> {
    let mut hash = Sha256::new();
    hash.update(format!("roundhand {for_what}\0"));
    hash.update(key);
    hash.finalize().to_vec()
}

/// The keys of a file, in its order; makes the file with one key where `make` allows and there is none.
pub fn read_keys(path: &Path, make: bool) -> Result<Vec<Vec<u8>>, KeyError> {
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
    let lines = text.lines().map(str::trim).filter(|line| !line.is_empty());
    let keys = lines.map(|line| URL_SAFE_NO_PAD.decode(line.trim_end_matches('=')));
    let keys: Result<Vec<_>, _> = keys.collect();
    match keys {
        Ok(keys) if !keys.is_empty() && keys.iter().all(|key| key.len() >= LEAST) => Ok(keys),
        _ => Err(KeyError::Short(name)),
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
