//! Work orders.

use actix_web::{HttpRequest, HttpResponse, web};
use serde::Deserialize;
use utoipa::{IntoParams, OpenApi};

use crate::desk::Permit;
use crate::desk::access::SeeOrders;
use crate::desk::orders::{self, OrderView};
use crate::http::answer::{self, List};
use crate::http::read::{Day, Id, ListQuery, Listing};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};
use crate::store::orders::{OrderFilter, OrderState};

#[derive(OpenApi)]
#[openapi(paths(list, read))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/orders", "GET").route(web::get().to(list)))
        .service(at("/orders/{order_id}", "GET").route(web::get().to(read)));
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
