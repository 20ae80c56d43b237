//! The second factor on the page of one's account.

use actix_web::{HttpResponse, web};
use maud::{Markup, html};
use serde::Deserialize;

use super::{not_taken, page, seen};
use crate::desk::me::{MeView, OncePassword};
use crate::desk::second_factor::{
    self, Code, RecoveryCodes, SecondFactorBegun, SecondFactorRemoval,
};
use crate::http::pages::parts::form::wrong;
use crate::http::pages::parts::qr;
use crate::http::pages::session::PageUser;
use crate::http::pages::{answer, see_other};
use crate::http::problem::Problem;
use crate::http::read::Person;
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::words::{say, say_with};

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/account/second-factor", "POST").route(web::post().to(begin)))
        .service(at("/account/second-factor/confirm", "POST").route(web::post().to(confirm)))
        .service(at("/account/second-factor/remove", "POST").route(web::post().to(remove)));
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Begun {
    password: String,
}

async fn begin(
    office: State,
    user: PageUser,
    person: Person,
    form: web::Form<Begun>,
) -> Result<HttpResponse, Problem> {
    let again = OncePassword {
        password: form.into_inner().password,
    };
    let begun = at_the_desk(&office, move |o| {
        Ok((second_factor::begin(o, person.0, &again)?, seen(o, person)?))
    });
    match begun.await {
        Ok((begun, me)) => Ok(answer(page(&user, &me, &to_the_phone(&begun), None))),
        Err(problem) => not_taken(&office, &user, person, &wrong(problem)?).await,
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Confirmed {
    code: String,
}

async fn confirm(
    office: State,
    user: PageUser,
    person: Person,
    form: web::Form<Confirmed>,
) -> Result<HttpResponse, Problem> {
    let code = Code {
        code: form.into_inner().code,
    };
    let confirmed = at_the_desk(&office, move |o| {
        let codes = second_factor::confirm(o, person.0, &code)?;
        Ok((codes, seen(o, person)?))
    });
    match confirmed.await {
        Ok((codes, me)) => Ok(answer(page(&user, &me, &on_paper(&codes), None))),
        Err(problem) => not_taken(&office, &user, person, &wrong(problem)?).await,
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Removed {
    password: String,
    code: String,
}

async fn remove(
    office: State,
    user: PageUser,
    person: Person,
    form: web::Form<Removed>,
) -> Result<HttpResponse, Problem> {
    let Removed { password, code } = form.into_inner();
    let removal = SecondFactorRemoval { password, code };
    let removed = at_the_desk(&office, move |o| {
        second_factor::remove(o, person.0, &removal)
    });
    match removed.await {
        Ok(()) => Ok(see_other("/account#second-factor")),
        Err(problem) => not_taken(&office, &user, person, &wrong(problem)?).await,
    }
}

/// What the page says of it, and how it is begun or taken away.
pub(super) fn section(me: &MeView) -> Markup {
    html! {
        h2 #second-factor-title { (say("second-factor-title")) }
        @if me.has_second_factor {
            p { (say_with("second-factor-on", &[("left", me.recovery_codes_left.into())])) }
            details {
                summary { (say("second-factor-remove-title")) }
                form.hold method="post" action="/account/second-factor/remove" {
                    label for="password" { (say("sign-in-password")) }
                    input #password type="password" name="password" autocomplete="current-password" required;
                    label for="code" { (say("second-factor-code-or-paper")) }
                    input #code type="text" name="code" autocomplete="one-time-code" maxlength="16" required;
                    button.button type="submit" { (say("second-factor-remove")) }
                }
            }
        } @else {
            p { (say("second-factor-off")) }
            form.hold method="post" action="/account/second-factor" {
                label for="begin-password" { (say("sign-in-password")) }
                input #begin-password type="password" name="password" autocomplete="current-password" required;
                button.button type="submit" { (say("second-factor-begin")) }
            }
        }
    }
}

/// The secret for the phone, and the field for its first code.
fn to_the_phone(begun: &SecondFactorBegun) -> Markup {
    html! {
        section.stops aria-labelledby="phone-title" {
            h2 #phone-title { (say("second-factor-phone-title")) }
            p { (say("second-factor-phone-lead")) }
            (qr::pattern(&begun.address, &say("second-factor-pattern")))
            p { (say("second-factor-by-hand")) " " span.code { (in_fours(&begun.secret)) } }
            form.hold method="post" action="/account/second-factor/confirm" {
                label for="first-code" { (say("second-factor-code")) }
                input #first-code type="text" name="code" inputmode="numeric" autocomplete="one-time-code"
                    maxlength="8" required autofocus;
                button.button.strong type="submit" { (say("second-factor-confirm")) }
            }
        }
    }
}

/// The codes for the day the phone is lost, shown once.
fn on_paper(codes: &RecoveryCodes) -> Markup {
    html! {
        section.stops role="status" aria-labelledby="paper-title" {
            h2 #paper-title { (say("second-factor-paper-title")) }
            p { (say("second-factor-paper-lead")) }
            ul.codes { @for code in &codes.codes { li.code { (code) } } }
        }
    }
}

fn in_fours(text: &str) -> String {
    let letters: Vec<char> = text.chars().collect();
    let fours: Vec<String> = letters
        .chunks(4)
        .map(|four| four.iter().collect())
        .collect();
    fours.join(" ")
}
