//! What a client sent once is done once: a second sending of the same key gets the first answer.

use serde::Serialize;
use serde::de::DeserializeOwned;
use sha2::{Digest, Sha256};

use super::pictures::name_waiting;
use super::{Error, Result};
use crate::store::idempotency::{Given, answer_given, answer_keep};
use crate::store::{Scope, Tx, columns};

/// A request that carries the client's own key.
#[derive(Clone, Debug)]
pub struct Once {
    /// The client's UUID.
    pub client_key: String,
    /// Which operation, with the ids in its path.
    pub operation: String,
    /// SHA-256 over what was asked.
    pub request_digest: Vec<u8>,
}

impl Once {
    /// A request for `operation` with `body` under `client_key`.
    pub fn new(client_key: String, operation: String, body: &impl Serialize) -> Result<Self> {
        let body = columns::json(body)?;
        Ok(Self {
            client_key,
            operation,
            request_digest: Sha256::digest(body).to_vec(),
        })
    }

    /// Does `work` unless it was done before under this key; then gives the answer of then.
    /// [`Error::KeyReused`] where the key came before with another request.
    pub fn run<T: Serialize + DeserializeOwned>(
        &self,
        tx: &mut Tx<'_>,
        scope: &Scope,
        work: impl FnOnce(&mut Tx<'_>) -> Result<T>,
    ) -> Result<T> {
        if let Some(given) = answer_given(tx, scope, &self.client_key)? {
            if given.request_digest != self.request_digest || given.operation != self.operation {
                return Err(Error::KeyReused);
            }
            return serde_json::from_str(&given.body)
                .map_err(|e| crate::store::Error::Unreadable(e.to_string()).into());
        }
        let user_id = scope
            .user_id()
            .ok_or(Error::NotSignedIn("a key needs a signed-in user"))?;
        let done = work(tx)?;
        let given = Given {
            request_digest: self.request_digest.clone(),
            operation: self.operation.clone(),
            body: columns::json(&done)?,
        };
        answer_keep(tx, scope, user_id, &self.client_key, &given)?;
        name_waiting(tx, scope, &self.client_key, &self.operation, &given.body)?;
        Ok(done)
    }
}
