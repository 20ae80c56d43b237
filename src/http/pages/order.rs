//! One work order whole: where it stands, all that happened to it with both times, what was said and shown of it, and what
//! can still be done: looked over, handed over, taken back, noted on.

mod deeds;
mod life;

use actix_web::http::StatusCode;
use actix_web::{HttpResponse, web};
use maud::{Markup, html};

use super::day::order::{facts, what, work};
use super::parts::frame::Frame;
use super::parts::{court, key_part, shown};
use super::session::PageUser;
use super::{answer, audit, home, pictures};
use crate::desk::access::{Permit, SeeAudit, SeeCrews, SeeOrders, SeePictures, SeeSite};
use crate::desk::crews::{crew_list, shift_list};
use crate::desk::orders::{OrderView, OrderWhole, order_whole};
use crate::desk::pictures::{PictureView, picture_list};
use crate::desk::sites::site_read;
use crate::http::problem::Problem;
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::Page;
use crate::store::orders::OrderState;
use crate::store::pictures::{PictureFilter, PictureSubject};
use crate::store::sites::SiteRow;
use crate::words::shown::{Shown, date_long};
use crate::words::{say, say_with};

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/orders/{order_id:[0-9]+}", "GET").route(web::get().to(read)))
        .configure(deeds::site_routes);
}

/// The page of a work order.
pub fn address(site_id: i64, order_id: i64) -> String {
    format!("/sites/{site_id}/orders/{order_id}")
}

/// What the page shows.
struct Seen {
    site: SiteRow,
    order: OrderWhole,
    pictures: Vec<PictureView>,
    /// The other crews on shift on its date: whom it can be handed to.
    others: Vec<(i64, String)>,
}

async fn read(
    office: State,
    user: PageUser,
    see: Permit<SeeSite>,
    permit: Permit<SeeOrders>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (_, id) = path.into_inner();
    Ok(answer(page(&office, &user, see, permit, id, None).await?))
}

/// The page again, with what was wrong in a form on top.
async fn refused(
    office: &State,
    user: &PageUser,
    (see, permit): (Permit<SeeSite>, Permit<SeeOrders>),
    id: i64,
    wrong: &str,
) -> Result<HttpResponse, Problem> {
    let mut again = answer(page(office, user, see, permit, id, Some(wrong)).await?);
    *again.status_mut() = StatusCode::UNPROCESSABLE_ENTITY;
    Ok(again)
}

async fn page(
    office: &State,
    user: &PageUser,
    see: Permit<SeeSite>,
    permit: Permit<SeeOrders>,
    id: i64,
    wrong: Option<&str>,
) -> Result<Markup, Problem> {
    let scope = (*permit).clone();
    let may_audit = Permit::<SeeAudit>::of(scope.clone()).is_ok();
    let may = deeds::May::of(&scope);
    let seen = at_the_desk(office, move |o| {
        let order = order_whole(o, &permit, id)?;
        let row = &order.view.order;
        let of_it = PictureFilter {
            subject: Some(PictureSubject::Order),
            subject_id: Some(id),
            ..PictureFilter::default()
        };
        let pictures = match Permit::<SeePictures>::of(scope.clone()) {
            Ok(look) => picture_list(o, &look, &of_it, Page::ALL)?.items,
            Err(_) => Vec::new(),
        };
        let with_its_crew = matches!(row.state, OrderState::Issued | OrderState::UnderWay);
        let others = match Permit::<SeeCrews>::of(scope) {
            Ok(crews) if with_its_crew => {
                let shifts = shift_list(o, &crews, Some(row.work_date), Page::ALL)?.items;
                let on = |crew: i64| shifts.iter().any(|one| one.shift.crew_id == crew);
                let all = crew_list(o, &crews, Page::ALL)?.items.into_iter();
                let others = all.filter(|crew| crew.id != row.crew_id && on(crew.id));
                others.map(|crew| (crew.id, crew.name)).collect()
            }
            _ => Vec::new(),
        };
        Ok(Seen {
            site: site_read(o, &see)?,
            order,
            pictures,
            others,
        })
    })
    .await?;
    let show = shown(&seen.site);
    let title = say_with("order-title", &[("order", id.to_string().into())]);
    let content = html! {
        (court::drawings())
        (head(&show, &seen, &title))
        @if let Some(text) = wrong { p.wrong role="alert" { (text) } }
        div.order-whole {
            (facts(&show, &seen.order.view))
            (work(&show, &seen.order.view))
            (done(&seen.order.view))
        }
        (pictures::shown(seen.site.id, &seen.pictures))
        div.access {
            (life::list(&show, &seen.order))
            div { (deeds::list(&seen, &may)) }
        }
        @if may_audit {
            p.deeds { a.button href=(audit::address_of(seen.site.id, "order", id)) { (say("order-trail")) } }
        }
    };
    Ok(Frame::of(&title)
        .site(&seen.site)
        .user(Some(user))
        .around(&content))
}

/// The steps that its crew did.
fn done(view: &OrderView) -> Markup {
    let done = view.steps.iter().filter(|step| step.done == Some(true));
    let names: Vec<_> = done.map(|step| step.name.as_str()).collect();
    html! {
        @if !names.is_empty() {
            dl.facts { div { dt { (say("order-done")) } dd { (names.join(", ")) } } }
        }
    }
}

fn head(show: &Shown, seen: &Seen, title: &str) -> Markup {
    let view = &seen.order.view;
    let order = &view.order;
    let day = home::day_of(seen.site.id, order.work_date);
    html! {
        p.over { (title) " · " a.inline href={ (day) "#order-" (order.id) } { (date_long(order.work_date)) } }
        h1 { (view.place) " · " (what(view)) }
        p {
            strong { (say(&format!("order-state-{}", key_part(order.state.as_str())))) }
            " · " (view.crew) " · " (show.span(order.planned_start, order.planned_end))
        }
        @if let Some(first) = order.follows_id {
            p { a.inline href=(address(seen.site.id, first)) { (say_with("order-follows", &[("order", first.to_string().into())])) } }
        }
        @for next in &seen.order.followed_by {
            p { a.inline href=(address(seen.site.id, *next)) { (say_with("order-followed-by", &[("order", next.to_string().into())])) } }
        }
    }
}
