//! Crews' tablets.

use actix_web::{HttpResponse, web};
use maud::{Markup, html};
use serde::Deserialize;

use super::{View, address, not_taken, shown_once};
use crate::desk::Permit;
use crate::desk::access::{PairDevice, RevokeDevice, SeeSent, SeeSite};
use crate::desk::devices::{DeviceCode, NewDevice, device_add, device_code, device_revoke};
use crate::http::pages::parts::deed::{Deed, button, key, too_late};
use crate::http::pages::parts::form::wrong;
use crate::http::pages::parts::shown;
use crate::http::pages::session::PageUser;
use crate::http::pages::{see_other, sent};
use crate::http::problem::Problem;
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::devices::DeviceRow;
use crate::words::{say, say_with};

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/access/tablets", "POST").route(web::post().to(add)))
        .service(at("/access/tablets/{device_id:[0-9]+}/code", "POST").route(web::post().to(code)))
        .service(
            at("/access/tablets/{device_id:[0-9]+}/revoke", "POST").route(web::post().to(revoke)),
        );
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Form {
    client_key: uuid::Uuid,
    name: String,
}

async fn add(
    office: State,
    user: PageUser,
    permit: Permit<PairDevice>,
    see: Permit<SeeSite>,
    form: web::Form<Form>,
) -> Result<HttpResponse, Problem> {
    let Form { client_key, name } = form.into_inner();
    let key = client_key.to_string();
    let made = at_the_desk(&office, move |o| {
        device_add(o, &permit, &NewDevice { name }, key)
    });
    told(&office, &user, see, made.await).await
}

async fn code(
    office: State,
    user: PageUser,
    permit: Permit<PairDevice>,
    see: Permit<SeeSite>,
    path: web::Path<(i64, i64)>,
    deed: web::Form<Deed>,
) -> Result<HttpResponse, Problem> {
    let id = path.1;
    let made = at_the_desk(&office, move |o| device_code(o, &permit, id, deed.key()));
    told(&office, &user, see, made.await).await
}

/// The code, shown once.
async fn told(
    office: &State,
    user: &PageUser,
    see: Permit<SeeSite>,
    made: Result<DeviceCode, Problem>,
) -> Result<HttpResponse, Problem> {
    let made = match made {
        Ok(made) => made,
        Err(problem) => return not_taken(office, user, see, &wrong(problem)?).await,
    };
    let name = [("name", made.device.name.as_str().into())];
    let shown = html! {
        div.note role="status" {
            @if let Some(code) = &made.code {
                p { (say_with("access-code", &name)) }
                p.code.big { (code) }
            } @else { p { (say_with("access-code-gone", &name)) } }
        }
    };
    shown_once(office, user, see, &shown).await
}

async fn revoke(
    office: State,
    permit: Permit<RevokeDevice>,
    path: web::Path<(i64, i64)>,
    _deed: web::Form<Deed>,
) -> Result<HttpResponse, Problem> {
    let (site_id, id) = path.into_inner();
    // One that was taken off before shows what was wanted.
    too_late(at_the_desk(&office, move |o| device_revoke(o, &permit, id)).await)?;
    Ok(see_other(&format!("{}#tablets", address(site_id))))
}

pub(super) fn section(view: &View, tablets: &[DeviceRow]) -> Markup {
    let place = format!("{}/tablets", address(view.site.id));
    let (live, gone): (Vec<_>, Vec<_>) = tablets
        .iter()
        .partition(|tablet| tablet.revoked_at.is_none());
    html! {
        section.stops #tablets aria-labelledby="tablets-title" {
            h2 #tablets-title { (say("access-tablets")) }
            p { (say("access-tablets-lead")) }
            @if view.may::<SeeSent>() {
                p.deeds { a.button href=(sent::address(view.site.id)) { (say("sent-title")) } }
            }
            ul.access-list {
                @for tablet in live {
                    li {
                        p { strong { (tablet.name) } " · " (standing(view, tablet)) }
                        div.deeds {
                            (button(&format!("{place}/{}/code", tablet.id), &say("access-new-code"), false))
                            @if view.may::<RevokeDevice>() {
                                (button(&format!("{place}/{}/revoke", tablet.id), &say("access-revoke"), false))
                            }
                        }
                    }
                }
            }
            @if !gone.is_empty() {
                p.hint { (say_with("access-tablets-gone", &[("count", gone.len().into())])) }
            }
            form.hold method="post" action=(place) {
                (key())
                label for="tablet" { (say("access-tablet-name")) }
                input #tablet type="text" name="name" maxlength="120" autocomplete="off" required;
                button.button.strong type="submit" { (say("access-tablet-add")) }
            }
        }
    }
}

fn standing(view: &View, tablet: &DeviceRow) -> String {
    match tablet.last_used_at {
        None => say("access-tablet-waits"),
        Some(at) => say_with(
            "access-tablet-used",
            &[("at", shown(&view.site).date_time(at).into())],
        ),
    }
}
