//! The HTTP server: every route of the program, on one listener.

use std::net::TcpListener;

use actix_web::body::MessageBody;
use actix_web::dev::{Server, ServiceRequest, ServiceResponse};
use actix_web::http::Method;
use actix_web::middleware::{Compress, Next, from_fn};
use actix_web::{App, HttpResponse, HttpServer, web};

use super::address::TrustedProxies;
use super::route::at;
use super::{State, api, pages, policy, read};

/// Serves on `listener` until stopped.
pub fn serve(
    office: State,
    listener: TcpListener,
    workers: usize,
    proxies: TrustedProxies,
) -> std::io::Result<Server> {
    let proxies = web::Data::new(proxies);
    Ok(HttpServer::new(move || {
        App::new()
            .app_data(office.clone())
            .app_data(proxies.clone())
            .configure(read::configure)
            .wrap(Compress::default())
            .wrap(from_fn(policy::told))
            .wrap(from_fn(head_as_get))
            .service(at("/healthz", "GET").route(web::get().to(healthy)))
            .configure(api::routes)
            .configure(pages::routes)
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
