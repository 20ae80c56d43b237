//! Nets: when each was gauged and looked at, what came of it, and when that is due again.

use actix_web::{HttpResponse, web};
use maud::{Markup, html};
use trade::court::{NET_AT_CENTRE, STRAP_WIDEST};
use trade::units::Micrometres;

use super::answer;
use super::parts::frame::Frame;
use super::parts::{key_part, shown};
use super::session::PageUser;
use crate::desk::Permit;
use crate::desk::access::{SeeSite, SeeTools};
use crate::desk::nets::{LookDue, NetPartSeen, NetView, NetsNow, nets_now};
use crate::desk::sites::site_read;
use crate::http::problem::Problem;
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::sites::SiteRow;
use crate::words::shown::{Shown, date_short};
use crate::words::{say, say_with};

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/nets", "GET").route(web::get().to(read)));
}

/// The page of a site's nets.
pub fn address(site_id: i64) -> String {
    format!("/sites/{site_id}/nets")
}

async fn read(
    office: State,
    user: PageUser,
    see: Permit<SeeSite>,
    permit: Permit<SeeTools>,
) -> Result<HttpResponse, Problem> {
    let (site, nets) = at_the_desk(&office, move |o| {
        Ok((site_read(o, &see)?, nets_now(o, &permit)?))
    })
    .await?;
    Ok(answer(page(&site, &user, &nets)))
}

fn page(site: &SiteRow, user: &PageUser, now: &NetsNow) -> Markup {
    let show = shown(site);
    let title = say("nets-title");
    let by_rule = [
        ("height", length(&show, NET_AT_CENTRE.0).into()),
        ("strap", length(&show, STRAP_WIDEST.0).into()),
    ];
    let content = html! {
        h1 { (title) }
        p { (say_with("nets-lead", &by_rule)) }
        p.caution { (say("nets-caution")) }
        p.caution { (say("caution-net-tension-text")) }
        @if now.nets.is_empty() { p.note { (say("nets-none")) } }
        ol.wear-list {
            @for net in &now.nets { (card(&show, net)) }
        }
    };
    Frame::of(&title)
        .site(site)
        .user(Some(user))
        .around(&content)
}

fn card(show: &Shown, net: &NetView) -> Markup {
    html! {
        li.wear-part.is-worn[net.gauge.is_overdue || net.look.is_overdue] {
            div {
                h2 { (net.court) }
                (gauged(show, net))
                p { (due(["net-gauge-due", "net-gauge-overdue"], net.gauge)) }
            }
            div {
                @if net.parts.is_empty() { p.hint { (say("net-no-parts")) } }
                @for part in &net.parts { p { (looked(show, part)) } }
                p { (due(["net-look-due", "net-look-overdue"], net.look)) }
            }
        }
    }
}

fn gauged(show: &Shown, net: &NetView) -> Markup {
    let Some((gauged, at)) = net.gauged.as_ref().zip(net.gauged_at) else {
        return html! { p { strong { (say("net-never-gauged")) } } };
    };
    let mut values = vec![
        ("at", show.date_time(at).into()),
        ("height", length(show, gauged.height_um).into()),
    ];
    let key = match gauged.strap_um {
        Some(strap) => {
            values.push(("strap", length(show, strap).into()));
            "net-gauged-strap"
        }
        None => "net-gauged",
    };
    html! {
        p { strong { (say_with(key, &values)) } }
        @if gauged.faults.is_empty() { p { (say("net-by-the-rules")) } }
        @for fault in &gauged.faults {
            p.caution { (say(&format!("net-fault-{}", key_part(fault.as_str())))) }
        }
    }
}

/// In the words of the first key, or of the second where it is overdue.
fn due([in_time, late]: [&str; 2], due: LookDue) -> Markup {
    let on = [("on", date_short(due.due_on).into())];
    html! {
        @if due.is_overdue {
            strong { (say_with(late, &on)) }
        } @else {
            (say_with(in_time, &on))
        }
    }
}

fn looked(show: &Shown, part: &NetPartSeen) -> String {
    let name = say(&format!("wear-part-{}", key_part(part.kind.as_str())));
    match (part.verdict, part.looked_at) {
        (Some(verdict), Some(at)) => say_with(
            "net-part-looked",
            &[
                ("part", name.into()),
                (
                    "verdict",
                    say(&format!("net-eye-{}", key_part(verdict.as_str()))).into(),
                ),
                ("at", show.date_time(at).into()),
            ],
        ),
        _ => say_with("net-part-not-looked", &[("part", name.into())]),
    }
}

fn length(show: &Shown, um: i64) -> String {
    Micrometres(um).show(show.units)
}
