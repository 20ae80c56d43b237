//! Work orders beside their being worked on: handed out one by one, handed over, taken back, looked over, noted on.

use actix_web::{HttpRequest, HttpResponse, web};
use serde::Deserialize;
use utoipa::{IntoParams, OpenApi};

use super::orders::event;
use crate::desk::Permit;
use crate::desk::access::{IssueDay, RecheckOrder, SeeOrders, WorkOrders};
use crate::desk::orders::told::{
    FinishOrder, HandOver, IssueOrder, NoteTold, RecheckTold, TakeBack, WithdrawOrder,
};
use crate::desk::orders::{self, Late, OrderView};
use crate::http::answer::{self, List};
use crate::http::read::{Body, ClientKey, Id, ListQuery, Listing};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};
use crate::store::orders::{NoteFilter, NoteRow, OrderEventRow, RecheckRow};

#[derive(OpenApi)]
#[openapi(paths(
    issue,
    withdraw,
    hand_over,
    take_back,
    finish_late,
    recheck,
    events,
    note,
    notes,
    seen
))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/orders/{order_id}/issue", "POST").route(web::post().to(issue)))
        .service(at("/orders/{order_id}/withdraw", "POST").route(web::post().to(withdraw)))
        .service(at("/orders/{order_id}/hand-over", "POST").route(web::post().to(hand_over)))
        .service(at("/orders/{order_id}/take-back", "POST").route(web::post().to(take_back)))
        .service(at("/orders/{order_id}/finish-late", "POST").route(web::post().to(finish_late)))
        .service(at("/orders/{order_id}/recheck", "POST").route(web::post().to(recheck)))
        .service(at("/orders/{order_id}/events", "GET").route(web::get().to(events)))
        .service(at("/orders/{order_id}/notes", "POST").route(web::post().to(note)))
        .service(at("/order-notes", "GET").route(web::get().to(notes)))
        .service(at("/order-notes/{note_id}/seen", "POST").route(web::post().to(seen)));
}

/// Hands an order that no plan makes, as one that mends a defect, to a crew: it stands at the end of the crew's round.
#[utoipa::path(post, path = "/sites/{site_id}/orders/{order_id}/issue", tag = "orders",
    params(("site_id" = i64, Path), ("order_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = IssueOrder,
    responses((status = 200, body = OrderView), (status = 409, description = "Not in this state"),
        (status = 422, description = "Refused as it stands")))]
async fn issue(
    office: State,
    permit: Permit<IssueDay>,
    key: ClientKey,
    path: web::Path<(i64, i64)>,
    Body(told): Body<IssueOrder>,
) -> Result<HttpResponse, Problem> {
    event(&office, permit, key, path, told, orders::order_issue).await
}

/// Takes an order that no plan makes out of the day, before it is begun.
#[utoipa::path(post, path = "/sites/{site_id}/orders/{order_id}/withdraw", tag = "orders",
    params(("site_id" = i64, Path), ("order_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = WithdrawOrder,
    responses((status = 200, body = OrderView), (status = 409, description = "Not in this state"),
        (status = 422, description = "Refused as it stands")))]
async fn withdraw(
    office: State,
    permit: Permit<IssueDay>,
    key: ClientKey,
    path: web::Path<(i64, i64)>,
    Body(told): Body<WithdrawOrder>,
) -> Result<HttpResponse, Problem> {
    event(&office, permit, key, path, told, orders::order_withdraw).await
}

/// Hands an open order over to another crew: it stands at the end of that crew's round.
#[utoipa::path(post, path = "/sites/{site_id}/orders/{order_id}/hand-over", tag = "orders",
    params(("site_id" = i64, Path), ("order_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = HandOver,
    responses((status = 200, body = OrderView), (status = 409, description = "Not in this state"),
        (status = 422, description = "Refused as it stands")))]
async fn hand_over(
    office: State,
    permit: Permit<WorkOrders>,
    key: ClientKey,
    path: web::Path<(i64, i64)>,
    Body(told): Body<HandOver>,
) -> Result<HttpResponse, Problem> {
    event(&office, permit, key, path, told, orders::order_hand_over).await
}

/// Takes back what closed an order: it is open again, and what was booked is reversed. Its crew may until the end of its
/// shift, overtime included, the manager until the end of the next day.
#[utoipa::path(post, path = "/sites/{site_id}/orders/{order_id}/take-back", tag = "orders",
    params(("site_id" = i64, Path), ("order_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = TakeBack,
    responses((status = 200, body = OrderView), (status = 409, description = "Not in this state, or too late"),
        (status = 422, description = "Refused as it stands")))]
async fn take_back(
    office: State,
    permit: Permit<WorkOrders>,
    key: ClientKey,
    path: web::Path<(i64, i64)>,
    Body(told): Body<TakeBack>,
) -> Result<HttpResponse, Problem> {
    event(&office, permit, key, path, told, orders::order_take_back).await
}

/// Finishes an order that was withdrawn after its crew had it, while the crew was out of reach: what it did stands.
#[utoipa::path(post, path = "/sites/{site_id}/orders/{order_id}/finish-late", tag = "orders",
    params(("site_id" = i64, Path), ("order_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = FinishOrder,
    responses((status = 200, body = Late), (status = 409, description = "Not in this state"),
        (status = 422, description = "Refused as it stands")))]
async fn finish_late(
    office: State,
    permit: Permit<WorkOrders>,
    key: ClientKey,
    path: web::Path<(i64, i64)>,
    Body(told): Body<FinishOrder>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let late = at_the_desk(&office, move |o| {
        orders::order_finish_late(o, &permit, id, key.0, &told)
    })
    .await?;
    Ok(HttpResponse::Ok().json(late))
}

/// Says how good finished work was found. The newest holds.
#[utoipa::path(post, path = "/sites/{site_id}/orders/{order_id}/recheck", tag = "orders",
    params(("site_id" = i64, Path), ("order_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = RecheckTold,
    responses((status = 200, body = RecheckRow), (status = 409, description = "Not finished"),
        (status = 422, description = "Refused as it stands")))]
async fn recheck(
    office: State,
    permit: Permit<RecheckOrder>,
    key: ClientKey,
    path: web::Path<(i64, i64)>,
    Body(told): Body<RecheckTold>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let row = at_the_desk(&office, move |o| {
        orders::order_recheck(o, &permit, id, key.0, &told)
    })
    .await?;
    Ok(HttpResponse::Ok().json(row))
}

/// Notes something on an order, in whatever state it is.
#[utoipa::path(post, path = "/sites/{site_id}/orders/{order_id}/notes", tag = "orders",
    params(("site_id" = i64, Path), ("order_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = NoteTold,
    responses((status = 201, body = NoteRow), (status = 422, description = "Refused as it stands")))]
async fn note(
    office: State,
    permit: Permit<WorkOrders>,
    key: ClientKey,
    path: web::Path<(i64, i64)>,
    Body(told): Body<NoteTold>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let row = at_the_desk(&office, move |o| {
        orders::order_note(o, &permit, id, key.0, &told)
    })
    .await?;
    Ok(HttpResponse::Created().json(row))
}

/// Which notes a list shows.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct NoteQuery {
    /// Of this order only.
    #[param(value_type = Option<i64>)]
    order_id: Option<Id>,
    /// `true`: only those that wait for the manager; `false`: only those that do not.
    waiting: Option<bool>,
}

/// What happened to a work order, in the order in which the office learned of it: who told it, when it happened, and when it
/// was known.
#[utoipa::path(get, path = "/sites/{site_id}/orders/{order_id}/events", tag = "orders",
    params(("site_id" = i64, Path), ("order_id" = i64, Path), ListQuery),
    responses((status = 200, body = List<OrderEventRow>)))]
async fn events(
    office: State,
    permit: Permit<SeeOrders>,
    req: HttpRequest,
    path: web::Path<(i64, i64)>,
    listing: Listing,
) -> Result<HttpResponse, Problem> {
    let ((_, id), page) = (path.into_inner(), listing.page);
    let rows = at_the_desk(&office, move |o| {
        orders::order_event_list(o, &permit, id, page)
    })
    .await?;
    Ok(answer::list(&req, rows))
}

/// What was noted on the site's orders.
#[utoipa::path(get, path = "/sites/{site_id}/order-notes", tag = "orders",
    params(("site_id" = i64, Path), NoteQuery, ListQuery),
    responses((status = 200, body = List<NoteRow>)))]
async fn notes(
    office: State,
    permit: Permit<SeeOrders>,
    req: HttpRequest,
    listing: Listing<NoteQuery>,
) -> Result<HttpResponse, Problem> {
    let filter = NoteFilter {
        order_id: listing.filter.order_id.map(|id| id.0),
        waiting: listing.filter.waiting,
    };
    let page = listing.page;
    let rows = at_the_desk(&office, move |o| {
        orders::note_list(o, &permit, filter, page)
    })
    .await?;
    Ok(answer::list(&req, rows))
}

/// Marks a note as seen: it waits no longer.
#[utoipa::path(post, path = "/sites/{site_id}/order-notes/{note_id}/seen", tag = "orders",
    params(("site_id" = i64, Path), ("note_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    responses((status = 200, body = NoteRow), (status = 409, description = "Seen already")))]
async fn seen(
    office: State,
    permit: Permit<IssueDay>,
    key: ClientKey,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let row = at_the_desk(&office, move |o| {
        orders::note_mark_seen(o, &permit, id, key.0)
    })
    .await?;
    Ok(HttpResponse::Ok().json(row))
}
