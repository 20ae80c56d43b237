//! One resource a path: its methods, and 405 with `Allow` for the others.

use actix_web::{Resource, web};

use super::problem::Problem;

/// A resource at `path` that takes the methods of `allow` (as in the `Allow` header).
pub fn at(path: &str, allow: &'static str) -> Resource {
    web::resource(path).default_service(web::to(move || async move {
        Err::<actix_web::HttpResponse, _>(Problem::method(allow))
    }))
}
