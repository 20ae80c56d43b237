//! The looks at one court, the newest first.

use actix_web::{HttpResponse, web};
use maud::{Markup, html};

use super::address;
use super::first_aid::{OfTheSite, section};
use super::form::place_words;
use crate::desk::Permit;
use crate::desk::access::{EditSite, SeeAudit, SeeSite};
use crate::desk::courts::first_aid_of_site;
use crate::desk::inspections::looks_of;
use crate::desk::sites::site_read;
use crate::http::pages::parts::frame::Frame;
use crate::http::pages::parts::{key_part, shown};
use crate::http::pages::session::PageUser;
use crate::http::pages::{answer, audit};
use crate::http::problem::Problem;
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::inspections::InspectionRow;
use crate::words::shown::Shown;
use crate::words::{say, say_with};

/// How many looks are shown.
const MOST: i64 = 60;

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/courts/{court_id:[0-9]+}", "GET").route(web::get().to(read)));
}

async fn read(
    office: State,
    user: PageUser,
    permit: Permit<SeeSite>,
    path: web::Path<(i64, i64)>,
) -> Result<HttpResponse, Problem> {
    Ok(answer(page(&office, &user, permit, path.1, None).await?))
}

/// The page of a court, with what was wrong in its form on top.
pub(super) async fn page(
    office: &State,
    user: &PageUser,
    permit: Permit<SeeSite>,
    id: i64,
    wrong: Option<&str>,
) -> Result<Markup, Problem> {
    let may_see_trail = Permit::<SeeAudit>::of((*permit).clone()).is_ok();
    let may_edit = Permit::<EditSite>::of((*permit).clone()).is_ok();
    let (site, usual, (court, looks)) = at_the_desk(office, move |o| {
        let (kit, way) = first_aid_of_site(o, &permit)?;
        let usual = OfTheSite {
            first_aid: kit,
            ambulance_way: way,
        };
        Ok((
            site_read(o, &permit)?,
            usual,
            looks_of(o, &permit, id, MOST)?,
        ))
    })
    .await?;
    let site_id = site.id;
    let show = shown(&site);
    let title = say_with(
        "courts-history-title",
        &[("court", court.name.as_str().into())],
    );
    let content = html! {
        h1 { (title) }
        @if let Some(text) = wrong { p.wrong role="alert" { (text) } }
        (section(site_id, &court, &usual, may_edit))
        @if looks.is_empty() {
            p { (say("courts-history-none")) }
        } @else {
            p { (say_with("courts-history-newest", &[("count", looks.len().into())])) }
            ul.court-list { @for look in &looks { (one(&show, look)) } }
        }
        p.deeds {
            a.button href=(address(site_id)) { (say("courts-back")) }
            @if may_see_trail {
                a.button href=(audit::address_of(site_id, "court", id)) { (say("audit-of-court")) }
            }
        }
    };
    Ok(Frame::of(&title)
        .site(&site)
        .user(Some(user))
        .around(&content))
}

fn one(show: &Shown, look: &InspectionRow) -> Markup {
    html! {
        li.court-card {
            h2 { time datetime=(look.seen_at.utc().to_rfc3339()) { (show.date_time(look.seen_at)) } }
            dl.facts.is-wide {
                @for (name, what) in seen(look) {
                    div { dt { (say(&format!("look-{}", key_part(name)))) } dd { (what) } }
                }
            }
            @if let Some(note) = &look.note { p { (note) } }
        }
    }
}

/// What was looked at, each with what was seen.
fn seen(look: &InspectionRow) -> Vec<(&'static str, String)> {
    let yes = |told: Option<bool>| told.map(|yes| say(if yes { "look-yes" } else { "look-no" }));
    let firmness = look
        .firmness
        .map(|word| say(&format!("look-firmness-{}", word.0)));
    let moisture = look
        .moisture
        .map(|word| say(&format!("look-moisture-{}", word.0)));
    let spots = look.low_spots.as_ref().map(|spots| {
        let places: Vec<String> = spots.0.iter().copied().map(place_words).collect();
        if places.is_empty() {
            say("look-low-spots-none")
        } else {
            places.join(", ")
        }
    });
    [
        ("firmness", firmness),
        ("moisture", moisture),
        ("standing_water", yes(look.standing_water)),
        ("frozen", yes(look.frozen)),
        ("low_spots", spots),
        ("leaves", yes(look.leaves)),
        ("algae", yes(look.algae)),
        ("hardpan", yes(look.hardpan)),
        ("baselines_packed", yes(look.baselines_packed)),
        ("newly_dressed", yes(look.newly_dressed)),
    ]
    .into_iter()
    .filter_map(|(name, what)| Some((name, what?)))
    .collect()
}
