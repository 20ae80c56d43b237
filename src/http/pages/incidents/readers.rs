//! Who is named to read of incidents.

use actix_web::{HttpResponse, web};
use maud::{Markup, html};

use super::{address, refused};
use crate::desk::access::{NameReader, SeeSite, SeeUsers};
use crate::desk::incidents::{NewReader, ReaderView, reader_list, reader_name, reader_remove};
use crate::desk::members::{MemberView, member_list};
use crate::desk::{self, Office, Permit};
use crate::http::pages::parts::deed::{Deed, button, key, key_of};
use crate::http::pages::parts::form::{Fields, field, wrong};
use crate::http::pages::see_other;
use crate::http::pages::session::PageUser;
use crate::http::problem::{Kind, Problem};
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::Page;
use crate::store::sites::SiteRow;
use crate::words::{say, say_with};

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/incidents/readers", "POST").route(web::post().to(name)))
        .service(
            at("/incidents/readers/{reader_id:[0-9]+}/remove", "POST")
                .route(web::post().to(remove)),
        );
}

/// Who is named, and who could be.
pub(super) struct Named {
    readers: Vec<ReaderView>,
    members: Vec<MemberView>,
}

pub(super) fn of(
    office: &Office,
    permit: &Permit<NameReader>,
    see: &Permit<SeeSite>,
) -> desk::Result<Named> {
    let users = Permit::<SeeUsers>::of((**see).clone())?;
    Ok(Named {
        readers: reader_list(office, permit, Page::ALL)?.items,
        members: member_list(office, &users, Page::ALL)?.items,
    })
}

pub(super) fn list(site: &SiteRow, named: &Named) -> Markup {
    let here = format!("{}/readers", address(site.id));
    let is_named = |user: i64| named.readers.iter().any(|reader| reader.user_id == user);
    let name = |user: i64| {
        let member = named.members.iter().find(|member| member.id == user);
        member.map_or_else(
            || say("incidents-reader-gone"),
            |member| member.name.clone(),
        )
    };
    html! {
        section.stops aria-labelledby="readers" {
            h2 #readers { (say("incidents-readers")) }
            p { (say("incidents-readers-lead")) }
            @if named.readers.is_empty() { p { strong { (say("incidents-readers-none")) } } }
            @for reader in &named.readers {
                @let name = name(reader.user_id);
                div.stop {
                    p { (name) }
                    (button(
                        &format!("{here}/{}/remove", reader.id),
                        &say_with("incidents-reader-remove", &[("name", name.as_str().into())]),
                        false,
                    ))
                }
            }
            form.hold method="post" action=(here) {
                (key())
                label for="reader" { (say("incidents-reader")) }
                select #reader name="user_id" required {
                    @for member in named.members.iter().filter(|member| !is_named(member.id)) {
                        option value=(member.id) { (member.name) }
                    }
                }
                button.button type="submit" { (say("incidents-reader-name")) }
            }
        }
    }
}

async fn name(
    office: State,
    user: PageUser,
    see: Permit<SeeSite>,
    permit: Permit<NameReader>,
    fields: Fields,
) -> Result<HttpResponse, Problem> {
    let site_id = see.site_id();
    let key = key_of(field(&fields, "client_key"))?;
    let named = field(&fields, "user_id").and_then(|id| id.parse().ok());
    let user_id = named.ok_or_else(|| Problem::new(Kind::Unreadable, "user_id: choose one"))?;
    let new = NewReader { user_id };
    match at_the_desk(&office, move |o| reader_name(o, &permit, key, &new)).await {
        Ok(_) => Ok(see_other(&format!("{}#readers", address(site_id)))),
        Err(problem) => refused(&office, &user, see, &wrong(problem)?).await,
    }
}

/// Whoever was taken off meanwhile is off.
async fn remove(
    office: State,
    permit: Permit<NameReader>,
    path: web::Path<(i64, i64)>,
    _: web::Form<Deed>,
) -> Result<HttpResponse, Problem> {
    let (site_id, id) = path.into_inner();
    match at_the_desk(&office, move |o| reader_remove(o, &permit, id)).await {
        Err(problem) if problem.kind() != Kind::NotFound => Err(problem),
        _ => Ok(see_other(&format!("{}#readers", address(site_id)))),
    }
}
