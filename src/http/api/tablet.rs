//! The crew's tablet: its day to take along, and its outbox.

use actix_web::http::header::EntityTag;
use actix_web::{HttpRequest, HttpResponse, web};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use utoipa::{IntoParams, OpenApi, ToSchema};

use crate::desk::Permit;
use crate::desk::access::{SeeDay, SeeSent, WorkOrders};
use crate::desk::tablet::{
    OutboxTaken, OutboxTold, SentView, TabletDay, outbox_take, sent_list, tablet_day,
};
use crate::http::answer::{self, List};
use crate::http::problem::Kind;
use crate::http::read::{Body, Id, ListQuery, Listing, Query};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};
use crate::store::tablet_events::{Outcome, SentFilter};
use crate::store::{Instant, columns};

#[derive(OpenApi)]
#[openapi(paths(day, take, sent))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/tablet", "GET").route(web::get().to(day)))
        .service(
            at("/tablet/events", "GET, POST")
                .route(web::get().to(sent))
                .route(web::post().to(take)),
        );
}

/// Whose day a tablet asks for.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct DayQuery {
    /// The crew; without one, the crews there are to choose from.
    #[param(value_type = Option<i64>)]
    crew_id: Option<Id>,
}

/// The day, and when it was read.
#[derive(Serialize, ToSchema)]
#[schema(as = TabletDayNow)]
struct DayNow {
    /// The office's clock.
    now: Instant,
    #[serde(flatten)]
    day: TabletDay,
}

/// The day of a crew as its tablet takes it along: round, people, courts, stores, tools, and what keeps courts shut. The
/// `ETag` is of the day without the clock: nothing is sent again that the tablet has.
#[utoipa::path(get, path = "/sites/{site_id}/tablet", tag = "tablet",
    params(("site_id" = i64, Path), DayQuery,
        ("If-None-Match" = Option<String>, Header, description = "the ETag of the day that the tablet has")),
    responses((status = 200, body = DayNow), (status = 304, description = "The tablet has it")))]
async fn day(
    office: State,
    permit: Permit<SeeDay>,
    query: Query<DayQuery>,
    req: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let crew_id = query.0.crew_id.map(|id| id.0);
    let (day, now) = at_the_desk(&office, move |o| {
        Ok((tablet_day(o, &permit, crew_id)?, o.now()))
    })
    .await?;
    let text = serde_json::to_vec(&day).map_err(|e| Problem::new(Kind::Failed, e.to_string()))?;
    let tag = EntityTag::new_strong(columns::hex(&Sha256::digest(&text)[..16]));
    let (mut answer, is_known) = answer::tagged(&req, tag, "no-store");
    if is_known {
        return Ok(answer.finish());
    }
    Ok(answer.json(DayNow { now, day }))
}

/// Takes what a tablet kept while it had no signal. Each event is answered on its own: `taken`; `noted`, where it could not be
/// done any more and stands with its order for the manager to see; or `refused`, with the fields and the mend: it is kept, and
/// is sent anew under another key that names it in `mends`. Whatever comes twice gets its first answer.
#[utoipa::path(post, path = "/sites/{site_id}/tablet/events", tag = "tablet", params(("site_id" = i64, Path)),
    request_body = OutboxTold,
    responses((status = 200, body = OutboxTaken), (status = 422, description = "Too many at once, or a date that no calendar has")))]
async fn take(
    office: State,
    permit: Permit<WorkOrders>,
    Body(told): Body<OutboxTold>,
) -> Result<HttpResponse, Problem> {
    let taken = at_the_desk(&office, move |o| outbox_take(o, &permit, &told)).await?;
    Ok(HttpResponse::Ok().json(taken))
}

/// Which of what was sent a list shows.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct SentQuery {
    /// With this outcome only: `refused` is what a tablet still has to mend, or never did.
    #[param(inline)]
    outcome: Option<Outcome>,
    /// `true`: only what nothing that was sent later mends.
    #[serde(default)]
    unmended: bool,
}

/// What the site's tablets sent, as it came, and what became of it.
#[utoipa::path(get, path = "/sites/{site_id}/tablet/events", tag = "tablet",
    params(("site_id" = i64, Path), SentQuery, ListQuery), responses((status = 200, body = List<SentView>)))]
async fn sent(
    office: State,
    permit: Permit<SeeSent>,
    req: HttpRequest,
    listing: Listing<SentQuery>,
) -> Result<HttpResponse, Problem> {
    let (asked, page) = (listing.filter, listing.page);
    let filter = SentFilter {
        outcome: asked.outcome,
        unmended: asked.unmended,
        learned: None,
    };
    let rows = at_the_desk(&office, move |o| sent_list(o, &permit, filter, page)).await?;
    Ok(answer::list(&req, rows))
}
