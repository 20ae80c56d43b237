//! The HTTP server: every route of the program, on one listener.

use std::net::TcpListener;

use actix_web::body::MessageBody;
use actix_web::dev::{Server, ServiceRequest, ServiceResponse};
use actix_web::http::{KeepAlive, Method};
use actix_web::middleware::{Compress, Next, from_fn};
use actix_web::{App, HttpServer, web};

use super::serving::Serving;
use super::{State, api, health, in_time, pages, policy, read, seen, tablet};

/// Serves on `listener` until stopped.
pub fn serve(office: State, listener: TcpListener, serving: &Serving) -> std::io::Result<Server> {
    let proxies = web::Data::new(serving.proxies.clone());
    let times = serving.times;
    let server = HttpServer::new(move || {
        App::new()
            .app_data(office.clone())
            .app_data(proxies.clone())
            .app_data(times)
            .configure(read::configure)
            .wrap(from_fn(head_as_get))
            .wrap(from_fn(in_time::body_in_time))
            .wrap(from_fn(seen::seen))
            .wrap(Compress::default())
            .wrap(from_fn(policy::told))
            .configure(health::routes)
            .configure(api::routes)
            .configure(tablet::routes)
            .configure(pages::routes)
    })
    .workers(serving.workers)
    // Whoever serves hears the signals: plans and jobs end with the requests.
    .disable_signals()
    .client_request_timeout(times.head)
    .keep_alive(KeepAlive::Timeout(times.idle))
    .shutdown_timeout(times.shutdown.as_secs());
    let server = match serving.tls.clone() {
        Some(tls) => server.listen_rustls_0_23(listener, tls)?,
        None => server.listen(listener)?,
    };
    Ok(server.run())
}

/// Tells on `listener`, which is not for everybody, what the service counts of itself.
pub fn serve_sight(office: State, listener: TcpListener) -> std::io::Result<Server> {
    let server = HttpServer::new(move || {
        App::new()
            .app_data(office.clone())
            .wrap(from_fn(policy::told))
            .configure(health::routes)
            .configure(health::sight_routes)
    });
    Ok(server.workers(1).disable_signals().listen(listener)?.run())
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
