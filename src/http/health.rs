//! Whether the service lives, whether it can be asked, and what it counts of itself.
//!
//! `/readyz` answers 503 where a request would fail: the database does not answer, its schema is older than the program, or
//! the service is stopping. Mail that waits too long is told there and is no reason to ask elsewhere: every other request is
//! answered, and another instance would send it no sooner. No host, address or error of the database is told: anybody may
//! ask.

use actix_web::web;
use actix_web::{HttpResponse, http::StatusCode, http::header};
use serde::Serialize;

use super::route::at;
use super::{Problem, State, at_the_desk};
use crate::desk::health::{self, Health};
use crate::sight::{self, Gauge};

/// `/healthz` and `/readyz`.
pub fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/healthz", "GET").route(web::get().to(alive)))
        .service(at("/readyz", "GET").route(web::get().to(ready)));
}

/// `/metrics`, on a listener of its own.
pub fn sight_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/metrics", "GET").route(web::get().to(metrics)));
}

/// The process lives and answers.
async fn alive() -> HttpResponse {
    HttpResponse::Ok().body("ok\n")
}

/// How the service is: JSON.
#[derive(Serialize)]
struct Ready {
    /// `ready`; `late` where mail waits too long; `stopping`; `not_ready`.
    is: &'static str,
    /// Whether the database answers.
    database: bool,
    /// Whether its schema is this program's; null where the database does not answer.
    migrated: Option<bool>,
    /// How long the oldest mail has waited to be sent, s; null where none waits.
    oldest_mail_s: Option<i64>,
}

async fn ready(office: State) -> Result<HttpResponse, Problem> {
    let health = at_the_desk(&office, |office| Ok(health::look(office))).await?;
    let is = if health.stopping {
        "stopping"
    } else if !health.can_answer() {
        "not_ready"
    } else if health.mail_is_late() {
        "late"
    } else {
        "ready"
    };
    let status = if matches!(is, "ready" | "late") {
        StatusCode::OK
    } else {
        StatusCode::SERVICE_UNAVAILABLE
    };
    Ok(HttpResponse::build(status).json(Ready {
        is,
        database: health.database.is_some(),
        migrated: health.database.as_ref().map(|database| database.migrated),
        oldest_mail_s: health.oldest_mail_s(),
    }))
}

async fn metrics(office: State) -> Result<HttpResponse, Problem> {
    let health = at_the_desk(&office, |office| Ok(health::look(office))).await?;
    match sight::text(&gauges(&health)) {
        Ok(text) => Ok(HttpResponse::Ok()
            .insert_header((header::CONTENT_TYPE, sight::MEDIA_TYPE))
            .body(text)),
        Err(why) => {
            tracing::error!(%why, "the counts cannot be written");
            Err(Problem::unavailable("the counts cannot be written"))
        }
    }
}

fn gauges(health: &Health) -> Vec<Gauge> {
    let gauge = |name, help, value| Gauge { name, help, value };
    let mut all = vec![
        gauge(
            "searches",
            "Searches for a plan under way in this process.",
            health.searches,
        ),
        gauge(
            "database_up",
            "Whether the database answers: 1 or 0.",
            i64::from(health.database.is_some()),
        ),
        gauge(
            "database_connections_in_use",
            "Connections to the database in use.",
            health.connections_in_use,
        ),
        gauge(
            "database_connections_most",
            "Connections to the database there can be.",
            health.connections_most,
        ),
    ];
    if let Some(database) = &health.database {
        let oldest = health.oldest_mail_s().unwrap_or(0);
        all.push(gauge(
            "mail_waiting",
            "Mails that wait to be sent.",
            database.mail_waiting,
        ));
        all.push(gauge(
            "mail_oldest_seconds",
            "How long the oldest of them has waited, s.",
            oldest,
        ));
    }
    all
}
