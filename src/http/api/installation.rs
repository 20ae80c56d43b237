//! What is of the whole installation: its backups.

use actix_web::middleware::from_fn;
use actix_web::{HttpRequest, HttpResponse, web};
use utoipa::OpenApi;

use crate::desk::access::Owner;
use crate::desk::backups::{self, AskedBackup, BackupStanding};
use crate::http::answer::{self, List};
use crate::http::owner::of_an_owner;
use crate::http::read::{ClientKey, ListQuery, Listing};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};
use crate::store::backups::BackupRow;

#[derive(OpenApi)]
#[openapi(paths(standing, list, ask))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(
        at("/installation/backup-standing", "GET")
            .wrap(from_fn(of_an_owner))
            .route(web::get().to(standing)),
    )
    .service(
        at("/installation/backups", "GET, POST")
            .wrap(from_fn(of_an_owner))
            .route(web::get().to(list))
            .route(web::post().to(ask)),
    );
}

/// How it stands with the backups: age of the newest, and the last restore that was proved.
#[utoipa::path(get, path = "/installation/backup-standing", tag = "installation",
    responses((status = 200, body = BackupStanding),
        (status = 403, description = "For owners of the installation")))]
async fn standing(office: State, owner: Owner) -> Result<HttpResponse, Problem> {
    let standing = at_the_desk(&office, move |o| backups::backup_standing(o, &owner)).await?;
    Ok(HttpResponse::Ok().json(standing))
}

/// The backups that were taken or tried, newest first.
#[utoipa::path(get, path = "/installation/backups", tag = "installation", params(ListQuery),
    responses((status = 200, body = List<BackupRow>),
        (status = 403, description = "For owners of the installation")))]
async fn list(
    office: State,
    owner: Owner,
    req: HttpRequest,
    listing: Listing,
) -> Result<HttpResponse, Problem> {
    let page = listing.page;
    let rows = at_the_desk(&office, move |o| backups::backups_read(o, &owner, page)).await?;
    Ok(answer::list(&req, rows))
}

/// Has a backup taken, as soon as a service with the backup folder is free. Sent again under the same
/// key, it says how it stands with that backup.
#[utoipa::path(post, path = "/installation/backups", tag = "installation",
    params(("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    responses((status = 202, body = AskedBackup),
        (status = 403, description = "For owners of the installation"),
        (status = 409, description = "No backup folder is set")))]
async fn ask(office: State, owner: Owner, key: ClientKey) -> Result<HttpResponse, Problem> {
    let asked = at_the_desk(&office, move |o| backups::backup_ask(o, &owner, &key.0)).await?;
    Ok(HttpResponse::Accepted().json(asked))
}
