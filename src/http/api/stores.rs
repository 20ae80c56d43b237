//! Materials and stock moves.

use actix_web::web;
use utoipa::OpenApi;

#[derive(OpenApi)]
#[openapi(paths())]
pub(super) struct Doc;

pub(super) fn routes(_cfg: &mut web::ServiceConfig) {}
