//! The OpenAPI 3.1 document, put together from the resources, and the reader for it.

use actix_web::{HttpResponse, web};
use utoipa::openapi::path::Operation;
use utoipa::openapi::security::{Http, HttpAuthScheme, SecurityScheme};
use utoipa::openapi::{ContentBuilder, OpenApi as Document, PathItem, Ref, RefOr, ResponseBuilder};
use utoipa::{Modify, OpenApi};
use utoipa_swagger_ui::SwaggerUi;

use crate::http::problem::{Kind, ProblemDocument};

#[derive(OpenApi)]
#[openapi(
    info(title = "Roundhand", description = "Daily rounds, work orders, tool wear and cost of clay tennis courts."),
    components(schemas(ProblemDocument)),
    nest(
        (path = "/api/v1", api = super::sign_in::Doc),
        (path = "/api/v1", api = super::sites::Doc),
        (path = "/api/v1", api = super::courts::Doc),
        (path = "/api/v1", api = super::crews::Doc),
        (path = "/api/v1", api = super::tools::Doc),
        (path = "/api/v1", api = super::stores::Doc),
        (path = "/api/v1", api = super::plan_runs::Doc),
        (path = "/api/v1", api = super::days::Doc),
        (path = "/api/v1", api = super::orders::Doc),
        (path = "/api/v1", api = super::cost::Doc),
        (path = "/api/v1", api = super::reports::Doc),
    ),
    modifiers(&Conventions),
)]
struct Whole;

/// What holds for every operation is said once: the bearer token, and the problem documents.
struct Conventions;

impl Modify for Conventions {
    fn modify(&self, document: &mut Document) {
        if let Some(components) = document.components.as_mut() {
            components.add_security_scheme(
                "bearer",
                SecurityScheme::Http(Http::new(HttpAuthScheme::Bearer)),
            );
        }
        let signed_in = utoipa::openapi::SecurityRequirement::new("bearer", Vec::<String>::new());
        for (path, item) in &mut document.paths.paths {
            let open = ["sign-in", "refresh", "sign-out"]
                .iter()
                .any(|word| path.ends_with(word));
            let of_a_site = path.contains("{site_id}");
            for (method, operation) in operations(item) {
                operation.operation_id = Some(operation_id(method, path));
                let mut kinds = vec![Kind::Unreadable, Kind::NotSignedIn];
                if of_a_site {
                    kinds.extend([Kind::NotAllowed, Kind::NotFound]);
                }
                for kind in kinds {
                    add_problem(operation, kind);
                }
                if !open {
                    operation.security = Some(vec![signed_in.clone()]);
                }
            }
        }
    }
}

fn operations(item: &mut PathItem) -> impl Iterator<Item = (&'static str, &mut Operation)> {
    [
        ("get", &mut item.get),
        ("post", &mut item.post),
        ("put", &mut item.put),
        ("patch", &mut item.patch),
        ("delete", &mut item.delete),
    ]
    .into_iter()
    .filter_map(|(method, operation)| operation.as_mut().map(|operation| (method, operation)))
}

/// One name an operation, from its method and path: `get_sites_courts_by_court_id`.
fn operation_id(method: &str, path: &str) -> String {
    let mut id = method.to_owned();
    for segment in path
        .trim_start_matches("/api/v1")
        .split('/')
        .filter(|s| !s.is_empty())
    {
        let (by, word) = match segment.strip_prefix('{') {
            Some("site_id}") => continue,
            Some(name) => ("_by_", name.trim_end_matches('}')),
            None => ("_", segment),
        };
        id.push_str(by);
        id.push_str(&word.replace('-', "_"));
    }
    id
}

fn add_problem(operation: &mut Operation, kind: Kind) {
    let (_, status, title) = kind.row();
    let schema = RefOr::Ref(Ref::from_schema_name("Problem"));
    let answer = ResponseBuilder::new()
        .description(title)
        .content(
            "application/problem+json",
            ContentBuilder::new().schema(Some(schema)).build(),
        )
        .build();
    operation
        .responses
        .responses
        .entry(status.as_str().to_owned())
        .or_insert_with(|| RefOr::T(answer));
}

/// The document as the program says it.
pub fn document() -> Document {
    Whole::openapi()
}

/// The document's text: what `api-spec/openapi.json` holds.
pub fn text() -> String {
    document()
        .to_pretty_json()
        .map(|text| text + "\n")
        .unwrap_or_default()
}

/// `/api/openapi.json` and `/api/docs`, the reader, which is in the binary.
pub fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(web::resource("/api/openapi.json").route(web::get().to(serve)))
        .service(
            SwaggerUi::new("/api/docs/{_:.*}")
                .config(utoipa_swagger_ui::Config::from("/api/openapi.json")),
        )
        .service(web::redirect("/api/docs", "/api/docs/"));
}

async fn serve() -> HttpResponse {
    HttpResponse::Ok()
        .content_type("application/json")
        .body(text())
}
