//! The HTTP server: every route of the program, on one listener.

use std::net::TcpListener;

use actix_web::body::MessageBody;
use actix_web::dev::{Server, ServiceRequest, ServiceResponse};
use actix_web::http::{Method, header};
use actix_web::middleware::{Compress, DefaultHeaders, Next, from_fn};
use actix_web::{App, HttpResponse, HttpServer, web};

use super::problem::{Kind, Problem};
use super::route::at;
use super::{State, api, pages, read};

/// Serves on `listener` until stopped.
pub fn serve(office: State, listener: TcpListener, workers: usize) -> std::io::Result<Server> {
    Ok(HttpServer::new(move || {
        App::new()
            .app_data(office.clone())
            .configure(read::configure)
            .wrap(Compress::default())
            .wrap(
                DefaultHeaders::new()
                    .add((header::X_CONTENT_TYPE_OPTIONS, "nosniff"))
                    .add((header::REFERRER_POLICY, "same-origin")),
            )
            .wrap(from_fn(head_as_get))
            .service(at("/healthz", "GET").route(web::get().to(healthy)))
            .configure(api::routes)
            .configure(pages::routes)
            .default_service(web::to(nowhere))
    })
    .workers(workers)
    .listen(listener)?
    .run())
}

/// HEAD is GET without its body (RFC 9110 section 9.3.2), which the connection leaves out by itself.
async fn head_as_get(
    mut req: ServiceRequest,
    next: Next<impl MessageBody>,
) -> Result<ServiceResponse<impl MessageBody>, actix_web::Error> {
    if req.method() == Method::HEAD {
        req.head_mut().method = Method::GET;
    }
    next.call(req).await
}

async fn healthy() -> HttpResponse {
    HttpResponse::Ok().body("ok\n")
}

async fn nowhere() -> Result<HttpResponse, Problem> {
    Err(Problem::new(Kind::NotFound, "nothing is at this path"))
}
