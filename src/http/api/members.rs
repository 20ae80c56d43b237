//! Who may sign in to a site, and as what.

use actix_web::{HttpRequest, HttpResponse, web};
use utoipa::OpenApi;

use crate::desk::Permit;
use crate::desk::access::{EditUsers, SeeUsers};
use crate::desk::members::{self, Invited, MemberEdit, MemberView, NewMember};
use crate::http::answer::{self, List};
use crate::http::read::{Body, ClientKey, IfMatch, ListQuery, Listing};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};

#[derive(OpenApi)]
#[openapi(paths(list, invite, read, edit, remove, again))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(
        at("/users", "GET, POST")
            .route(web::get().to(list))
            .route(web::post().to(invite)),
    )
    .service(
        at("/users/{user_id}", "GET, PATCH, DELETE")
            .route(web::get().to(read))
            .route(web::patch().to(edit))
            .route(web::delete().to(remove)),
    )
    .service(at("/users/{user_id}/invitation", "POST").route(web::post().to(again)));
}

/// Who may sign in to the site, and as what.
#[utoipa::path(get, path = "/sites/{site_id}/users", tag = "users", params(("site_id" = i64, Path), ListQuery),
    responses((status = 200, body = List<MemberView>)))]
async fn list(
    office: State,
    permit: Permit<SeeUsers>,
    req: HttpRequest,
    listing: Listing,
) -> Result<HttpResponse, Problem> {
    let page = listing.page;
    let rows = at_the_desk(&office, move |o| members::member_list(o, &permit, page)).await?;
    Ok(answer::list(&req, rows))
}

/// Lets somebody sign in to the site. Who is new gets a mail by which they set a password, good once, for seven days; who
/// signs in already, one that says so.
#[utoipa::path(post, path = "/sites/{site_id}/users", tag = "users",
    params(("site_id" = i64, Path), ("Idempotency-Key" = String, Header, description = "a UUID that names this event")),
    request_body = NewMember,
    responses((status = 201, body = Invited), (status = 409, description = "They belong to the site already")))]
async fn invite(
    office: State,
    permit: Permit<EditUsers>,
    key: ClientKey,
    Body(new): Body<NewMember>,
) -> Result<HttpResponse, Problem> {
    let invited = at_the_desk(&office, move |o| {
        members::member_invite(o, &permit, &new, key.0)
    })
    .await?;
    Ok(HttpResponse::Created().json(invited))
}

/// Somebody who may sign in to the site, with their ETag.
#[utoipa::path(get, path = "/sites/{site_id}/users/{user_id}", tag = "users",
    params(("site_id" = i64, Path), ("user_id" = i64, Path)), responses((status = 200, body = MemberView)))]
async fn read(
    office: State,
    permit: Permit<SeeUsers>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let view = at_the_desk(&office, move |o| members::member_read(o, &permit, id)).await?;
    Ok(answer::versioned(&view, view.version))
}

/// Changes somebody's roles at the site.
#[utoipa::path(patch, path = "/sites/{site_id}/users/{user_id}", tag = "users",
    params(("site_id" = i64, Path), ("user_id" = i64, Path), ("If-Match" = String, Header, description = "the ETag that was read")),
    request_body = MemberEdit,
    responses((status = 200, body = MemberView), (status = 409, description = "The site would have no manager")))]
async fn edit(
    office: State,
    permit: Permit<EditUsers>,
    version: IfMatch,
    path: web::Path<(i64, i64)>,
    Body(body): Body<MemberEdit>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let view = at_the_desk(&office, move |o| {
        members::member_edit(o, &permit, id, version.0, &body)
    })
    .await?;
    Ok(answer::versioned(&view, view.version))
}

/// Takes somebody's way in to the site away, at once.
#[utoipa::path(delete, path = "/sites/{site_id}/users/{user_id}", tag = "users",
    params(("site_id" = i64, Path), ("user_id" = i64, Path)),
    responses((status = 204), (status = 409, description = "The site would have no manager")))]
async fn remove(
    office: State,
    permit: Permit<EditUsers>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    at_the_desk(&office, move |o| members::member_remove(o, &permit, id)).await?;
    Ok(HttpResponse::NoContent().finish())
}

/// Sends the invitation of somebody who has not set a password yet once more; the one before is void.
#[utoipa::path(post, path = "/sites/{site_id}/users/{user_id}/invitation", tag = "users",
    params(("site_id" = i64, Path), ("user_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "a UUID that names this event")),
    responses((status = 202, body = Invited), (status = 409, description = "They have set a password")))]
async fn again(
    office: State,
    permit: Permit<EditUsers>,
    key: ClientKey,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let invited = at_the_desk(&office, move |o| {
        members::member_invite_again(o, &permit, id, key.0)
    })
    .await?;
    Ok(HttpResponse::Accepted().json(invited))
}
