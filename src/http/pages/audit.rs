//! The audit trail: who did what, when and from where, and of an edit what was before and after.

use actix_web::{HttpResponse, web};
use maud::{Markup, html};
use serde::Deserialize;
use serde_json::{Map, Value};

use super::answer;
use super::parts::frame::Frame;
use super::parts::{key_part, shown};
use super::session::PageUser;
use crate::desk::Permit;
use crate::desk::access::{SeeAudit, SeeCrews, SeeSite};
use crate::desk::audit::{AuditAsked, AuditView, audit_read};
use crate::desk::courts::court_list;
use crate::desk::crews::person_list;
use crate::desk::sites::site_read;
use crate::http::problem::{Kind, Problem};
use crate::http::read::{Query, read_cursor, write_cursor};
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::{Page, Paged};
use crate::words::shown::Shown;
use crate::words::{knows, say, say_with};

/// Events on one page.
const MOST: i64 = 50;

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/audit", "GET").route(web::get().to(read)));
}

/// The trail of a site.
pub fn address(site_id: i64) -> String {
    format!("/sites/{site_id}/audit")
}

/// The trail of a thing of a site: `court`, `person` or `order`, and its id.
pub fn address_of(site_id: i64, kind: &str, id: i64) -> String {
    format!("/sites/{site_id}/audit?about={kind}:{id}")
}

/// What the form asks; what is left empty is not asked.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
struct Asked {
    about: Option<String>,
    order: Option<String>,
    from: Option<String>,
    to: Option<String>,
    cursor: Option<String>,
}

impl Asked {
    fn read(&self) -> Option<(AuditAsked, Page)> {
        let given = |text: &Option<String>| text.clone().filter(|text| !text.trim().is_empty());
        let date = |text: &Option<String>| given(text).map(|text| text.parse()).transpose().ok();
        let mut asked = AuditAsked {
            from: date(&self.from)?,
            to: date(&self.to)?,
            ..AuditAsked::default()
        };
        if let Some(order) = given(&self.order) {
            asked.order_id = Some(order.trim().parse().ok()?);
        } else if let Some(about) = given(&self.about) {
            let (kind, id) = about.split_once(':')?;
            let id = Some(id.parse().ok()?);
            match kind {
                "court" => asked.court_id = id,
                "person" => asked.person_id = id,
                "order" => asked.order_id = id,
                _ => return None,
            }
        }
        let after = match given(&self.cursor) {
            Some(cursor) => read_cursor(&cursor)?,
            None => 0,
        };
        Some((asked, Page { after, limit: MOST }))
    }

    /// The address of the next page.
    fn next(&self, site_id: i64, after: i64) -> String {
        let cursor = write_cursor(after);
        let pairs = [
            ("about", self.about.as_deref()),
            ("order", self.order.as_deref()),
            ("from", self.from.as_deref()),
            ("to", self.to.as_deref()),
            ("cursor", Some(cursor.as_str())),
        ];
        let pairs: Vec<_> = pairs
            .into_iter()
            .filter_map(|(name, text)| Some((name, text.filter(|text| !text.is_empty())?)))
            .collect();
        let query = serde_urlencoded::to_string(pairs).unwrap_or_default();
        format!("/sites/{site_id}/audit?{query}")
    }
}

/// Things by id and name, for the form and the sentences.
struct Names {
    courts: Vec<(i64, String)>,
    people: Vec<(i64, String)>,
}

async fn read(
    office: State,
    user: PageUser,
    permit: Permit<SeeAudit>,
    see_site: Permit<SeeSite>,
    see_crews: Permit<SeeCrews>,
    Query(asked): Query<Asked>,
) -> Result<HttpResponse, Problem> {
    let (what, page) = asked
        .read()
        .ok_or_else(|| Problem::new(Kind::Unreadable, "the form's fields cannot be read"))?;
    let (site, names, events) = at_the_desk(&office, move |o| {
        let courts = court_list(o, &see_site, Page::ALL)?.items;
        let people = person_list(o, &see_crews, Page::ALL)?.items;
        let names = Names {
            courts: courts
                .into_iter()
                .map(|court| (court.id, court.name))
                .collect(),
            people: people
                .into_iter()
                .map(|person| (person.id, person.name))
                .collect(),
        };
        Ok((
            site_read(o, &see_site)?,
            names,
            audit_read(o, &permit, what, page)?,
        ))
    })
    .await?;
    let show = shown(&site);
    let title = say("audit-title");
    let content = html! {
        h1 { (title) }
        p { (say("audit-lead")) }
        (form(site.id, &asked, what, &names))
        (list(&show, &names, &events))
        @if let Some(next) = events.next {
            p.deeds { a.button href=(asked.next(site.id, next)) { (say("audit-older")) } }
        }
    };
    let framed = Frame::of(&title).site(&site).user(Some(&user));
    Ok(answer(framed.around(&content)))
}

fn form(site_id: i64, asked: &Asked, what: AuditAsked, names: &Names) -> Markup {
    let groups = [
        ("court", "audit-courts", &names.courts, what.court_id),
        ("person", "audit-people", &names.people, what.person_id),
    ];
    let order = what.order_id.map(|id| id.to_string()).unwrap_or_default();
    html! {
        form.hold.trail-ask method="get" action=(address(site_id)) {
            div {
                label for="about" { (say("audit-about")) }
                select #about name="about" {
                    option value="" { (say("audit-everything")) }
                    @for (kind, title, things, chosen) in groups {
                        optgroup label=(say(title)) {
                            @for (id, name) in things {
                                option value={ (kind) ":" (id) } selected[chosen == Some(*id)] { (name) }
                            }
                        }
                    }
                }
            }
            div {
                label for="order" { (say("audit-order")) }
                input #order type="number" name="order" min="1" inputmode="numeric" value=(order);
            }
            div {
                label for="from" { (say("audit-from")) }
                input #from type="date" name="from" value=(asked.from.as_deref().unwrap_or_default());
            }
            div {
                label for="to" { (say("audit-to")) }
                input #to type="date" name="to" value=(asked.to.as_deref().unwrap_or_default());
            }
            button.button.strong type="submit" { (say("audit-show")) }
        }
    }
}

fn list(show: &Shown, names: &Names, events: &Paged<AuditView>) -> Markup {
    html! {
        @if events.items.is_empty() {
            p { (say("audit-none")) }
        } @else {
            ul.access-list.trail { @for event in &events.items { (card(show, names, event)) } }
        }
    }
}

fn card(show: &Shown, names: &Names, event: &AuditView) -> Markup {
    let who = event
        .actor_name
        .clone()
        .unwrap_or_else(|| say("audit-by-itself"));
    let sentence = say_with(
        "audit-sentence",
        &[
            ("who", who.into()),
            (
                "verb",
                word(
                    &format!("audit-verb-{}", key_part(&event.verb)),
                    &event.verb,
                )
                .into(),
            ),
            ("what", what(names, event).into()),
        ],
    );
    html! {
        li {
            p { strong { (sentence) } }
            p.hint {
                time datetime=(event.at.utc().to_rfc3339()) { (show.date_time(event.at)) }
                @if let Some(from) = &event.from {
                    " · " (say_with("audit-from-where", &[("address", from.as_str().into())]))
                } @else if event.from_is_erased {
                    " · " (say("audit-from-erased"))
                }
            }
            (changes(&event.before, &event.after))
        }
    }
}

/// A word of the trail in plain words; as it is, where the trade has none for it.
fn word(key: &str, word: &str) -> String {
    if knows(key) {
        say(key)
    } else {
        word.replace('_', " ")
    }
}

/// What was done something to, by its name where it has one.
fn what(names: &Names, event: &AuditView) -> String {
    let named = match event.subject.as_str() {
        "court" | "court_water" => names.courts.iter().find(|(id, _)| *id == event.subject_id),
        "person" => names.people.iter().find(|(id, _)| *id == event.subject_id),
        _ => None,
    };
    let subject = word(
        &format!("audit-subject-{}", key_part(&event.subject)),
        &event.subject,
    );
    match (event.subject.as_str(), named) {
        ("court" | "person", Some((_, name))) => name.clone(),
        ("court_water", Some((_, name))) => format!("{subject}: {name}"),
        ("site" | "settings" | "care_standard" | "weather", _) => subject,
        _ => format!("{subject} {}", event.subject_id),
    }
}

fn changes(before: &Map<String, Value>, after: &Map<String, Value>) -> Markup {
    html! {
        @if !after.is_empty() {
            dl.facts.is-wide {
                @for (field, now) in after {
                    div {
                        dt { (field.replace('_', " ")) }
                        dd {
                            (say_with("audit-was-is", &[
                                ("was", plain(before.get(field)).into()),
                                ("is", plain(Some(now)).into()),
                            ]))
                        }
                    }
                }
            }
        }
    }
}

fn plain(value: Option<&Value>) -> String {
    match value {
        None | Some(Value::Null) => say("audit-nothing"),
        Some(Value::String(text)) => text.clone(),
        Some(Value::Bool(yes)) => say(if *yes { "look-yes" } else { "look-no" }),
        Some(other) if other.get("erased").is_some() => say("audit-erased"),
        Some(other) => other.to_string(),
    }
}
