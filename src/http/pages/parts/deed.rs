//! Buttons that do something: each is a form of its own, which works without script.

use maud::{Markup, html};
use serde::Deserialize;

use crate::http::problem::{Kind, Problem};

/// A button. Its form carries a key of its own, so that a second tap, or sending the page again,
/// is not a second deed.
pub fn button(action: &str, label: &str, is_strong: bool) -> Markup {
    html! {
        form method="post" action=(action) {
            (key())
            button.button.strong[is_strong] type="submit" { (label) }
        }
    }
}

/// The key of a form, which it carries unseen: what it sends is done once.
pub fn key() -> Markup {
    html! { input type="hidden" name="client_key" value=(uuid::Uuid::new_v4()); }
}

/// What such a form sends.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Deed {
    client_key: uuid::Uuid,
}

impl Deed {
    /// The key under which it is done once.
    pub fn key(&self) -> String {
        self.client_key.to_string()
    }
}

/// The key of a form whose fields are read by name; a problem where it is not a UUID.
pub fn key_of(client_key: Option<&String>) -> Result<String, Problem> {
    let key = client_key.and_then(|key| key.parse::<uuid::Uuid>().ok());
    key.map(|key| key.to_string())
        .ok_or_else(|| Problem::new(Kind::Unreadable, "client_key: a UUID is missing"))
}

/// Whether the desk refused a deed because things have moved on; else the problem goes its way.
pub fn too_late<T>(done: Result<T, Problem>) -> Result<Option<T>, Problem> {
    match done {
        Ok(done) => Ok(Some(done)),
        Err(problem) if matches!(problem.kind(), Kind::State | Kind::Stale) => Ok(None),
        Err(problem) => Err(problem),
    }
}
