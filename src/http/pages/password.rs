//! A forgotten password, and setting one by the link of a mail.

use actix_web::{HttpRequest, HttpResponse, web};
use maud::{Markup, html};
use serde::Deserialize;

use super::parts::form::{again, narrow, new_password, wrong};
use super::{answer, assets, see_other, session};
use crate::desk::passwords::{PasswordBySecret, new_password_ask, password_by_secret};
use crate::http::address::ClientAddress;
use crate::http::problem::Problem;
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::words::say;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(
        at("/forgotten", "GET, POST")
            .route(web::get().to(forgotten))
            .route(web::post().to(ask)),
    )
    .service(
        at("/password", "GET, POST")
            .route(web::get().to(choose))
            .route(web::post().to(set)),
    );
}

async fn forgotten() -> HttpResponse {
    answer(forgotten_page(None))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Forgotten {
    email: String,
}

/// Says the same whether there is such an account or not.
async fn ask(
    office: State,
    from: ClientAddress,
    form: web::Form<Forgotten>,
) -> Result<HttpResponse, Problem> {
    let email = form.into_inner().email;
    match at_the_desk(&office, move |o| new_password_ask(o, &email, from.0)).await {
        Ok(()) => {
            let back = html! { p { a.button href="/sign-in" { (say("password-back")) } } };
            Ok(answer(narrow(
                &say("forgotten-title"),
                &say("forgotten-asked"),
                None,
                &back,
            )))
        }
        Err(problem) => Ok(again(forgotten_page(Some(&wrong(problem)?)))),
    }
}

fn forgotten_page(wrong: Option<&str>) -> Markup {
    let form = html! {
        form method="post" action="/forgotten" {
            label for="email" { (say("sign-in-email")) }
            input #email type="email" name="email" autocomplete="username" required autofocus;
            button.button.strong type="submit" { (say("forgotten-go")) }
        }
        p { a href="/password" { (say("forgotten-have-code")) } }
    };
    narrow(
        &say("forgotten-title"),
        &say("forgotten-lead"),
        wrong,
        &form,
    )
}

async fn choose() -> HttpResponse {
    answer(choose_page("", None))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Chosen {
    secret: String,
    password: String,
}

async fn set(
    office: State,
    req: HttpRequest,
    form: web::Form<Chosen>,
) -> Result<HttpResponse, Problem> {
    let Chosen { secret, password } = form.into_inner();
    if session::is_open_to_others(&req) {
        let wrong = say("sign-in-needs-https");
        return Ok(again(choose_page(&secret, Some(&wrong))));
    }
    let sent = PasswordBySecret {
        secret: secret.clone(),
        password,
        name: None,
    };
    match at_the_desk(&office, move |o| password_by_secret(o, &sent)).await {
        Ok(_) => Ok(see_other("/sign-in?set=yes")),
        Err(problem) => Ok(again(choose_page(&secret, Some(&wrong(problem)?)))),
    }
}

/// The secret stands after the `#` of the link, which no server is sent; the page's script lays it into the field. Without
/// script it is pasted there.
fn choose_page(secret: &str, wrong: Option<&str>) -> Markup {
    let form = html! {
        form #by-secret method="post" action="/password" {
            div #secret-field {
                label for="secret" { (say("password-secret")) }
                input #secret type="text" name="secret" value=(secret) autocomplete="off" required;
            }
            (new_password("password"))
            button.button.strong type="submit" { (say("password-set")) }
        }
        script type="module" src=(assets::address("password.js")) {}
    };
    narrow(&say("password-title"), &say("password-lead"), wrong, &form)
}
