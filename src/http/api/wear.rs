//! How tools wear: what their parts were used, what counts of what was measured, and when they will be worn out.

use actix_web::{HttpRequest, HttpResponse, web};
use chrono::NaiveDate;
use serde::Serialize;
use utoipa::{OpenApi, ToSchema};

use crate::desk::Permit;
use crate::desk::access::{ChangePart, CheckTool, JudgeReading, SeeTools};
use crate::desk::wear::{
    self, PartChangeTold, PartChanged, ToolRetireTold, UseTold, VerdictTold, WearOutlook, WearView,
    WearWhole,
};
use crate::http::answer::{self, List};
use crate::http::read::{Body, ClientKey, ListQuery, Listing};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};
use crate::store::tools::{ReadingRow, ToolRow};
use crate::store::wear::{DoubtedReading, PartUseRow, ReadingVerdict};

#[derive(OpenApi)]
#[openapi(paths(now, whole, uses, tell, confirm, strike, change, retire, outlook))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/wear", "GET").route(web::get().to(now)))
        .service(at("/wear-parts/{wear_part_id}/wear", "GET").route(web::get().to(whole)))
        .service(
            at("/wear-parts/{wear_part_id}/uses", "GET, POST")
                .route(web::get().to(uses))
                .route(web::post().to(tell)),
        )
        .service(at("/wear-parts/{wear_part_id}/change", "POST").route(web::post().to(change)))
        .service(at("/tools/{tool_id}/retire", "POST").route(web::post().to(retire)))
        .service(at("/wear/outlook", "GET").route(web::get().to(outlook)))
        .service(at("/readings/{reading_id}/confirm", "POST").route(web::post().to(confirm)))
        .service(at("/readings/{reading_id}/strike", "POST").route(web::post().to(strike)));
}

/// How worn the site's parts are.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = WearOfSite)]
struct Wear {
    /// The site's own date.
    on: NaiveDate,
    /// The measured parts that are fitted, the most urgent first.
    parts: Vec<WearView>,
    /// The readings that wait to be confirmed or struck, oldest first.
    doubted: Vec<DoubtedReading>,
}

/// How worn the measured parts of the site's tools are, and when they will be worn out; and the readings that are doubted.
#[utoipa::path(get, path = "/sites/{site_id}/wear", tag = "wear",
    params(("site_id" = i64, Path)), responses((status = 200, body = Wear)))]
async fn now(office: State, permit: Permit<SeeTools>) -> Result<HttpResponse, Problem> {
    let now = at_the_desk(&office, move |o| wear::wear_now(o, &permit)).await?;
    Ok(HttpResponse::Ok().json(Wear {
        on: now.on,
        parts: now.parts.into_iter().map(|one| one.wear).collect(),
        doubted: now.doubted,
    }))
}

/// A measured part's whole life: every reading, what was expected at each, and what is to come.
#[utoipa::path(get, path = "/sites/{site_id}/wear-parts/{wear_part_id}/wear", tag = "wear",
    params(("site_id" = i64, Path), ("wear_part_id" = i64, Path)),
    responses((status = 200, body = WearWhole), (status = 409, description = "It is judged by eye")))]
async fn whole(
    office: State,
    permit: Permit<SeeTools>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let whole = at_the_desk(&office, move |o| wear::wear_whole(o, &permit, id)).await?;
    Ok(HttpResponse::Ok().json(whole))
}

/// What a part was used, by orders and by hand, as it was booked.
#[utoipa::path(get, path = "/sites/{site_id}/wear-parts/{wear_part_id}/uses", tag = "wear",
    params(("site_id" = i64, Path), ("wear_part_id" = i64, Path), ListQuery),
    responses((status = 200, body = List<PartUseRow>)))]
async fn uses(
    office: State,
    permit: Permit<SeeTools>,
    req: HttpRequest,
    path: web::Path<(i64, i64)>,
    listing: Listing,
) -> Result<HttpResponse, Problem> {
    let ((_, id), page) = (path.into_inner(), listing.page);
    let rows = at_the_desk(&office, move |o| wear::part_use_list(o, &permit, id, page)).await?;
    Ok(answer::list(&req, rows))
}

/// Adds use that no order knows of.
#[utoipa::path(post, path = "/sites/{site_id}/wear-parts/{wear_part_id}/uses", tag = "wear",
    params(("site_id" = i64, Path), ("wear_part_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = UseTold,
    responses((status = 201, body = PartUseRow), (status = 422, description = "Refused as it stands")))]
async fn tell(
    office: State,
    permit: Permit<CheckTool>,
    key: ClientKey,
    path: web::Path<(i64, i64)>,
    Body(told): Body<UseTold>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let used = at_the_desk(&office, move |o| {
        wear::part_use_tell(o, &permit, id, key.0, &told)
    })
    .await?;
    Ok(HttpResponse::Created().json(used))
}

/// Confirms a reading that is doubted: it counts from now on.
#[utoipa::path(post, path = "/sites/{site_id}/readings/{reading_id}/confirm", tag = "wear",
    params(("site_id" = i64, Path), ("reading_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = VerdictTold,
    responses((status = 200, body = ReadingRow), (status = 409, description = "It is not doubted"),
        (status = 422, description = "Refused as it stands")))]
async fn confirm(
    office: State,
    permit: Permit<JudgeReading>,
    key: ClientKey,
    path: web::Path<(i64, i64)>,
    Body(told): Body<VerdictTold>,
) -> Result<HttpResponse, Problem> {
    judge(&office, permit, key, &path, told, ReadingVerdict::Confirmed).await
}

/// Strikes a reading that is wrong, with the reason: it counts no more, and stays to be seen.
#[utoipa::path(post, path = "/sites/{site_id}/readings/{reading_id}/strike", tag = "wear",
    params(("site_id" = i64, Path), ("reading_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = VerdictTold,
    responses((status = 200, body = ReadingRow), (status = 409, description = "It was struck before"),
        (status = 422, description = "No reason is told")))]
async fn strike(
    office: State,
    permit: Permit<JudgeReading>,
    key: ClientKey,
    path: web::Path<(i64, i64)>,
    Body(told): Body<VerdictTold>,
) -> Result<HttpResponse, Problem> {
    judge(&office, permit, key, &path, told, ReadingVerdict::Struck).await
}

async fn judge(
    office: &State,
    permit: Permit<JudgeReading>,
    key: ClientKey,
    path: &web::Path<(i64, i64)>,
    told: VerdictTold,
    verdict: ReadingVerdict,
) -> Result<HttpResponse, Problem> {
    let (_, id) = **path;
    let row = at_the_desk(office, move |o| {
        wear::reading_judge(o, &permit, id, verdict, key.0, &told)
    })
    .await?;
    Ok(HttpResponse::Ok().json(row))
}

/// Changes a part for a new one, from the shelf or at a cost that is told. What is left of the old one's cost is booked on
/// the courts it served; the new one's is carried over its life, or booked at once below what the site sets.
#[utoipa::path(post, path = "/sites/{site_id}/wear-parts/{wear_part_id}/change", tag = "wear",
    params(("site_id" = i64, Path), ("wear_part_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = PartChangeTold,
    responses((status = 200, body = PartChanged), (status = 409, description = "It was taken off before"),
        (status = 422, description = "Refused as it stands")))]
async fn change(
    office: State,
    permit: Permit<ChangePart>,
    key: ClientKey,
    path: web::Path<(i64, i64)>,
    Body(told): Body<PartChangeTold>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let changed = at_the_desk(&office, move |o| {
        wear::part_change(o, &permit, id, key.0, &told)
    })
    .await?;
    Ok(HttpResponse::Ok().json(changed))
}

/// Retires a tool: no plan takes it any more, and its parts are taken off.
#[utoipa::path(post, path = "/sites/{site_id}/tools/{tool_id}/retire", tag = "wear",
    params(("site_id" = i64, Path), ("tool_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = ToolRetireTold,
    responses((status = 200, body = ToolRow), (status = 409, description = "It was retired before"),
        (status = 422, description = "Refused as it stands")))]
async fn retire(
    office: State,
    permit: Permit<ChangePart>,
    key: ClientKey,
    path: web::Path<(i64, i64)>,
    Body(told): Body<ToolRetireTold>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let tool = at_the_desk(&office, move |o| {
        wear::tool_retired(o, &permit, id, key.0, &told)
    })
    .await?;
    Ok(HttpResponse::Ok().json(tool))
}

/// What is to come: how long parts last, what is to be ordered from whom and when, what half a year takes, and which of equal
/// tools takes the heavier share.
#[utoipa::path(get, path = "/sites/{site_id}/wear/outlook", tag = "wear",
    params(("site_id" = i64, Path)), responses((status = 200, body = WearOutlook)))]
async fn outlook(office: State, permit: Permit<SeeTools>) -> Result<HttpResponse, Problem> {
    let outlook = at_the_desk(&office, move |o| wear::wear_outlook(o, &permit)).await?;
    Ok(HttpResponse::Ok().json(outlook))
}
