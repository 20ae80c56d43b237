//! What tablets sent: what waits to be mended, and all that came on a date, as it was told and what became of it.

use actix_web::{HttpResponse, web};
use chrono::NaiveDate;
use maud::{Markup, html};
use serde::Deserialize;
use serde_json::Value;
use trade::calendar::{day_start, work_date};

use super::parts::days::other_days;
use super::parts::frame::Frame;
use super::parts::{key_part, shown};
use super::session::PageUser;
use super::{answer, order};
use crate::desk::Permit;
use crate::desk::access::{SeeCrews, SeeSent, SeeSite};
use crate::desk::crews::{crew_list, person_list};
use crate::desk::sites::site_read;
use crate::desk::tablet::{SentView, sent_list};
use crate::http::problem::Problem;
use crate::http::read::{Day, Query};
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::Page;
use crate::store::sites::SiteRow;
use crate::store::tablet_events::{Outcome, SentFilter};
use crate::words::shown::{Shown, date_long};
use crate::words::{knows, say, say_with};

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/sent", "GET").route(web::get().to(read)));
}

/// The page of what a site's tablets sent.
pub fn address(site_id: i64) -> String {
    format!("/sites/{site_id}/sent")
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Asked {
    date: Option<Day>,
}

/// All that the page shows.
struct View {
    site: SiteRow,
    date: NaiveDate,
    /// What was refused and is not mended yet.
    waiting: Vec<SentView>,
    /// What came on the date.
    came: Vec<SentView>,
    people: Vec<(i64, String)>,
    crews: Vec<(i64, String)>,
}

async fn read(
    office: State,
    user: PageUser,
    see: Permit<SeeSite>,
    crews: Permit<SeeCrews>,
    permit: Permit<SeeSent>,
    Query(asked): Query<Asked>,
) -> Result<HttpResponse, Problem> {
    let view = at_the_desk(&office, move |o| {
        let site = site_read(o, &see)?;
        let zone = shown(&site).zone;
        let date = asked
            .date
            .map_or_else(|| work_date(zone, o.now().utc()), |day| day.0);
        let ends = date.succ_opt().unwrap_or(date);
        let waiting = SentFilter {
            outcome: Some(Outcome::Refused),
            unmended: true,
            learned: None,
        };
        let came = SentFilter {
            learned: Some((day_start(zone, date).into(), day_start(zone, ends).into())),
            ..SentFilter::default()
        };
        let most = Page {
            after: 0,
            limit: Page::MOST,
        };
        let people = person_list(o, &crews, Page::ALL)?.items.into_iter();
        let all_crews = crew_list(o, &crews, Page::ALL)?.items.into_iter();
        Ok(View {
            site,
            date,
            waiting: sent_list(o, &permit, waiting, most)?.items,
            came: sent_list(o, &permit, came, Page::ALL)?.items,
            people: people.map(|person| (person.id, person.name)).collect(),
            crews: all_crews.map(|crew| (crew.id, crew.name)).collect(),
        })
    })
    .await?;
    Ok(answer(page(&view, &user)))
}

fn page(view: &View, user: &PageUser) -> Markup {
    let title = say("sent-title");
    let show = shown(&view.site);
    let here = address(view.site.id);
    let content = html! {
        h1 { (title) }
        p { (say("sent-lead")) }
        section.stops aria-labelledby="sent-waiting" {
            h2 #sent-waiting { (say("sent-waiting")) }
            @if view.waiting.is_empty() {
                p { (say("sent-waiting-none")) }
            } @else {
                p { (say("sent-waiting-lead")) }
                ul.access-list { @for one in &view.waiting { (card(&show, view, one)) } }
            }
        }
        section.stops aria-labelledby="sent-came" {
            h2 #sent-came { (say_with("sent-came", &[("date", date_long(view.date).into())])) }
            (other_days(view.date, |date| format!("{here}?date={date}")))
            @if view.came.is_empty() {
                p { (say("sent-none")) }
            } @else {
                ul.access-list { @for one in &view.came { (card(&show, view, one)) } }
            }
        }
    };
    Frame::of(&title)
        .site(&view.site)
        .user(Some(user))
        .around(&content)
}

fn card(show: &Shown, view: &View, one: &SentView) -> Markup {
    let kind = one.happening["kind"].as_str().unwrap_or_default();
    let of = |all: &[(i64, String)], id: Option<i64>| {
        let found = all.iter().find(|(known, _)| Some(*known) == id);
        found.map(|(_, name)| name.clone())
    };
    let who = [
        of(&view.people, one.person_id),
        of(&view.crews, one.crew_id),
    ];
    let who: Vec<_> = who.into_iter().flatten().collect();
    let was_off = (one.happened_at.utc() - one.device_at.utc()).num_minutes();
    html! {
        li {
            p {
                strong { (word("sent-kind", kind)) }
                @if !who.is_empty() { " · " (who.join(", ")) }
                @if let Some(id) = one.order_id {
                    " · " a.inline href=(order::address(view.site.id, id)) {
                        (say_with("order-title", &[("order", id.to_string().into())]))
                    }
                }
            }
            p {
                (say(&format!("sent-{}", one.outcome.map_or("unknown", Outcome::as_str))))
                @if let Some(why) = why(one) { ": " (why) }
            }
            p.hint {
                time datetime=(one.happened_at.utc().to_rfc3339()) { (show.date_time(one.happened_at)) }
                " · " (say_with("order-known-at", &[("time", show.date_time(one.learned_at).into())]))
                @if was_off != 0 { " · " (say_with("sent-clock", &[("minutes", was_off.abs().into())])) }
            }
            @if let Some(note) = one.happening["note"].as_str().filter(|note| !note.is_empty()) {
                p { (say("order-note")) ": " (note) }
            }
            (people(view, &one.happening))
        }
    }
}

/// Who worked how long, as the tablet told it: what a refused closing would have booked.
fn people(view: &View, happening: &Value) -> Markup {
    let told = happening["people"].as_array();
    let told: Vec<String> = told
        .into_iter()
        .flatten()
        .filter_map(|one| {
            let (id, minutes) = (one["person_id"].as_i64()?, one["minutes"].as_i64()?);
            let person = view.people.iter().find(|(known, _)| *known == id);
            let name = person.map_or_else(|| id.to_string(), |(_, name)| name.clone());
            Some(say_with(
                "sent-minutes",
                &[("name", name.into()), ("minutes", minutes.into())],
            ))
        })
        .collect();
    html! { @if !told.is_empty() { p { (told.join(", ")) } } }
}

/// What was wrong, as the tablet was told it.
fn why(one: &SentView) -> Option<String> {
    let fields = one.why.errors.iter().map(|fault| fault.detail.clone());
    let all: Vec<String> = one.why.detail.iter().cloned().chain(fields).collect();
    (!all.is_empty()).then(|| all.join("; "))
}

/// A newer tablet may send a kind that these pages do not know.
fn word(list: &str, word: &str) -> String {
    let key = format!("{list}-{}", key_part(word));
    if knows(&key) {
        say(&key)
    } else {
        word.replace('_', " ")
    }
}
