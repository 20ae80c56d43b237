//! Signing in and out.

use actix_web::http::StatusCode;
use actix_web::http::header::{self, HeaderValue};
use actix_web::{HttpRequest, HttpResponse, web};
use maud::{Markup, html};
use serde::Deserialize;

use super::parts::form::{again, narrow};
use super::{answer, see_other, session};
use crate::desk::first_owner::is_awaited;
use crate::desk::sign_in::{Credentials, page_sign_in, page_sign_out, page_user};
use crate::http::address::ClientAddress;
use crate::http::problem::{Kind, Problem};
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::words::{say, say_with};

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(
        at("/sign-in", "GET, POST")
            .route(web::get().to(ask))
            .route(web::post().to(take)),
    )
    .service(at("/sign-out", "POST").route(web::post().to(leave)));
}

#[derive(Deserialize)]
struct Wanted {
    next: Option<String>,
    /// A password was just set.
    set: Option<String>,
}

/// The form; who is signed in already goes on.
async fn ask(
    office: State,
    req: HttpRequest,
    wanted: web::Query<Wanted>,
) -> Result<HttpResponse, Problem> {
    let next = local_path(wanted.next.as_deref());
    if let Some(secret) = session::secret(&req) {
        let user = at_the_desk(&office, move |o| page_user(o, &secret)).await;
        match user {
            Ok(_) => return Ok(see_other(next)),
            Err(problem) if problem.kind() == Kind::NotSignedIn => {}
            Err(problem) => return Err(problem),
        }
    }
    let awaits_owner = at_the_desk(&office, is_awaited).await?;
    Ok(answer(form(&Form {
        next,
        was_set: wanted.set.is_some(),
        awaits_owner,
        ..Form::default()
    })))
}

#[derive(Deserialize)]
struct SignIn {
    email: String,
    password: String,
    code: Option<String>,
    next: Option<String>,
}

/// Signs in, or shows the form again with the address and what is wrong.
async fn take(
    office: State,
    req: HttpRequest,
    from: ClientAddress,
    sent: web::Form<SignIn>,
) -> Result<HttpResponse, Problem> {
    let SignIn {
        email,
        password,
        code,
        next,
    } = sent.into_inner();
    let next = local_path(next.as_deref());
    if session::is_open_to_others(&req) {
        return Ok(again(form(&Form {
            next,
            email: &email,
            asks_code: code.is_some(),
            wrong: Some(&say("sign-in-needs-https")),
            ..Form::default()
        })));
    }
    let who = Credentials {
        email: email.trim().to_owned(),
        password,
        code: code.clone(),
        from: from.0,
    };
    let signed_in = at_the_desk(&office, move |o| page_sign_in(o, &who)).await;
    match signed_in.inspect_err(Problem::note_refused_sign_in) {
        Ok(begun) => session::begin(next, &req, begun),
        Err(problem) if problem.kind() == Kind::NotSignedIn => Ok(again(form(&Form {
            next,
            email: &email,
            asks_code: code.is_some(),
            wrong: Some(&say("sign-in-wrong")),
            ..Form::default()
        }))),
        // The password is never sent back: it is typed again, with the code.
        Err(problem) if problem.kind() == Kind::NeedsCode => {
            let text = match code.filter(|code| !code.is_empty()) {
                Some(_) => problem.in_words(),
                None => say("sign-in-needs-code"),
            };
            Ok(again(form(&Form {
                next,
                email: &email,
                asks_code: true,
                wrong: Some(&text),
                ..Form::default()
            })))
        }
        Err(problem) if problem.kind() == Kind::TooMany => {
            let wait = problem.header().unwrap_or_default();
            let text = say_with("sign-in-too-many", &[("seconds", wait.into())]);
            let mut later = answer(form(&Form {
                next,
                email: &email,
                asks_code: code.is_some(),
                wrong: Some(&text),
                ..Form::default()
            }));
            *later.status_mut() = StatusCode::TOO_MANY_REQUESTS;
            let wait = HeaderValue::from_str(wait)
                .map_err(|e| Problem::new(Kind::Failed, e.to_string()))?;
            later.headers_mut().insert(header::RETRY_AFTER, wait);
            Ok(later)
        }
        Err(problem) => Err(problem),
    }
}

/// Ends the session, here and in the browser.
async fn leave(office: State, req: HttpRequest) -> Result<HttpResponse, Problem> {
    if let Some(secret) = session::secret(&req) {
        at_the_desk(&office, move |o| page_sign_out(o, &secret)).await?;
    }
    let mut out = see_other("/sign-in");
    // Whoever uses the browser next finds no page of before by going back.
    out.headers_mut().insert(
        header::HeaderName::from_static("clear-site-data"),
        HeaderValue::from_static("\"cache\""),
    );
    for cookie in session::gone(&req) {
        out.add_cookie(&cookie)
            .map_err(|e| Problem::new(Kind::Failed, e.to_string()))?;
    }
    Ok(out)
}

/// Where to go after signing in: a path of this service, else the first page. `//host` and
/// `/\host` are other hosts to a browser.
fn local_path(next: Option<&str>) -> &str {
    next.filter(|path| {
        path.starts_with('/')
            && !path.starts_with("//")
            && path.bytes().all(|b| b.is_ascii_graphic() && b != b'\\')
    })
    .unwrap_or("/")
}

/// What the form shows.
#[derive(Default)]
struct Form<'a> {
    next: &'a str,
    email: &'a str,
    /// Whether it asks for the code of a second factor.
    asks_code: bool,
    /// Whether a password was just set.
    was_set: bool,
    /// Whether the installation waits for its first owner.
    awaits_owner: bool,
    wrong: Option<&'a str>,
}

fn form(form: &Form<'_>) -> Markup {
    let title = say("sign-in-title");
    let invalid = form.wrong.map(|_| "true");
    let why = form.wrong.map(|_| "wrong");
    let fields = html! {
        @if form.was_set { p.note role="status" { (say("sign-in-set")) } }
        form method="post" action="/sign-in" {
            @if form.next != "/" {
                input type="hidden" name="next" value=(form.next);
            }
            label for="email" { (say("sign-in-email")) }
            input #email type="email" name="email" value=(form.email) autocomplete="username"
                required autofocus[form.email.is_empty()] aria-invalid=[invalid] aria-describedby=[why];
            label for="password" { (say("sign-in-password")) }
            input #password type="password" name="password" autocomplete="current-password"
                required autofocus[!form.email.is_empty()] aria-invalid=[invalid] aria-describedby=[why];
            @if form.asks_code {
                label for="code" { (say("sign-in-code")) }
                input #code type="text" name="code" autocomplete="one-time-code" maxlength="16" required
                    aria-describedby="code-hint";
                p.hint #code-hint { (say("sign-in-code-hint")) }
            }
            button.button.strong type="submit" { (say("sign-in-go")) }
        }
        ul.other-ways {
            @if form.awaits_owner { li { a href="/first-owner" { (say("sign-in-owner")) } } }
            li { a href="/forgotten" { (say("sign-in-forgotten")) } }
            li { a href="/pair" { (say("sign-in-tablet")) } }
        }
    };
    narrow(&title, &say("sign-in-lead"), form.wrong, &fields)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn after_signing_in_one_stays_in_the_house() {
        for path in ["/", "/sites/1/days/2031-06-10", "/today?x=1#north"] {
            assert_eq!(local_path(Some(path)), path);
        }
        for path in [
            "",
            "today",
            "//elsewhere.example/",
            "/\\elsewhere.example",
            "https://elsewhere.example/",
            "data:text/html,hello",
            "/\t/elsewhere.example",
            "/ä",
        ] {
            assert_eq!(local_path(Some(path)), "/", "{path}");
        }
        assert_eq!(local_path(None), "/");
    }
}
