//! The first owner of an installation.

use actix_web::{HttpRequest, HttpResponse, web};
use maud::{Markup, html};
use serde::Deserialize;

use super::parts::form::{again, narrow, new_password, wrong};
use super::{answer, see_other, session};
use crate::desk::first_owner::{FirstOwner, first_owner_make, is_awaited};
use crate::http::problem::{Kind, Problem};
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::words::say;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(
        at("/first-owner", "GET, POST")
            .route(web::get().to(ask))
            .route(web::post().to(make)),
    );
}

async fn ask(office: State) -> Result<HttpResponse, Problem> {
    if at_the_desk(&office, is_awaited).await? {
        Ok(answer(page("", "", None)))
    } else {
        Err(Problem::new(Kind::NotFound, "there is an owner"))
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Form {
    token: String,
    name: String,
    email: String,
    password: String,
}

async fn make(
    office: State,
    req: HttpRequest,
    form: web::Form<Form>,
) -> Result<HttpResponse, Problem> {
    let form = form.into_inner();
    let (name, email) = (form.name.clone(), form.email.clone());
    if session::is_open_to_others(&req) {
        let wrong = say("sign-in-needs-https");
        return Ok(again(page(&name, &email, Some(&wrong))));
    }
    let sent = FirstOwner {
        token: form.token,
        name: form.name,
        email: form.email,
        password: form.password,
    };
    match at_the_desk(&office, move |o| first_owner_make(o, &sent)).await {
        Ok(_) => Ok(see_other("/sign-in?set=yes")),
        Err(problem) => Ok(again(page(&name, &email, Some(&wrong(problem)?)))),
    }
}

fn page(name: &str, email: &str, wrong: Option<&str>) -> Markup {
    let form = html! {
        form method="post" action="/first-owner" {
            label for="token" { (say("owner-token")) }
            input #token type="text" name="token" autocomplete="off" required autofocus;
            label for="name" { (say("account-name")) }
            input #name type="text" name="name" value=(name) autocomplete="name" maxlength="120" required;
            label for="email" { (say("sign-in-email")) }
            input #email type="email" name="email" value=(email) autocomplete="username" required;
            (new_password("password"))
            button.button.strong type="submit" { (say("owner-go")) }
        }
    };
    narrow(&say("owner-title"), &say("owner-lead"), wrong, &form)
}
