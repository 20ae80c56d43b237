//! Who and what has access to a site: people, crews' tablets, keys for pulls. Each reader sees what their role shows.

mod keys;
mod people;
mod tablets;

use actix_web::{HttpResponse, web};
use maud::{Markup, html};

use super::parts::form::again;
use super::parts::frame::Frame;
use super::session::PageUser;
use super::{answer, audit, site_words};
use crate::desk::access::{EditSite, PairDevice, Permission, Permit, SeeKeys, SeeSite, SeeUsers};
use crate::desk::api_keys::key_list;
use crate::desk::devices::device_list;
use crate::desk::members::{MemberView, member_list};
use crate::desk::sites::site_read;
use crate::http::problem::{Kind, Problem};
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::api_keys::ApiKeyRow;
use crate::store::devices::DeviceRow;
use crate::store::sites::SiteRow;
use crate::store::{Instant, Page, Scope};
use crate::words::say;

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/access", "GET").route(web::get().to(read)))
        .configure(people::routes)
        .configure(tablets::routes)
        .configure(keys::routes);
}

/// All that the page shows; what the reader's role does not show is not there.
struct View {
    site: SiteRow,
    now: Instant,
    people: Option<Vec<MemberView>>,
    tablets: Option<Vec<DeviceRow>>,
    keys: Option<Vec<ApiKeyRow>>,
    scope: Scope,
}

impl View {
    /// Whether the reader may do this.
    fn may<P: Permission>(&self) -> bool {
        Permit::<P>::of(self.scope.clone()).is_ok()
    }
}

async fn read(
    office: State,
    user: PageUser,
    permit: Permit<SeeSite>,
) -> Result<HttpResponse, Problem> {
    let view = view(&office, permit).await?;
    if view.people.is_none() && view.tablets.is_none() && view.keys.is_none() {
        return Err(Problem::new(Kind::NotAllowed, "not for this role"));
    }
    Ok(answer(page(&view, &user, &html! {}, None)))
}

async fn view(office: &State, permit: Permit<SeeSite>) -> Result<View, Problem> {
    at_the_desk(office, move |o| {
        let scope = || (*permit).clone();
        let people = Permit::<SeeUsers>::of(scope()).ok();
        let tablets = Permit::<PairDevice>::of(scope()).ok();
        let keys = Permit::<SeeKeys>::of(scope()).ok();
        Ok(View {
            site: site_read(o, &permit)?,
            now: o.now(),
            people: people
                .map(|may| member_list(o, &may, Page::ALL))
                .transpose()?
                .map(|all| all.items),
            tablets: tablets
                .map(|may| device_list(o, &may, Page::ALL))
                .transpose()?
                .map(|all| all.items),
            keys: keys
                .map(|may| key_list(o, &may, Page::ALL))
                .transpose()?
                .map(|all| all.items),
            scope: scope(),
        })
    })
    .await
}

/// The page of a site's access.
fn address(site_id: i64) -> String {
    format!("/sites/{site_id}/access")
}

/// The page with what is shown once: a code, a key, a link.
async fn shown_once(
    office: &State,
    user: &PageUser,
    permit: Permit<SeeSite>,
    shown: &Markup,
) -> Result<HttpResponse, Problem> {
    let view = view(office, permit).await?;
    Ok(answer(page(&view, user, shown, None)))
}

/// The page again, with what was wrong.
async fn not_taken(
    office: &State,
    user: &PageUser,
    permit: Permit<SeeSite>,
    wrong: &str,
) -> Result<HttpResponse, Problem> {
    let view = view(office, permit).await?;
    Ok(again(page(&view, user, &html! {}, Some(wrong))))
}

fn page(view: &View, user: &PageUser, shown: &Markup, wrong: Option<&str>) -> Markup {
    let title = say("access-title");
    let content = html! {
        h1 { (title) }
        @if let Some(wrong) = wrong { p.wrong role="alert" { (wrong) } }
        (shown)
        @if view.may::<EditSite>() {
            p.deeds {
                a.button href=(audit::address(view.site.id)) { (say("audit-title")) }
                a.button href=(site_words::address(view.site.id)) { (say("words-title")) }
            }
        }
        div.access {
            @if let Some(people) = &view.people { (people::section(view, people)) }
            @if let Some(tablets) = &view.tablets { (tablets::section(view, tablets)) }
            @if let Some(keys) = &view.keys { (keys::section(view, keys)) }
        }
    };
    Frame::of(&title)
        .site(&view.site)
        .user(Some(user))
        .around(&content)
}
