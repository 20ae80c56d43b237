//! The looks at one court, the newest first.

use actix_web::{HttpResponse, web};
use maud::{Markup, html};

use super::address;
use super::form::place_words;
use crate::desk::Permit;
use crate::desk::access::{SeeAudit, SeeSite};
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
    let (site_id, id) = path.into_inner();
    let may_see_trail = Permit::<SeeAudit>::of((*permit).clone()).is_ok();
    let (site, (court, looks)) = at_the_desk(&office, move |o| {
        Ok((site_read(o, &permit)?, looks_of(o, &permit, id, MOST)?))
    })
    .await?;
    let show = shown(&site);
    let title = say_with(
        "courts-history-title",
        &[("court", court.name.as_str().into())],
    );
    let content = html! {
        h1 { (title) }
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
    let page = Frame::of(&title)
        .site(&site)
        .user(Some(&user))
        .around(&content);
    Ok(answer(page))
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
