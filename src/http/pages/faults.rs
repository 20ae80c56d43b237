//! What went wrong, as a page in plain words.

use actix_web::body::MessageBody;
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::{Method, header};
use actix_web::middleware::Next;
use actix_web::{HttpMessage, HttpRequest, HttpResponse};
use maud::html;

use super::parts::frame::Frame;
use super::session::PageUser;
use crate::http::guard::Guarded;
use crate::http::problem::{Kind, Problem};
use crate::words::say;

/// Makes pages of problems: who is not signed in goes to sign-in, everything else is said.
pub async fn in_plain_words<B: MessageBody + 'static>(
    req: ServiceRequest,
    next: Next<B>,
) -> Guarded<B> {
    let answer = next.call(req).await?;
    let Some(kind) = kind_of(&answer) else {
        return Ok(answer.map_into_left_body());
    };
    let (req, plain) = answer.into_parts();
    let mut page = if kind == Kind::NotSignedIn {
        to_sign_in(&req)
    } else {
        fault_page(&req, kind)
    };
    for name in [header::ALLOW, header::RETRY_AFTER] {
        if let Some(value) = plain.headers().get(&name) {
            page.headers_mut().insert(name, value.clone());
        }
    }
    Ok(ServiceResponse::new(req, page).map_into_right_body())
}

fn kind_of<B>(answer: &ServiceResponse<B>) -> Option<Kind> {
    let error = answer.response().error()?;
    let known = error.as_error::<Problem>().map(Problem::kind);
    let told = answer.status().is_client_error();
    Some(known.unwrap_or(if told { Kind::Unreadable } else { Kind::Failed }))
}

/// Sign-in, which leads back to where one wanted to go. A form that was sent is not sent again.
fn to_sign_in(req: &HttpRequest) -> HttpResponse {
    let wanted = req.uri().path_and_query().map_or("/", |p| p.as_str());
    let place = if req.method() == Method::GET && wanted != "/" {
        let query = serde_urlencoded::to_string([("next", wanted)]).unwrap_or_default();
        format!("/sign-in?{query}")
    } else {
        "/sign-in".to_owned()
    };
    super::see_other(&place)
}

fn fault_page(req: &HttpRequest, kind: Kind) -> HttpResponse {
    let (code, status, _) = kind.row();
    let key = format!("fault-{}", code.replace('_', "-"));
    let title = say(&format!("{key}-title"));
    let user = req.extensions().get::<PageUser>().cloned();
    let content = html! {
        div.notice {
            h1 { (title) }
            p { (say(&format!("{key}-text"))) }
            // Who may not see the first page would be led round and round.
            @if kind != Kind::NotAllowed {
                p { a.button href="/" { (say("fault-way-out")) } }
            }
        }
    };
    let page = Frame::of(&title).user(user.as_ref()).around(&content);
    HttpResponse::build(status)
        .content_type(header::ContentType::html())
        .body(page.into_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_of_problem_has_words_for_the_pages() {
        for kind in Kind::ALL.iter().filter(|kind| **kind != Kind::NotSignedIn) {
            let key = format!("fault-{}", kind.row().0.replace('_', "-"));
            for part in ["title", "text"] {
                assert!(
                    crate::words::knows(&format!("{key}-{part}")),
                    "{key}-{part}"
                );
            }
        }
    }
}
