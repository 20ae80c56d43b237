//! The office's HTML pages, server-rendered, one file a page.

use actix_web::web;

/// Every route of the pages.
pub fn routes(_cfg: &mut web::ServiceConfig) {}
