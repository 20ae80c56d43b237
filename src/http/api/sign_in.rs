//! Signing in, refreshing, signing out; pairing a crew's tablet.

use actix_web::{HttpResponse, web};
use serde::Deserialize;
use utoipa::{OpenApi, ToSchema};

use crate::desk::devices;
use crate::desk::sign_in::{self, Credentials, TokenPair};
use crate::http::address::ClientAddress;
use crate::http::read::{Body, Person};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};

#[derive(OpenApi)]
#[openapi(paths(create, refresh, end, pair, end_all))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/sign-in", "POST").route(web::post().to(create)))
        .service(at("/refresh", "POST").route(web::post().to(refresh)))
        .service(at("/sign-out", "POST").route(web::post().to(end)))
        .service(at("/pair", "POST").route(web::post().to(pair)));
}

/// What only who is signed in may ask.
pub(super) fn user_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/sign-out-everywhere", "POST").route(web::post().to(end_all)));
}

#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct SignIn {
    email: String,
    password: String,
    /// The code of the second factor, where the account has one: six digits of the phone, or one for the day it is lost.
    #[serde(default)]
    code: Option<String>,
}

#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct Refresh {
    refresh_token: String,
}

#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct Pairing {
    /// The code that was read out, however it is typed.
    #[schema(example = "7K3M-P9QX")]
    code: String,
}

/// Signs in with an address and a password, and the code of a second factor where the account has one: a problem
/// `needs_code` says so.
#[utoipa::path(post, path = "/sign-in", tag = "sign in", request_body = SignIn,
    responses((status = 200, body = TokenPair), (status = 429, description = "Too many tries: Retry-After says how long to wait")))]
async fn create(
    office: State,
    from: ClientAddress,
    Body(body): Body<SignIn>,
) -> Result<HttpResponse, Problem> {
    let who = Credentials {
        email: body.email,
        password: body.password,
        code: body.code,
        from: from.0,
    };
    let pair = at_the_desk(&office, move |o| sign_in::sign_in(o, &who)).await;
    let pair = pair.inspect_err(Problem::note_refused_sign_in)?;
    Ok(tokens(&pair))
}

/// A new pair of tokens for a refresh token. Until the new refresh token was used, the old one brings the same one again,
/// for an answer that was lost; after that it ends the session.
#[utoipa::path(post, path = "/refresh", tag = "sign in", request_body = Refresh,
    responses((status = 200, body = TokenPair)))]
async fn refresh(office: State, Body(body): Body<Refresh>) -> Result<HttpResponse, Problem> {
    let pair = at_the_desk(&office, move |o| sign_in::refresh(o, &body.refresh_token)).await?;
    Ok(tokens(&pair))
}

/// Ends the session of a refresh token.
#[utoipa::path(post, path = "/sign-out", tag = "sign in", request_body = Refresh,
    responses((status = 204)))]
async fn end(office: State, Body(body): Body<Refresh>) -> Result<HttpResponse, Problem> {
    at_the_desk(&office, move |o| sign_in::sign_out(o, &body.refresh_token)).await?;
    Ok(HttpResponse::NoContent().finish())
}

/// Pairs a crew's tablet by the code that its site gave out. It stays signed in until its access is taken away.
#[utoipa::path(post, path = "/pair", tag = "sign in", request_body = Pairing,
    responses((status = 200, body = TokenPair), (status = 429, description = "Too many tries: Retry-After says how long to wait")))]
async fn pair(
    office: State,
    from: ClientAddress,
    Body(body): Body<Pairing>,
) -> Result<HttpResponse, Problem> {
    let pair = at_the_desk(&office, move |o| {
        let device = devices::device_pair(o, &body.code, from.0)?;
        sign_in::session_begin(o, device)
    })
    .await?;
    Ok(tokens(&pair))
}

/// Ends every session of the user who asks, of the API and of the pages, this one too.
#[utoipa::path(post, path = "/sign-out-everywhere", tag = "sign in",
    responses((status = 204), (status = 403, description = "Not a person")))]
async fn end_all(office: State, person: Person) -> Result<HttpResponse, Problem> {
    at_the_desk(&office, move |o| sign_in::sign_out_everywhere(o, person.0)).await?;
    Ok(HttpResponse::NoContent().finish())
}

/// A pair of tokens, which nobody on the way keeps.
pub(super) fn tokens(pair: &TokenPair) -> HttpResponse {
    HttpResponse::Ok()
        .insert_header(("cache-control", "no-store"))
        .json(pair)
}
