//! The HTTP server: every route of the program, on one listener.

use std::net::TcpListener;

use actix_web::dev::Server;
use actix_web::http::header;
use actix_web::middleware::{Compress, DefaultHeaders};
use actix_web::{App, HttpResponse, HttpServer, web};

use super::problem::{Kind, Problem};
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
            .service(web::resource("/healthz").route(web::get().to(healthy)))
            .configure(api::routes)
            .configure(pages::routes)
            .default_service(web::to(nowhere))
    })
    .workers(workers)
    .listen(listener)?
    .run())
}

async fn healthy() -> HttpResponse {
    HttpResponse::Ok().body("ok\n")
}

async fn nowhere() -> Result<HttpResponse, Problem> {
    Err(Problem::new(Kind::NotFound, "nothing is at this path"))
}
