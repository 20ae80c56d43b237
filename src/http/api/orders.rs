//! Work orders.

use actix_web::{HttpRequest, HttpResponse, web};
use serde::Deserialize;
use utoipa::{IntoParams, OpenApi};

use crate::desk::access::{SeeOrders, WorkOrders};
use crate::desk::orders::told::{FinishOrder, LeaveUndone, StartOrder};
use crate::desk::orders::{self, OrderView, TreatmentView};
use crate::desk::{self, Office, Permit};
use crate::http::answer::{self, List};
use crate::http::read::{Body, ClientKey, Day, Id, ListQuery, Listing};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};
use crate::store::orders::{OrderFilter, OrderState};

#[derive(OpenApi)]
#[openapi(paths(list, read, start, finish, leave_undone, treatments))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/orders", "GET").route(web::get().to(list)))
        .service(at("/treatments", "GET").route(web::get().to(treatments)))
        .service(at("/orders/{order_id}", "GET").route(web::get().to(read)))
        .service(at("/orders/{order_id}/start", "POST").route(web::post().to(start)))
        .service(at("/orders/{order_id}/finish", "POST").route(web::post().to(finish)))
        .service(at("/orders/{order_id}/leave-undone", "POST").route(web::post().to(leave_undone)));
}

/// Which orders a list shows.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct OrderQuery {
    /// Of this date of the site only.
    #[param(value_type = Option<chrono::NaiveDate>)]
    date: Option<Day>,
    /// In this state only.
    #[param(inline)]
    state: Option<OrderState>,
    /// Of this crew only.
    #[param(value_type = Option<i64>)]
    crew_id: Option<Id>,
    /// On this court only; a bank's orders are not among them.
    #[param(value_type = Option<i64>)]
    court_id: Option<Id>,
}

impl From<OrderQuery> for OrderFilter {
    fn from(query: OrderQuery) -> Self {
        Self {
            work_date: query.date.map(|date| date.0),
            state: query.state,
            crew_id: query.crew_id.map(|id| id.0),
            court_id: query.court_id.map(|id| id.0),
            day_plan_id: None,
        }
    }
}

/// The site's work orders.
#[utoipa::path(get, path = "/sites/{site_id}/orders", tag = "orders",
    params(("site_id" = i64, Path), OrderQuery, ListQuery),
    responses((status = 200, body = List<OrderView>)))]
async fn list(
    office: State,
    permit: Permit<SeeOrders>,
    req: HttpRequest,
    listing: Listing<OrderQuery>,
) -> Result<HttpResponse, Problem> {
    let (filter, page) = (listing.filter.into(), listing.page);
    let rows = at_the_desk(&office, move |o| {
        orders::order_list(o, &permit, &filter, page)
    })
    .await?;
    Ok(answer::list(&req, rows))
}

/// One work order, with its ETag.
#[utoipa::path(get, path = "/sites/{site_id}/orders/{order_id}", tag = "orders",
    params(("site_id" = i64, Path), ("order_id" = i64, Path)),
    responses((status = 200, body = OrderView)))]
async fn read(
    office: State,
    permit: Permit<SeeOrders>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let view = at_the_desk(&office, move |o| orders::order_read(o, &permit, id)).await?;
    Ok(answer::versioned(&view, view.order.version))
}

/// Lets something happen to a work order, and answers how it stands then.
pub(super) async fn event<P: 'static, T: Send + 'static>(
    office: &State,
    permit: Permit<P>,
    key: ClientKey,
    path: web::Path<(i64, i64)>,
    told: T,
    happens: fn(&Office, &Permit<P>, i64, String, &T) -> desk::Result<OrderView>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    let view = at_the_desk(office, move |o| happens(o, &permit, id, key.0, &told)).await?;
    Ok(answer::versioned(&view, view.order.version))
}

/// Starts a work order.
#[utoipa::path(post, path = "/sites/{site_id}/orders/{order_id}/start", tag = "orders",
    params(("site_id" = i64, Path), ("order_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = StartOrder,
    responses((status = 200, body = OrderView), (status = 409, description = "Not in this state"),
        (status = 422, description = "Refused as it stands")))]
async fn start(
    office: State,
    permit: Permit<WorkOrders>,
    key: ClientKey,
    path: web::Path<(i64, i64)>,
    Body(told): Body<StartOrder>,
) -> Result<HttpResponse, Problem> {
    event(&office, permit, key, path, told, orders::order_start).await
}

/// Gives a work order back done: who worked on it and how long, what was taken and used, and whether
/// the court is fit for play. Hours, stores and cost are booked with it.
#[utoipa::path(post, path = "/sites/{site_id}/orders/{order_id}/finish", tag = "orders",
    params(("site_id" = i64, Path), ("order_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = FinishOrder,
    responses((status = 200, body = OrderView), (status = 409, description = "Not in this state"),
        (status = 422, description = "Refused as it stands")))]
async fn finish(
    office: State,
    permit: Permit<WorkOrders>,
    key: ClientKey,
    path: web::Path<(i64, i64)>,
    Body(told): Body<FinishOrder>,
) -> Result<HttpResponse, Problem> {
    event(&office, permit, key, path, told, orders::order_finish).await
}

/// Gives a work order back not done, and why. Work it took all the same is booked.
#[utoipa::path(post, path = "/sites/{site_id}/orders/{order_id}/leave-undone", tag = "orders",
    params(("site_id" = i64, Path), ("order_id" = i64, Path),
        ("Idempotency-Key" = String, Header, description = "the client's own UUID of this event")),
    request_body = LeaveUndone,
    responses((status = 200, body = OrderView), (status = 409, description = "Not in this state"),
        (status = 422, description = "Refused as it stands")))]
async fn leave_undone(
    office: State,
    permit: Permit<WorkOrders>,
    key: ClientKey,
    path: web::Path<(i64, i64)>,
    Body(told): Body<LeaveUndone>,
) -> Result<HttpResponse, Problem> {
    event(&office, permit, key, path, told, orders::order_leave_undone).await
}

/// The chemicals that were put on the site's courts: product, lot, amount, place, wind and who.
#[utoipa::path(get, path = "/sites/{site_id}/treatments", tag = "orders",
    params(("site_id" = i64, Path), ListQuery), responses((status = 200, body = List<TreatmentView>)))]
async fn treatments(
    office: State,
    permit: Permit<SeeOrders>,
    req: HttpRequest,
    listing: Listing,
) -> Result<HttpResponse, Problem> {
    let page = listing.page;
    let rows = at_the_desk(&office, move |o| orders::treatment_list(o, &permit, page)).await?;
    Ok(answer::list(&req, rows))
}
