//! Play sessions and closures.

use actix_web::{HttpRequest, HttpResponse, web};
use serde::Deserialize;
use utoipa::{IntoParams, OpenApi};

use crate::desk::Permit;
use crate::desk::access::{EditPlay, SeePlay, TellPlayOver};
use crate::desk::play::told::{NewClosures, NewSessions, PlayOver, SessionEdit};
use crate::desk::play::tournament::{self, Tournament};
use crate::desk::play::{self, PlayDays, Set};
use crate::http::answer::{self, List};
use crate::http::read::{Body, ClientKey, Day, Id, IfMatch, ListQuery, Listing};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};
use crate::store::play::{ClosureRow, SessionRow};

#[derive(OpenApi)]
#[openapi(paths(
    session_list,
    session_add,
    session_read,
    session_edit,
    session_over,
    session_cancel,
    closure_list,
    closure_add,
    closure_cancel,
    tournament_read,
    tournament_tell
))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(
        at("/play-sessions", "GET, POST")
            .route(web::get().to(session_list))
            .route(web::post().to(session_add)),
    )
    .service(
        at("/play-sessions/{session_id}", "GET, PATCH")
            .route(web::get().to(session_read))
            .route(web::patch().to(session_edit)),
    )
    .service(at("/play-sessions/{session_id}/over", "POST").route(web::post().to(session_over)))
    .service(at("/play-sessions/{session_id}/cancel", "POST").route(web::post().to(session_cancel)))
    .service(
        at("/closures", "GET, POST")
            .route(web::get().to(closure_list))
            .route(web::post().to(closure_add)),
    )
    .service(at("/closures/{closure_id}/cancel", "POST").route(web::post().to(closure_cancel)))
    .service(
        at("/days/{date}/tournament", "GET, POST")
            .route(web::get().to(tournament_read))
            .route(web::post().to(tournament_tell)),
    );
}

/// Which sessions or closures a list shows.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct PlayQuery {
    /// From this date of the site on.
    #[param(value_type = Option<chrono::NaiveDate>)]
    from: Option<Day>,
    /// Up to this date of the site.
    #[param(value_type = Option<chrono::NaiveDate>)]
    to: Option<Day>,
    /// On this court only.
    #[param(value_type = Option<i64>)]
    court_id: Option<Id>,
}

impl From<PlayQuery> for PlayDays {
    fn from(query: PlayQuery) -> Self {
        Self {
            from: query.from.map(|day| day.0),
            to: query.to.map(|day| day.0),
            court_id: query.court_id.map(|id| id.0),
        }
    }
}

/// When courts are in play; sessions that were called off are among them.
#[utoipa::path(get, path = "/sites/{site_id}/play-sessions", tag = "play",
    params(("site_id" = i64, Path), PlayQuery, ListQuery),
    responses((status = 200, body = List<SessionRow>)))]
async fn session_list(
    office: State,
    permit: Permit<SeePlay>,
    req: HttpRequest,
    listing: Listing<PlayQuery>,
) -> Result<HttpResponse, Problem> {
    let (days, page) = (listing.filter.into(), listing.page);
    let found = at_the_desk(&office, move |o| play::session_list(o, &permit, days, page)).await?;
    Ok(answer::list(&req, found))
}

/// Adds one session on each of several courts.
#[utoipa::path(post, path = "/sites/{site_id}/play-sessions", tag = "play",
    params(("site_id" = i64, Path), ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = NewSessions,
    responses((status = 201, body = Set<SessionRow>),
        (status = 422, description = "Refused as it stands")))]
async fn session_add(
    office: State,
    permit: Permit<EditPlay>,
    key: ClientKey,
    Body(told): Body<NewSessions>,
) -> Result<HttpResponse, Problem> {
    let found = at_the_desk(&office, move |o| {
        play::sessions_add(o, &permit, key.0, &told)
    })
    .await?;
    Ok(HttpResponse::Created().json(found))
}

/// One session, with its ETag.
#[utoipa::path(get, path = "/sites/{site_id}/play-sessions/{session_id}", tag = "play",
    params(("site_id" = i64, Path), ("session_id" = i64, Path)),
    responses((status = 200, body = SessionRow)))]
async fn session_read(
    office: State,
    permit: Permit<SeePlay>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let found = at_the_desk(&office, move |o| play::session_read(o, &permit, id)).await?;
    Ok(answer::versioned(&found, found.version))
}

/// Changes a session that is neither over nor called off.
#[utoipa::path(patch, path = "/sites/{site_id}/play-sessions/{session_id}", tag = "play",
    params(("site_id" = i64, Path), ("session_id" = i64, Path), ("If-Match" = String, Header, description = "the ETag that was read")),
    request_body = SessionEdit,
    responses((status = 200, body = SessionRow), (status = 412, description = "Changed since it was read"), (status = 428, description = "If-Match is missing"),
        (status = 422, description = "Refused as it stands")))]
async fn session_edit(
    office: State,
    permit: Permit<EditPlay>,
    version: IfMatch,
    path: web::Path<(i64, i64)>,
    Body(told): Body<SessionEdit>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let found = at_the_desk(&office, move |o| {
        play::session_edit(o, &permit, id, version.0, &told)
    })
    .await?;
    Ok(answer::versioned(&found, found.version))
}

/// Says that play is over: the turnaround can start.
#[utoipa::path(post, path = "/sites/{site_id}/play-sessions/{session_id}/over", tag = "play",
    params(("site_id" = i64, Path), ("session_id" = i64, Path), ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = PlayOver,
    responses((status = 200, body = SessionRow), (status = 409, description = "Over or called off before"),
        (status = 422, description = "Refused as it stands")))]
async fn session_over(
    office: State,
    permit: Permit<TellPlayOver>,
    key: ClientKey,
    path: web::Path<(i64, i64)>,
    Body(told): Body<PlayOver>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let found = at_the_desk(&office, move |o| {
        play::session_over(o, &permit, id, key.0, &told)
    })
    .await?;
    Ok(answer::versioned(&found, found.version))
}

/// Calls a session off; it stays on record.
#[utoipa::path(post, path = "/sites/{site_id}/play-sessions/{session_id}/cancel", tag = "play",
    params(("site_id" = i64, Path), ("session_id" = i64, Path), ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    responses((status = 200, body = SessionRow), (status = 409, description = "Over or called off before")))]
async fn session_cancel(
    office: State,
    permit: Permit<EditPlay>,
    key: ClientKey,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let found = at_the_desk(&office, move |o| {
        play::session_cancel(o, &permit, id, key.0)
    })
    .await?;
    Ok(answer::versioned(&found, found.version))
}

/// When courts are shut; closures that were called off are among them.
#[utoipa::path(get, path = "/sites/{site_id}/closures", tag = "play",
    params(("site_id" = i64, Path), PlayQuery, ListQuery),
    responses((status = 200, body = List<ClosureRow>)))]
async fn closure_list(
    office: State,
    permit: Permit<SeePlay>,
    req: HttpRequest,
    listing: Listing<PlayQuery>,
) -> Result<HttpResponse, Problem> {
    let (days, page) = (listing.filter.into(), listing.page);
    let found = at_the_desk(&office, move |o| play::closure_list(o, &permit, days, page)).await?;
    Ok(answer::list(&req, found))
}

/// Shuts several courts for a time.
#[utoipa::path(post, path = "/sites/{site_id}/closures", tag = "play",
    params(("site_id" = i64, Path), ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = NewClosures,
    responses((status = 201, body = Set<ClosureRow>),
        (status = 422, description = "Refused as it stands")))]
async fn closure_add(
    office: State,
    permit: Permit<EditPlay>,
    key: ClientKey,
    Body(told): Body<NewClosures>,
) -> Result<HttpResponse, Problem> {
    let found = at_the_desk(&office, move |o| {
        play::closures_add(o, &permit, key.0, &told)
    })
    .await?;
    Ok(HttpResponse::Created().json(found))
}

/// Calls a closure off; it stays on record.
#[utoipa::path(post, path = "/sites/{site_id}/closures/{closure_id}/cancel", tag = "play",
    params(("site_id" = i64, Path), ("closure_id" = i64, Path), ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    responses((status = 200, body = ClosureRow), (status = 409, description = "Over or called off before")))]
async fn closure_cancel(
    office: State,
    permit: Permit<EditPlay>,
    key: ClientKey,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let found = at_the_desk(&office, move |o| {
        play::closure_cancel(o, &permit, id, key.0)
    })
    .await?;
    Ok(answer::versioned(&found, found.version))
}

/// The tournament of a date: its courts in the order in which they reopen between matches.
#[utoipa::path(get, path = "/sites/{site_id}/days/{date}/tournament", tag = "play",
    params(("site_id" = i64, Path), ("date" = chrono::NaiveDate, Path)),
    responses((status = 200, body = Tournament)))]
async fn tournament_read(
    office: State,
    permit: Permit<SeePlay>,
    path: web::Path<(i64, Day)>,
) -> Result<HttpResponse, Problem> {
    let (_, Day(date)) = path.into_inner();
    let found = at_the_desk(&office, move |o| {
        tournament::tournament_read(o, &permit, date)
    })
    .await?;
    Ok(HttpResponse::Ok().json(found))
}

/// Makes a date a tournament day: its courts get a short service between matches and reopen in this order. No court
/// makes it an ordinary day again.
#[utoipa::path(post, path = "/sites/{site_id}/days/{date}/tournament", tag = "play",
    params(("site_id" = i64, Path), ("date" = chrono::NaiveDate, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = Tournament,
    responses((status = 200, body = Tournament), (status = 422, description = "Refused as it stands")))]
async fn tournament_tell(
    office: State,
    permit: Permit<EditPlay>,
    path: web::Path<(i64, Day)>,
    key: ClientKey,
    Body(told): Body<Tournament>,
) -> Result<HttpResponse, Problem> {
    let (_, Day(date)) = path.into_inner();
    let found = at_the_desk(&office, move |o| {
        tournament::tournament_tell(o, &permit, date, key.0, &told)
    })
    .await?;
    Ok(HttpResponse::Ok().json(found))
}
