//! Accounts: passwords by mail, the first owner, and what somebody sees and changes of their own account.

use actix_web::{HttpResponse, web};
use serde::Deserialize;
use utoipa::{OpenApi, ToSchema};

use super::sign_in::tokens;
use crate::desk::first_owner::{FirstOwner, first_owner_make};
use crate::desk::me::{MeView, OncePassword, SignInsView, me_read, sign_in_end, sign_ins_read};
use crate::desk::passwords::{self, PasswordBySecret, PasswordChange};
use crate::desk::second_factor::{
    self, Code, RecoveryCodes, SecondFactorBegun, SecondFactorRemoval,
};
use crate::desk::sign_in::{TokenPair, session_begin};
use crate::http::address::ClientAddress;
use crate::http::read::{Body, Person};
use crate::http::route::at;
use crate::http::{Problem, State, at_the_desk};

#[derive(OpenApi)]
#[openapi(paths(
    ask, by_secret, owner, me, change, sign_ins, end_one, begin, confirm, remove
))]
pub(super) struct Doc;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/new-password", "POST").route(web::post().to(ask)))
        .service(at("/password-by-secret", "POST").route(web::post().to(by_secret)))
        .service(at("/first-owner", "POST").route(web::post().to(owner)));
}

/// What only who is signed in may ask.
pub(super) fn user_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/me", "GET").route(web::get().to(me)))
        .service(at("/me/password", "POST").route(web::post().to(change)))
        .service(at("/me/sign-ins", "GET").route(web::get().to(sign_ins)))
        .service(at("/me/sign-ins/{sign_in_id}/end", "POST").route(web::post().to(end_one)))
        .service(at("/me/second-factor", "POST").route(web::post().to(begin)))
        .service(at("/me/second-factor/confirm", "POST").route(web::post().to(confirm)))
        .service(at("/me/second-factor/remove", "POST").route(web::post().to(remove)));
}

#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct Forgotten {
    /// The address of the account.
    email: String,
}

/// Asks for a mail with a link by which a new password is set. The answer is the same whether there is such an account or
/// not.
#[utoipa::path(post, path = "/new-password", tag = "accounts", request_body = Forgotten,
    responses((status = 202, description = "Where there is such an account, a mail is on its way"),
        (status = 429, description = "Too many tries: Retry-After says how long to wait")))]
async fn ask(
    office: State,
    from: ClientAddress,
    Body(body): Body<Forgotten>,
) -> Result<HttpResponse, Problem> {
    at_the_desk(&office, move |o| {
        passwords::new_password_ask(o, &body.email, from.0)
    })
    .await?;
    Ok(HttpResponse::Accepted().finish())
}

/// Sets a first or new password by the secret of a mail, which is good once. Every session of the account ends.
#[utoipa::path(post, path = "/password-by-secret", tag = "accounts", request_body = PasswordBySecret,
    responses((status = 204)))]
async fn by_secret(
    office: State,
    Body(body): Body<PasswordBySecret>,
) -> Result<HttpResponse, Problem> {
    at_the_desk(&office, move |o| passwords::password_by_secret(o, &body)).await?;
    Ok(HttpResponse::NoContent().finish())
}

/// Makes the first owner of the installation, by the token that the service printed when it started.
#[utoipa::path(post, path = "/first-owner", tag = "accounts", request_body = FirstOwner,
    responses((status = 204), (status = 409, description = "The installation has an owner")))]
async fn owner(office: State, Body(body): Body<FirstOwner>) -> Result<HttpResponse, Problem> {
    at_the_desk(&office, move |o| first_owner_make(o, &body)).await?;
    Ok(HttpResponse::NoContent().finish())
}

/// One's own account.
#[utoipa::path(get, path = "/me", tag = "accounts",
    responses((status = 200, body = MeView), (status = 403, description = "Not a person")))]
async fn me(office: State, person: Person) -> Result<HttpResponse, Problem> {
    let view = at_the_desk(&office, move |o| me_read(o, person.0)).await?;
    Ok(HttpResponse::Ok().json(view))
}

/// Changes one's own password. Every session ends; the answer begins a new one.
#[utoipa::path(post, path = "/me/password", tag = "accounts", request_body = PasswordChange,
    responses((status = 200, body = TokenPair), (status = 403, description = "Not a person"),
        (status = 429, description = "Too many tries: Retry-After says how long to wait")))]
async fn change(
    office: State,
    person: Person,
    Body(body): Body<PasswordChange>,
) -> Result<HttpResponse, Problem> {
    let pair = at_the_desk(&office, move |o| {
        passwords::password_change(o, person.0, &body)?;
        session_begin(o, person.0.user_id)
    })
    .await?;
    Ok(tokens(&pair))
}

/// What one is signed in with.
#[utoipa::path(get, path = "/me/sign-ins", tag = "accounts",
    responses((status = 200, body = SignInsView), (status = 403, description = "Not a person")))]
async fn sign_ins(office: State, person: Person) -> Result<HttpResponse, Problem> {
    let view = at_the_desk(&office, move |o| sign_ins_read(o, person.0)).await?;
    Ok(HttpResponse::Ok().json(view))
}

/// Ends one of one's sign-ins, at once.
#[utoipa::path(post, path = "/me/sign-ins/{sign_in_id}/end", tag = "accounts",
    params(("sign_in_id" = i64, Path)), request_body = OncePassword,
    responses((status = 204), (status = 403, description = "Not a person"), (status = 404, description = "It has ended, or is not yours"),
        (status = 429, description = "Too many tries: Retry-After says how long to wait")))]
async fn end_one(
    office: State,
    person: Person,
    path: web::Path<i64>,
    Body(again): Body<OncePassword>,
) -> Result<HttpResponse, Problem> {
    let id = path.into_inner();
    at_the_desk(&office, move |o| sign_in_end(o, person.0, id, &again)).await?;
    Ok(HttpResponse::NoContent().finish())
}

/// Begins a second factor (RFC 6238). It is asked for once a code of it was confirmed.
#[utoipa::path(post, path = "/me/second-factor", tag = "accounts", request_body = OncePassword,
    responses((status = 200, body = SecondFactorBegun), (status = 403, description = "Not a person"),
        (status = 409, description = "There is one already"),
        (status = 429, description = "Too many tries: Retry-After says how long to wait")))]
async fn begin(
    office: State,
    person: Person,
    Body(again): Body<OncePassword>,
) -> Result<HttpResponse, Problem> {
    let begun = at_the_desk(&office, move |o| second_factor::begin(o, person.0, &again)).await?;
    Ok(secret(&begun))
}

/// Confirms the second factor that was begun by a code of it, and gives the codes for the day the phone is lost.
#[utoipa::path(post, path = "/me/second-factor/confirm", tag = "accounts", request_body = Code,
    responses((status = 200, body = RecoveryCodes), (status = 403, description = "Not a person"),
        (status = 409, description = "None was begun")))]
async fn confirm(
    office: State,
    person: Person,
    Body(body): Body<Code>,
) -> Result<HttpResponse, Problem> {
    let codes = at_the_desk(&office, move |o| second_factor::confirm(o, person.0, &body)).await?;
    Ok(secret(&codes))
}

/// Takes one's own second factor away.
#[utoipa::path(post, path = "/me/second-factor/remove", tag = "accounts", request_body = SecondFactorRemoval,
    responses((status = 204), (status = 403, description = "Not a person"),
        (status = 429, description = "Too many tries: Retry-After says how long to wait")))]
async fn remove(
    office: State,
    person: Person,
    Body(body): Body<SecondFactorRemoval>,
) -> Result<HttpResponse, Problem> {
    at_the_desk(&office, move |o| second_factor::remove(o, person.0, &body)).await?;
    Ok(HttpResponse::NoContent().finish())
}

/// What nobody on the way may keep.
fn secret(what: &impl serde::Serialize) -> HttpResponse {
    HttpResponse::Ok()
        .insert_header(("cache-control", "no-store"))
        .json(what)
}
