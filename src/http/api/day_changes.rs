//! The rest of a day planned anew, and a planned day changed by hand.

use actix_web::{HttpRequest, HttpResponse, web};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, OpenApi, ToSchema};

use crate::desk::Permit;
use crate::desk::access::{PlanDay, SeeDay};
use crate::desk::once::Once;
use crate::desk::plan_runs::rest::asked::{HandChange, ReplanAsk, Replanned, Shown};
use crate::desk::plan_runs::rest::{self, ReplanView};
use crate::http::answer::{self, List};
use crate::http::read::{Body, ClientKey, Day, ListQuery, Listing};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};
use crate::store::day_changes::{ChangeKind, ChangeRow};
use crate::store::{Instant, Paged};

#[derive(OpenApi)]
#[openapi(paths(replan, replans, list, change))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(
        at("/days/{date}/changes", "GET, POST")
            .route(web::get().to(list))
            .route(web::post().to(change)),
    )
    .service(at("/days/{date}/replan", "POST").route(web::post().to(replan)))
    .service(at("/days/{date}/replans", "GET").route(web::get().to(replans)));
}

/// Plans what is left of a day anew: because of what happened, which is written down with it, or of what changed
/// elsewhere. It tells what would change and what that costs; nothing changes before it is taken, with `take`, either
/// at once or by sending the same again with the `shown` of the answer. Work that is done or under way stays as it is,
/// an order that keeps its crew and its work keeps its number, and crews see it at once.
#[utoipa::path(post, path = "/sites/{site_id}/days/{date}/replan", tag = "days",
    params(("site_id" = i64, Path), ("date" = chrono::NaiveDate, Path),
        ("Idempotency-Key" = String, Header, description = "a UUID of the client's own")),
    request_body = ReplanAsk,
    responses((status = 200, body = Replanned),
        (status = 409, description = "Nothing is planned, the date is over, or the day has moved on since"),
        (status = 429, description = "As much is planned as may be at once: Retry-After says how long to wait"),
        (status = 422, description = "Refused as it stands, by field")))]
async fn replan(
    office: State,
    permit: Permit<PlanDay>,
    path: web::Path<(i64, Day)>,
    key: ClientKey,
    Body(body): Body<ReplanAsk>,
) -> Result<HttpResponse, Problem> {
    let (_, Day(date)) = path.into_inner();
    let told = at_the_desk(&office, move |o| {
        let once = Once::new(key.0, format!("days/{date}/replan"), &body)?;
        rest::replan(o, &permit, date, &body, &once)
    })
    .await?;
    Ok(HttpResponse::Ok().json(told))
}

/// Which replans are told.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct Since {
    /// Only those taken after this.
    since: Option<Instant>,
}

/// What changed in a day's plan, oldest first.
#[utoipa::path(get, path = "/sites/{site_id}/days/{date}/replans", tag = "days",
    params(("site_id" = i64, Path), ("date" = chrono::NaiveDate, Path), Since, ListQuery),
    responses((status = 200, body = List<ReplanView>),
        (status = 422, description = "No time the site can have")))]
async fn replans(
    office: State,
    permit: Permit<SeeDay>,
    req: HttpRequest,
    path: web::Path<(i64, Day)>,
    listing: Listing<Since>,
) -> Result<HttpResponse, Problem> {
    let (_, Day(date)) = path.into_inner();
    let (since, page) = (listing.filter.since, listing.page);
    let rows = at_the_desk(&office, move |o| {
        rest::replan_list(o, &permit, date, since, page)
    })
    .await?;
    Ok(answer::list(&req, rows))
}

/// What is decided by hand for a date, all on one page: planning keeps to it.
#[utoipa::path(get, path = "/sites/{site_id}/days/{date}/changes", tag = "days",
    params(("site_id" = i64, Path), ("date" = chrono::NaiveDate, Path)),
    responses((status = 200, body = List<ChangeRow>)))]
async fn list(
    office: State,
    permit: Permit<SeeDay>,
    req: HttpRequest,
    path: web::Path<(i64, Day)>,
) -> Result<HttpResponse, Problem> {
    let (_, Day(date)) = path.into_inner();
    let items = at_the_desk(&office, move |o| rest::changes_read(o, &permit, date)).await?;
    Ok(answer::list(&req, Paged { items, next: None }))
}

/// A visit is changed by hand.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ChangeAsk {
    /// What is decided.
    pub kind: ChangeKind,
    /// The visit's name, as its order tells it; not with `add`.
    pub visit_key: Option<String>,
    /// The crew, of a pin.
    pub crew_id: Option<i64>,
    /// When it starts, of a pin that says so.
    pub start_at: Option<Instant>,
    /// The court, with `add`.
    pub court_id: Option<i64>,
    /// The care task, with `add`.
    pub care_task_id: Option<i64>,
    /// Whether only the cost is wanted: nothing is changed then.
    #[serde(default)]
    pub only_try: bool,
    /// The trial that was shown; where it is given, that one is taken or none.
    pub shown: Option<Shown>,
}

impl ChangeAsk {
    fn as_replan(&self) -> ReplanAsk {
        ReplanAsk {
            changes: vec![HandChange {
                kind: self.kind,
                visit_key: self.visit_key.clone(),
                crew_id: self.crew_id,
                start_at: self.start_at,
                court_id: self.court_id,
                care_task_id: self.care_task_id,
            }],
            take: !self.only_try,
            shown: self.shown.clone(),
            ..ReplanAsk::default()
        }
    }
}

/// Gives a visit of a planned or issued day to a crew, at a time where one is told, drops it, frees it again, or adds
/// one: tells what the rest of the day then costs and what moves, and takes it unless it is only to be tried. Later
/// planning of the date keeps to it. Where it breaks something, the field says what, under `/changes/0`.
#[utoipa::path(post, path = "/sites/{site_id}/days/{date}/changes", tag = "days",
    params(("site_id" = i64, Path), ("date" = chrono::NaiveDate, Path),
        ("Idempotency-Key" = String, Header, description = "a UUID of the client's own")),
    request_body = ChangeAsk,
    responses((status = 200, body = Replanned),
        (status = 409, description = "Nothing is planned, the date is over, or the day has moved on since"),
        (status = 429, description = "As much is planned as may be at once: Retry-After says how long to wait"),
        (status = 422, description = "Refused as it stands, by field")))]
async fn change(
    office: State,
    permit: Permit<PlanDay>,
    path: web::Path<(i64, Day)>,
    key: ClientKey,
    Body(body): Body<ChangeAsk>,
) -> Result<HttpResponse, Problem> {
    let (_, Day(date)) = path.into_inner();
    let told = at_the_desk(&office, move |o| {
        let once = Once::new(key.0, format!("days/{date}/changes"), &body)?;
        rest::replan(o, &permit, date, &body.as_replan(), &once)
    })
    .await?;
    Ok(HttpResponse::Ok().json(told))
}
