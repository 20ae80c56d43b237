//! What the manager does by hand beside the day's plan: hands an order that mends something to a crew, leaves it, has one
//! made, marks a note as seen. Each leads back to today.

use actix_web::{HttpResponse, web};
use serde::Deserialize;

use super::parts::deed::{Deed, too_late};
use super::see_other;
use crate::desk::Permit;
use crate::desk::access::IssueDay;
use crate::desk::defects::defect_mend;
use crate::desk::orders::told::{IssueOrder, WithdrawOrder};
use crate::desk::orders::{note_mark_seen, order_issue, order_withdraw};
use crate::http::problem::Problem;
use crate::http::route::at;
use crate::http::{State, at_the_desk};

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/orders/{order_id:[0-9]+}/issue", "POST").route(web::post().to(issue)))
        .service(at("/orders/{order_id:[0-9]+}/withdraw", "POST").route(web::post().to(withdraw)))
        .service(at("/defects/{defect_id:[0-9]+}/mend", "POST").route(web::post().to(mend)))
        .service(at("/order-notes/{note_id:[0-9]+}/seen", "POST").route(web::post().to(seen)));
}

/// What the form that hands an order out sends.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct IssueForm {
    client_key: uuid::Uuid,
    crew_id: i64,
}

async fn issue(
    office: State,
    permit: Permit<IssueDay>,
    path: web::Path<(i64, i64)>,
    form: web::Form<IssueForm>,
) -> Result<HttpResponse, Problem> {
    let (site_id, id) = path.into_inner();
    let form = form.into_inner();
    let told = IssueOrder {
        crew_id: form.crew_id,
        happened_at: None,
    };
    let key = form.client_key.to_string();
    let done = at_the_desk(&office, move |o| order_issue(o, &permit, id, key, &told));
    too_late(done.await)?;
    Ok(see_other(&today(site_id)))
}

async fn withdraw(
    office: State,
    permit: Permit<IssueDay>,
    path: web::Path<(i64, i64)>,
    deed: web::Form<Deed>,
) -> Result<HttpResponse, Problem> {
    let (site_id, id) = path.into_inner();
    let told = WithdrawOrder { happened_at: None };
    let done = at_the_desk(&office, move |o| {
        order_withdraw(o, &permit, id, deed.key(), &told)
    });
    too_late(done.await)?;
    Ok(see_other(&today(site_id)))
}

async fn mend(
    office: State,
    permit: Permit<IssueDay>,
    path: web::Path<(i64, i64)>,
    deed: web::Form<Deed>,
) -> Result<HttpResponse, Problem> {
    let (site_id, id) = path.into_inner();
    let done = at_the_desk(&office, move |o| defect_mend(o, &permit, id, deed.key()));
    too_late(done.await)?;
    Ok(see_other(&today(site_id)))
}

async fn seen(
    office: State,
    permit: Permit<IssueDay>,
    path: web::Path<(i64, i64)>,
    deed: web::Form<Deed>,
) -> Result<HttpResponse, Problem> {
    let (site_id, id) = path.into_inner();
    let done = at_the_desk(&office, move |o| note_mark_seen(o, &permit, id, deed.key()));
    too_late(done.await)?;
    Ok(see_other(&today(site_id)))
}

fn today(site_id: i64) -> String {
    format!("/sites/{site_id}/today")
}
