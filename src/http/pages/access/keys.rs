//! Keys for pulls.

use actix_web::{HttpResponse, web};
use maud::{Markup, html};
use trade::calendar::work_date;

use super::{View, address, not_taken, shown_once};
use crate::desk::Permit;
use crate::desk::access::{EditKeys, SeeSite};
use crate::desk::api_keys::{KeySees, NewApiKey, key_make, key_remove};
use crate::http::pages::parts::deed::{Deed, button, key, key_of};
use crate::http::pages::parts::form::{Fields, field, wrong};
use crate::http::pages::parts::shown;
use crate::http::pages::see_other;
use crate::http::pages::session::PageUser;
use crate::http::problem::{Kind, Problem};
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::Instant;
use crate::store::api_keys::ApiKeyRow;
use crate::words::shown::date_short;
use crate::words::{say, say_with};

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/access/keys", "POST").route(web::post().to(make)))
        .service(at("/access/keys/{key_id:[0-9]+}/remove", "POST").route(web::post().to(remove)));
}

async fn make(
    office: State,
    user: PageUser,
    permit: Permit<EditKeys>,
    see: Permit<SeeSite>,
    form: Fields,
) -> Result<HttpResponse, Problem> {
    let text = |name: &str| field(&form, name);
    let key = key_of(text("client_key"))?;
    let ticked = |name: &str, sees| text(name).map(|_| sees);
    let new = NewApiKey {
        name: text("name").cloned().unwrap_or_default(),
        sees: [
            ticked("cost", KeySees::Cost),
            ticked("reports", KeySees::Reports),
        ]
        .into_iter()
        .flatten()
        .collect(),
        days: text("days").and_then(|days| days.parse().ok()).unwrap_or(0),
    };
    let made = match at_the_desk(&office, move |o| key_make(o, &permit, &new, key)).await {
        Ok(made) => made,
        Err(problem) => return not_taken(&office, &user, see, &wrong(problem)?).await,
    };
    let name = [("name", made.row.name.as_str().into())];
    let shown = html! {
        div.note role="status" {
            @if let Some(key) = &made.key {
                p { (say_with("access-key-made", &name)) }
                p.code { (key) }
            } @else { p { (say_with("access-key-gone", &name)) } }
        }
    };
    shown_once(&office, &user, see, &shown).await
}

async fn remove(
    office: State,
    permit: Permit<EditKeys>,
    path: web::Path<(i64, i64)>,
    _deed: web::Form<Deed>,
) -> Result<HttpResponse, Problem> {
    let (site_id, id) = path.into_inner();
    match at_the_desk(&office, move |o| key_remove(o, &permit, id)).await {
        // One that is gone shows what was wanted.
        Err(problem) if problem.kind() != Kind::NotFound => Err(problem),
        _ => Ok(see_other(&format!("{}#keys", address(site_id)))),
    }
}

pub(super) fn section(view: &View, keys: &[ApiKeyRow]) -> Markup {
    let place = format!("{}/keys", address(view.site.id));
    html! {
        section.stops #keys aria-labelledby="keys-title" {
            h2 #keys-title { (say("access-keys")) }
            p { (say("access-keys-lead")) }
            ul.access-list {
                @for key in keys {
                    li {
                        p { strong { (key.name) } " · " span.code { (key.hint) "…" } }
                        p { (sees(key)) " · " (standing(view, key)) }
                        @if view.may::<EditKeys>() {
                            div.deeds { (button(&format!("{place}/{}/remove", key.id), &say("access-key-remove"), false)) }
                        }
                    }
                }
            }
            @if view.may::<EditKeys>() {
                details {
                    summary { (say("access-key-title")) }
                    form.hold method="post" action=(place) {
                        (key())
                        label for="key-name" { (say("access-key-name")) }
                        input #key-name type="text" name="name" maxlength="120" autocomplete="off" required;
                        label.tick { input type="checkbox" name="cost" value="yes" checked; " " (say("access-key-cost")) }
                        label.tick { input type="checkbox" name="reports" value="yes"; " " (say("access-key-reports")) }
                        label for="days" { (say("access-key-days")) }
                        input #days type="number" name="days" min="1" max="366" value="90" required;
                        button.button.strong type="submit" { (say("access-key-make")) }
                    }
                }
            }
        }
    }
}

fn sees(key: &ApiKeyRow) -> String {
    match (key.sees_cost, key.sees_reports) {
        (true, true) => say("access-key-sees-both"),
        (true, false) => say("access-key-sees-cost"),
        _ => say("access-key-sees-reports"),
    }
}

fn standing(view: &View, key: &ApiKeyRow) -> String {
    let zone = shown(&view.site).zone;
    let date = |at: Instant| date_short(work_date(zone, at.utc()));
    let until = [("date", date(key.expires_at).into())];
    let ends = if key.expires_at <= view.now {
        say_with("access-key-ended", &until)
    } else {
        say_with("access-key-until", &until)
    };
    let used = match key.last_used_at {
        None => say("access-key-unused"),
        Some(at) => say_with("access-key-used", &[("date", date(at).into())]),
    };
    format!("{ends} · {used}")
}
