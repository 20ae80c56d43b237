//! Pairing a crew's tablet: the code that the crew lead or the manager reads out.

use actix_web::{HttpRequest, HttpResponse, web};
use maud::{Markup, html};
use serde::Deserialize;

use super::parts::form::{again, narrow, wrong};
use super::{answer, session};
use crate::desk::devices::device_pair;
use crate::desk::sign_in::page_session_begin;
use crate::http::address::ClientAddress;
use crate::http::problem::Problem;
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::words::say;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(
        at("/pair", "GET, POST")
            .route(web::get().to(ask))
            .route(web::post().to(pair)),
    );
}

async fn ask() -> HttpResponse {
    answer(page(None))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Form {
    code: String,
}

async fn pair(
    office: State,
    req: HttpRequest,
    from: ClientAddress,
    form: web::Form<Form>,
) -> Result<HttpResponse, Problem> {
    if session::is_open_to_others(&req) {
        return Ok(again(page(Some(&say("sign-in-needs-https")))));
    }
    let code = form.into_inner().code;
    let paired = at_the_desk(&office, move |o| {
        let device = device_pair(o, &code, from.0)?;
        page_session_begin(o, device)
    });
    match paired.await {
        Ok(begun) => session::begin("/tablet", &req, begun),
        Err(problem) => Ok(again(page(Some(&wrong(problem)?)))),
    }
}

fn page(wrong: Option<&str>) -> Markup {
    let form = html! {
        form method="post" action="/pair" {
            label for="code" { (say("pair-code")) }
            input #code.code type="text" name="code" autocomplete="one-time-code" autocapitalize="characters"
                spellcheck="false" maxlength="16" required autofocus;
            button.button.strong type="submit" { (say("pair-go")) }
        }
        p { a href="/sign-in" { (say("pair-person")) } }
    };
    narrow(&say("pair-title"), &say("pair-lead"), wrong, &form)
}
