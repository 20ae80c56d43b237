//! HTTP and nothing else: the API under `/api/v1` and the office's pages. A handler reads the
//! request, calls one use case of the desk, and shapes its answer.

pub mod address;
pub mod answer;
pub mod api;
pub mod guard;
pub mod pages;
pub mod policy;
pub mod problem;
pub mod reached;
pub mod read;
pub mod route;
pub mod server;
pub mod serving;
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
    match web::block(move || work(&office)).await {
        Ok(done) => Ok(done?),
        Err(_) => Err(Problem::unavailable("the service is stopping")),
    }
}
