//! The audit trail.

use actix_web::{HttpRequest, HttpResponse, web};
use serde::Deserialize;
use utoipa::{IntoParams, OpenApi};

use crate::desk::Permit;
use crate::desk::access::SeeAudit;
use crate::desk::audit::{AuditAsked, AuditView, audit_read};
use crate::http::answer::{self, List};
use crate::http::read::{Day, Id, ListQuery, Listing};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};

#[derive(OpenApi)]
#[openapi(paths(list))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/audit-events", "GET").route(web::get().to(list)));
}

/// Which events: by one of court, order and person, and by dates of the site, both included.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct Which {
    /// About this court.
    #[param(value_type = Option<i64>)]
    court_id: Option<Id>,
    /// About this work order.
    #[param(value_type = Option<i64>)]
    order_id: Option<Id>,
    /// About this person.
    #[param(value_type = Option<i64>)]
    person_id: Option<Id>,
    /// From this date of the site on.
    #[param(value_type = Option<chrono::NaiveDate>)]
    from: Option<Day>,
    /// Up to this one.
    #[param(value_type = Option<chrono::NaiveDate>)]
    to: Option<Day>,
}

/// What was done at the site, newest first: who, when, from where, what, and of an edit what was before and after.
#[utoipa::path(get, path = "/sites/{site_id}/audit-events", tag = "audit",
    params(("site_id" = i64, Path), Which, ListQuery),
    responses((status = 200, body = List<AuditView>),
        (status = 422, description = "Asked by more than one thing, or by dates that do not follow")))]
async fn list(
    office: State,
    permit: Permit<SeeAudit>,
    req: HttpRequest,
    listing: Listing<Which>,
) -> Result<HttpResponse, Problem> {
    let (which, page) = (listing.filter, listing.page);
    let asked = AuditAsked {
        court_id: which.court_id.map(|id| id.0),
        order_id: which.order_id.map(|id| id.0),
        person_id: which.person_id.map(|id| id.0),
        from: which.from.map(|day| day.0),
        to: which.to.map(|day| day.0),
    };
    let rows = at_the_desk(&office, move |o| audit_read(o, &permit, asked, page)).await?;
    Ok(answer::list(&req, rows))
}
