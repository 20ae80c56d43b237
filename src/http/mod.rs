//! HTTP and nothing else: the API under `/api/v1` and the office's pages. A handler reads the
//! request, calls one use case of the desk, and shapes its answer.

pub mod address;
pub mod answer;
pub mod api;
pub mod guard;
pub mod health;
pub mod in_time;
pub mod owner;
pub mod pages;
pub mod policy;
pub mod problem;
pub mod reached;
pub mod read;
pub mod route;
pub mod seen;
pub mod server;
pub mod serving;
pub mod tablet;
pub mod tls;

pub use problem::Problem;

use actix_web::web;

use crate::desk::{self, Office};

/// The service's state in a handler.
pub type State = web::Data<Office>;

/// Runs one use case off the request threads: the database and password hashing block.
pub async fn at_the_desk<T: Send + 'static>(
    office: &State,
    work: impl FnOnce(&Office) -> desk::Result<T> + Send + 'static,
) -> Result<T, Problem> {
    let office = office.clone();
    let span = tracing::Span::current();
    let done = web::block(move || span.in_scope(|| work(&office)));
    let done = match seen::time_left() {
        Some(left) => tokio::time::timeout(left, done)
            .await
            .map_err(|_| too_long())?,
        None => done.await,
    };
    match done {
        Ok(done) => Ok(done?),
        Err(_) => Err(Problem::unavailable("the service is stopping")),
    }
}

/// A use case cannot be broken off: it goes on without whoever asked, and is done or not as a whole.
fn too_long() -> Problem {
    tracing::error!("a use case took longer than a request may");
    Problem::unavailable(
        "this takes too long now, and may still be done: send it again in a moment, with the same Idempotency-Key if it \
         has one",
    )
}
