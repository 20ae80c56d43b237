//! `roundhand openapi`: prints the document that `api-spec/openapi.json` holds.

use std::process::ExitCode;

use super::Told;

/// Prints the OpenAPI document.
pub fn run() -> Told {
    print!("{}", crate::http::api::document::text());
    Ok(ExitCode::SUCCESS)
}
