//! Incidents and near misses, and who is named to read of them.

use actix_web::{HttpRequest, HttpResponse, web};
use utoipa::OpenApi;

use crate::desk::Permit;
use crate::desk::access::{NameReader, OpenIncident, ReadIncident, TellIncident};
use crate::desk::incidents::{self, IncidentTold, NewReader, ReaderView, WholeIncident};
use crate::http::answer::{self, List};
use crate::http::read::{Body, ClientKey, ListQuery, Listing};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};
use crate::store::incidents::IncidentRow;

#[derive(OpenApi)]
#[openapi(paths(list, tell, read, open, reader_list, reader_name, reader_remove))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(
        at("/incidents", "GET, POST")
            .route(web::get().to(list))
            .route(web::post().to(tell)),
    )
    .service(at("/incidents/{incident_id}", "GET").route(web::get().to(read)))
    .service(at("/incidents/{incident_id}/open", "POST").route(web::post().to(open)))
    .service(
        at("/incident-readers", "GET, POST")
            .route(web::get().to(reader_list))
            .route(web::post().to(reader_name)),
    )
    .service(at("/incident-readers/{reader_id}", "DELETE").route(web::delete().to(reader_remove)));
}

/// The site's incidents and near misses: what, where and when. For its managers, and who is named for them.
#[utoipa::path(get, path = "/sites/{site_id}/incidents", tag = "incidents",
    params(("site_id" = i64, Path), ListQuery), responses((status = 200, body = List<IncidentRow>)))]
async fn list(
    office: State,
    permit: Permit<ReadIncident>,
    req: HttpRequest,
    listing: Listing,
) -> Result<HttpResponse, Problem> {
    let page = listing.page;
    let rows = at_the_desk(&office, move |o| incidents::incident_list(o, &permit, page)).await?;
    Ok(answer::list(&req, rows))
}

/// Tells an incident or near miss. Whoever is hurt comes first: call the local emergency number. The site's managers are
/// mailed at once that there is one, where and when.
#[utoipa::path(post, path = "/sites/{site_id}/incidents", tag = "incidents",
    params(("site_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = IncidentTold,
    responses((status = 201, body = IncidentRow), (status = 422, description = "Refused as it stands")))]
async fn tell(
    office: State,
    permit: Permit<TellIncident>,
    key: ClientKey,
    Body(told): Body<IncidentTold>,
) -> Result<HttpResponse, Problem> {
    let incident = at_the_desk(&office, move |o| {
        incidents::incident_tell(o, &permit, key.0, &told)
    })
    .await?;
    Ok(HttpResponse::Created().json(incident))
}

/// One incident whole, for those named for it alone. Each reading is noted in the audit trail.
#[utoipa::path(get, path = "/sites/{site_id}/incidents/{incident_id}", tag = "incidents",
    params(("site_id" = i64, Path), ("incident_id" = i64, Path)),
    responses((status = 200, body = WholeIncident)))]
async fn read(
    office: State,
    permit: Permit<ReadIncident>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let incident = at_the_desk(&office, move |o| incidents::incident_read(o, &permit, id)).await?;
    Ok(HttpResponse::Ok().json(incident))
}

/// Takes notice of an incident: the managers' pages do not call for it any more.
#[utoipa::path(post, path = "/sites/{site_id}/incidents/{incident_id}/open", tag = "incidents",
    params(("site_id" = i64, Path), ("incident_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    responses((status = 200, body = IncidentRow)))]
async fn open(
    office: State,
    permit: Permit<OpenIncident>,
    path: web::Path<(i64, i64)>,
    key: ClientKey,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let incident = at_the_desk(&office, move |o| {
        incidents::incident_open(o, &permit, id, key.0)
    })
    .await?;
    Ok(HttpResponse::Ok().json(incident))
}

/// Who is named to read of incidents.
#[utoipa::path(get, path = "/sites/{site_id}/incident-readers", tag = "incidents",
    params(("site_id" = i64, Path), ListQuery), responses((status = 200, body = List<ReaderView>)))]
async fn reader_list(
    office: State,
    permit: Permit<NameReader>,
    req: HttpRequest,
    listing: Listing,
) -> Result<HttpResponse, Problem> {
    let page = listing.page;
    let rows = at_the_desk(&office, move |o| incidents::reader_list(o, &permit, page)).await?;
    Ok(answer::list(&req, rows))
}

/// Names a user of the site to read of incidents.
#[utoipa::path(post, path = "/sites/{site_id}/incident-readers", tag = "incidents",
    params(("site_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = NewReader,
    responses((status = 201, body = ReaderView), (status = 409, description = "They are named already"),
        (status = 422, description = "Nobody with this id signs in to the site")))]
async fn reader_name(
    office: State,
    permit: Permit<NameReader>,
    key: ClientKey,
    Body(new): Body<NewReader>,
) -> Result<HttpResponse, Problem> {
    let reader = at_the_desk(&office, move |o| {
        incidents::reader_name(o, &permit, key.0, &new)
    })
    .await?;
    Ok(HttpResponse::Created().json(reader))
}

/// Takes somebody off who was named.
#[utoipa::path(delete, path = "/sites/{site_id}/incident-readers/{reader_id}", tag = "incidents",
    params(("site_id" = i64, Path), ("reader_id" = i64, Path)), responses((status = 204)))]
async fn reader_remove(
    office: State,
    permit: Permit<NameReader>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    at_the_desk(&office, move |o| incidents::reader_remove(o, &permit, id)).await?;
    Ok(HttpResponse::NoContent().finish())
}
