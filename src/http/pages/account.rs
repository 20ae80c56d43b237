//! One's own account: password, second factor, what is signed in.

mod second_factor;

use actix_web::{HttpRequest, HttpResponse, web};
use maud::{Markup, html};
use serde::Deserialize;

use super::parts::form::{again, new_password, wrong};
use super::parts::frame::Frame;
use super::session::{self, PageUser};
use super::{answer, installation, see_other};
use crate::desk::me::{MeView, SignInView, me_read, sign_ins_read};
use crate::desk::passwords::{PasswordChange, password_change};
use crate::desk::sign_in::{page_session_begin, sign_out_everywhere};
use crate::desk::{self, Office};
use crate::http::problem::Problem;
use crate::http::read::Person;
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::Instant;
use crate::words::{say, say_with};

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/account", "GET").route(web::get().to(read)))
        .service(at("/account/password", "POST").route(web::post().to(change)))
        .service(at("/account/sign-out-everywhere", "POST").route(web::post().to(end_all)))
        .configure(second_factor::routes);
}

async fn read(office: State, user: PageUser, person: Person) -> Result<HttpResponse, Problem> {
    let seen = at_the_desk(&office, move |o| seen(o, person)).await?;
    Ok(answer(page(&user, &seen, &html! {}, None)))
}

/// All that the page shows.
struct Seen {
    me: MeView,
    sign_ins: Vec<SignInView>,
}

fn seen(office: &Office, person: Person) -> desk::Result<Seen> {
    Ok(Seen {
        me: me_read(office, person.0)?,
        sign_ins: sign_ins_read(office, person.0)?.sign_ins,
    })
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Change {
    old_password: String,
    new_password: String,
}

/// Changes the password; whatever else is signed in is signed out, and this browser stays.
async fn change(
    office: State,
    req: HttpRequest,
    user: PageUser,
    person: Person,
    form: web::Form<Change>,
) -> Result<HttpResponse, Problem> {
    let Change {
        old_password,
        new_password,
    } = form.into_inner();
    let change = PasswordChange {
        old_password,
        new_password,
    };
    let changed = at_the_desk(&office, move |o| {
        password_change(o, person.0, &change)?;
        page_session_begin(o, person.0.user_id)
    });
    match changed.await {
        Ok(begun) => session::begin("/account#password", &req, begun),
        Err(problem) => not_taken(&office, &user, person, &wrong(problem)?).await,
    }
}

async fn end_all(office: State, person: Person) -> Result<HttpResponse, Problem> {
    at_the_desk(&office, move |o| sign_out_everywhere(o, person.0)).await?;
    Ok(see_other("/sign-in"))
}

/// The page again, with what was wrong.
async fn not_taken(
    office: &State,
    user: &PageUser,
    person: Person,
    wrong: &str,
) -> Result<HttpResponse, Problem> {
    let seen = at_the_desk(office, move |o| seen(o, person)).await?;
    Ok(again(page(user, &seen, &html! {}, Some(wrong))))
}

/// The page. `shown` is what is shown once: a secret for the phone, codes for the day it is lost.
fn page(user: &PageUser, seen: &Seen, shown: &Markup, wrong: Option<&str>) -> Markup {
    let me = &seen.me;
    let title = say("account-title");
    let content = html! {
        h1 { (title) }
        p { (say_with("account-lead", &[("name", me.name.as_str().into()), ("email", me.email.as_str().into())])) }
        @if let Some(wrong) = wrong { p.wrong role="alert" { (wrong) } }
        (shown)
        @if user.is_owner {
            p.deeds { a.button href=(installation::ADDRESS) { (say("installation-title")) } }
        }
        section.stops #second-factor aria-labelledby="second-factor-title" {
            (second_factor::section(me))
        }
        section.stops #password aria-labelledby="password-title" {
            h2 #password-title { (say("account-password-title")) }
            p { (say("account-password-lead")) }
            form.hold method="post" action="/account/password" {
                // A password manager files the new password under this name.
                input type="hidden" name="username" value=(me.email) autocomplete="username" disabled;
                label for="old_password" { (say("account-old-password")) }
                input #old_password type="password" name="old_password" autocomplete="current-password" required;
                (new_password("new_password"))
                button.button.strong type="submit" { (say("account-password-go")) }
            }
        }
        section.stops aria-labelledby="sessions-title" {
            h2 #sessions-title { (say("account-sessions-title")) }
            ul.access-list { @for one in &seen.sign_ins { li { p { (signed_in_with(one)) } } } }
            p { (say("account-sessions-lead")) }
            form method="post" action="/account/sign-out-everywhere" {
                button.button type="submit" { (say("account-sign-out-everywhere")) }
            }
        }
    };
    Frame::of(&title).user(Some(user)).around(&content)
}

/// A sign-in in words. An account is of no site, so that the times are said in UTC.
fn signed_in_with(one: &SignInView) -> String {
    let at = |at: Instant| at.utc().format("%Y-%m-%d %H:%M UTC").to_string();
    let values = [
        ("began", at(one.began_at).into()),
        ("refreshed", at(one.refreshed_at).into()),
    ];
    say_with(&format!("account-signed-in-{}", one.kind), &values)
}
