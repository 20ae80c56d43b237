//! The OpenAPI 3.1 document, put together from the resources, and the reader for it.

use actix_web::{HttpResponse, web};
use utoipa::openapi::path::Operation;
use utoipa::openapi::schema::{KnownFormat, Schema, SchemaFormat, Type};
use utoipa::openapi::security::{Http, HttpAuthScheme, SecurityScheme};
use utoipa::openapi::{
    ContentBuilder, ObjectBuilder, OpenApi as Document, PathItem, Ref, RefOr, Response,
    ResponseBuilder,
};
use utoipa::{Modify, OpenApi};
use utoipa_swagger_ui::SwaggerUi;

use crate::http::problem::{Kind, ProblemDocument};
use crate::http::route::at;

#[derive(OpenApi)]
#[openapi(
    info(title = "Roundhand", description = "Daily rounds, work orders, tool wear and cost of clay tennis courts."),
    components(schemas(ProblemDocument)),
    nest(
        (path = "/api/v1", api = super::sign_in::Doc),
        (path = "/api/v1", api = super::accounts::Doc),
        (path = "/api/v1", api = super::members::Doc),
        (path = "/api/v1", api = super::devices::Doc),
        (path = "/api/v1", api = super::api_keys::Doc),
        (path = "/api/v1", api = super::installation::Doc),
        (path = "/api/v1", api = super::sites::Doc),
        (path = "/api/v1", api = super::settings::Doc),
        (path = "/api/v1", api = super::site_words::Doc),
        (path = "/api/v1", api = super::care::Doc),
        (path = "/api/v1", api = super::courts::Doc),
        (path = "/api/v1", api = super::calendars::Doc),
        (path = "/api/v1", api = super::play::Doc),
        (path = "/api/v1", api = super::inspections::Doc),
        (path = "/api/v1", api = super::wear::Doc),
        (path = "/api/v1", api = super::part_supplies::Doc),
        (path = "/api/v1", api = super::nets::Doc),
        (path = "/api/v1", api = super::weather::Doc),
        (path = "/api/v1", api = super::crews::Doc),
        (path = "/api/v1", api = super::skills::Doc),
        (path = "/api/v1", api = super::privacy::Doc),
        (path = "/api/v1", api = super::tools::Doc),
        (path = "/api/v1", api = super::stores::Doc),
        (path = "/api/v1", api = super::plan_runs::Doc),
        (path = "/api/v1", api = super::days::Doc),
        (path = "/api/v1", api = super::day_changes::Doc),
        (path = "/api/v1", api = super::look_ahead::Doc),
        (path = "/api/v1", api = super::orders::Doc),
        (path = "/api/v1", api = super::tablet::Doc),
        (path = "/api/v1", api = super::live::Doc),
        (path = "/api/v1", api = super::order_life::Doc),
        (path = "/api/v1", api = super::defects::Doc),
        (path = "/api/v1", api = super::stops::Doc),
        (path = "/api/v1", api = super::holds::Doc),
        (path = "/api/v1", api = super::pictures::Doc),
        (path = "/api/v1", api = super::incidents::Doc),
        (path = "/api/v1", api = super::alone::Doc),
        (path = "/api/v1", api = super::attendance::Doc),
        (path = "/api/v1", api = super::tool_checks::Doc),
        (path = "/api/v1", api = super::cost::Doc),
        (path = "/api/v1", api = super::reports::Doc),
        (path = "/api/v1", api = super::water::Doc),
        (path = "/api/v1", api = super::audit::Doc),
    ),
    modifiers(&Conventions),
)]
struct Whole;

/// What is asked without a token: it is what one gets a token, or an account, by.
const OPEN: [&str; 7] = [
    "/sign-in",
    "/refresh",
    "/sign-out",
    "/pair",
    "/new-password",
    "/password-by-secret",
    "/first-owner",
];

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
            let open = OPEN.iter().any(|word| path.ends_with(word));
            let of_a_site = path.contains("{site_id}");
            for (method, operation) in operations(item) {
                operation.operation_id = Some(operation_id(method, path));
                if let Some(summary) = &mut operation.summary {
                    *summary = summary.replace('\n', " ");
                }
                let mut kinds = vec![Kind::Unreadable, Kind::NotSignedIn, Kind::Unavailable];
                if of_a_site {
                    kinds.extend([Kind::NotAllowed, Kind::NotFound]);
                }
                if operation.request_body.is_some() {
                    kinds.extend([
                        Kind::TooSlow,
                        Kind::TooLarge,
                        Kind::MediaType,
                        Kind::Refused,
                    ]);
                }
                if takes(operation, "from") && takes(operation, "to") {
                    kinds.push(Kind::Refused);
                }
                say_how_parameters_read(operation);
                if takes(operation, "Idempotency-Key") {
                    kinds.extend([Kind::State, Kind::Refused]);
                }
                if takes(operation, "If-Match") {
                    kinds.extend([Kind::Stale, Kind::NeedsEtag]);
                }
                for kind in kinds {
                    add_problem(operation, kind);
                }
                complete_answers(operation);
                if !open {
                    operation.security = Some(vec![signed_in.clone()]);
                }
            }
        }
    }
}

fn takes(operation: &Operation, name: &str) -> bool {
    let parameters = operation.parameters.as_deref().unwrap_or_default();
    parameters
        .iter()
        .any(|parameter| matches!(parameter, RefOr::T(parameter) if parameter.name == name))
}

/// The headers that name an event and a version are no texts of any kind, and there is no year 0.
fn say_how_parameters_read(operation: &mut Operation) {
    for parameter in operation.parameters.iter_mut().flatten() {
        let RefOr::T(parameter) = parameter else {
            continue;
        };
        let pattern = match parameter.name.as_str() {
            "Idempotency-Key" => KEY,
            "If-Match" => VERSION,
            _ => {
                if let Some(RefOr::T(Schema::Object(value))) = &mut parameter.schema
                    && value.format == Some(SchemaFormat::KnownFormat(KnownFormat::Date))
                {
                    value.pattern = Some(DATE.to_owned());
                }
                continue;
            }
        };
        let text = ObjectBuilder::new()
            .schema_type(Type::String)
            .pattern(Some(pattern));
        parameter.schema = Some(text.build().into());
    }
}

/// A date of a year that there was.
const DATE: &str = "^(?!0000)";
/// A UUID, in quotes or without.
const KEY: &str =
    r#"^"?[0-9A-Fa-f]{8}-[0-9A-Fa-f]{4}-[0-9A-Fa-f]{4}-[0-9A-Fa-f]{4}-[0-9A-Fa-f]{12}"?$"#;
/// One strong entity tag.
const VERSION: &str = r#"^"[0-9]{1,18}"$"#;

/// Every answer has a description, which the format asks for, and every refusal a problem
/// document.
fn complete_answers(operation: &mut Operation) {
    for (code, answer) in &mut operation.responses.responses {
        let RefOr::T(answer) = answer else { continue };
        let kind = Kind::ALL
            .iter()
            .find(|kind| kind.row().1.as_str() == code.as_str());
        let described = !answer.description.is_empty();
        match kind {
            Some(kind) => {
                let whole = problem_answer(*kind);
                answer.content = whole.content;
                if !described {
                    answer.description = whole.description;
                }
            }
            None if described => {}
            None => "Done".clone_into(&mut answer.description),
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
    let segments: Vec<_> = path
        .trim_start_matches("/api/v1")
        .split('/')
        .filter(|segment| !segment.is_empty())
        .collect();
    for (index, segment) in segments.iter().enumerate() {
        let (by, word) = match segment.strip_prefix('{') {
            // Nearly everything is of a site: said only where nothing follows.
            Some("site_id}") if index + 1 < segments.len() => continue,
            Some(name) => ("_by_", name.trim_end_matches('}')),
            None => ("_", *segment),
        };
        id.push_str(by);
        id.push_str(&word.replace('-', "_"));
    }
    id
}

fn add_problem(operation: &mut Operation, kind: Kind) {
    let status = kind.row().1.as_str().to_owned();
    operation
        .responses
        .responses
        .entry(status)
        .or_insert_with(|| RefOr::T(problem_answer(kind)));
}

fn problem_answer(kind: Kind) -> Response {
    let schema = RefOr::Ref(Ref::from_schema_name("Problem"));
    ResponseBuilder::new()
        .description(kind.row().2)
        .content(
            "application/problem+json",
            ContentBuilder::new().schema(Some(schema)).build(),
        )
        .build()
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
    cfg.service(at("/api/openapi.json", "GET").route(web::get().to(serve)))
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
