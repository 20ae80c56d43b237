//! One incident whole, for who is named to read of incidents.

use actix_web::{HttpResponse, web};
use maud::{Markup, html};

use super::{address, what, where_and_when};
use crate::desk::Permit;
use crate::desk::access::{ReadIncident, SeePictures, SeeSite};
use crate::desk::incidents::{WholeIncident, incident_read};
use crate::desk::pictures::picture_list;
use crate::desk::sites::site_read;
use crate::http::pages::parts::frame::Frame;
use crate::http::pages::parts::shown;
use crate::http::pages::session::PageUser;
use crate::http::pages::{answer, pictures};
use crate::http::problem::Problem;
use crate::http::{State, at_the_desk};
use crate::store::Page;
use crate::store::pictures::{PictureFilter, PictureSubject};
use crate::words::say;

pub(super) async fn read(
    office: State,
    user: PageUser,
    see: Permit<SeeSite>,
    permit: Permit<ReadIncident>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    let (site_id, id) = path.into_inner();
    let may_look = Permit::<SeePictures>::of((*see).clone()).ok();
    let (site, whole, pictures) = at_the_desk(&office, move |o| {
        let whole = incident_read(o, &permit, id)?;
        let of_it = PictureFilter {
            subject: Some(PictureSubject::Incident),
            subject_id: Some(id),
            ..PictureFilter::default()
        };
        let pictures = match &may_look {
            Some(look) => picture_list(o, look, &of_it, Page::ALL)?.items,
            None => Vec::new(),
        };
        Ok((site_read(o, &see)?, whole, pictures))
    })
    .await?;
    let title = what(&whole.incident);
    let content = html! {
        h1 { (title) }
        p { (where_and_when(&shown(&site), &whole.incident)) }
        (details(&whole))
        (pictures::shown(site_id, &pictures))
        p.hint { (say("incident-reading-noted")) }
        p.deeds { a.button href=(address(site_id)) { (say("incidents-back")) } }
    };
    Ok(answer(
        Frame::of(&title)
            .site(&site)
            .user(Some(&user))
            .around(&content),
    ))
}

fn details(whole: &WholeIncident) -> Markup {
    let hurt = say(&format!("incident-hurt-{}", whole.anyone_hurt));
    html! {
        dl.facts.is-wide {
            div { dt { (say("incidents-hurt")) } dd { (hurt) } }
            @if let Some(who) = &whole.who_hurt { div { dt { (say("incidents-who")) } dd { (who) } } }
            @if let Some(note) = &whole.note { div { dt { (say("incidents-note")) } dd { (note) } } }
        }
    }
}
