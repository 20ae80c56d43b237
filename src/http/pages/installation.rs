//! The installation, for its owners: how it stands with the backups.

use actix_web::middleware::from_fn;
use actix_web::{HttpResponse, web};
use maud::{Markup, html};

use super::parts::deed::{Deed, button, too_late};
use super::parts::frame::Frame;
use super::parts::{key_part, shown};
use super::session::PageUser;
use super::{answer, see_other};
use crate::desk::access::Owner;
use crate::desk::backups::{BackupStanding, backup_ask, backup_standing, backups_read};
use crate::desk::sites::site_list;
use crate::http::owner::of_an_owner;
use crate::http::problem::Problem;
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::backups::BackupRow;
use crate::store::{Actor, Page};
use crate::words::shown::{Shown, hours};
use crate::words::{say, say_with};

/// Where it is.
pub const ADDRESS: &str = "/installation";
/// A backup that is older than a day and an hour of grace is told in warning.
const OLD_S: i64 = 25 * 3_600;
/// How many are listed.
const MOST: i64 = 40;

pub(super) fn routes(cfg: &mut web::ServiceConfig) {
    cfg.service(
        web::scope(ADDRESS)
            .wrap(from_fn(of_an_owner))
            .service(at("", "GET").route(web::get().to(read)))
            .service(at("/backups", "POST").route(web::post().to(ask)))
            .default_service(web::to(super::nowhere)),
    );
}

async fn read(office: State, user: PageUser, owner: Owner) -> Result<HttpResponse, Problem> {
    let actor = Actor::of(user.id);
    let (sites, standing, rows) = at_the_desk(&office, move |o| {
        let page = Page {
            after: 0,
            limit: MOST,
        };
        let rows = backups_read(o, &owner, page)?.items;
        Ok((
            site_list(o, actor, Page::ALL)?.items,
            backup_standing(o, &owner)?,
            rows,
        ))
    })
    .await?;
    // Times are those of the first site, as the night of a backup is.
    let show = sites.first().map_or_else(in_utc, shown);
    let title = say("installation-title");
    let content = html! {
        h1 { (title) }
        section {
            h2 { (say("backups-title")) }
            (how_it_stands(&show, &standing))
            @if standing.folder_is_set {
                p.deeds { (button(&format!("{ADDRESS}/backups"), &say("backups-now"), true)) }
            } @else {
                p.caution role="alert" { (say("backups-no-folder")) }
            }
            @if rows.is_empty() {
                p { (say("backups-none")) }
            } @else {
                ul.court-list { @for row in &rows { (card(&show, row)) } }
            }
        }
    };
    Ok(answer(Frame::of(&title).user(Some(&user)).around(&content)))
}

fn in_utc() -> Shown {
    Shown {
        zone: chrono_tz::Tz::UTC,
        units: trade::units::UnitSystem::Metric,
        currency: String::new(),
    }
}

fn how_it_stands(show: &Shown, standing: &BackupStanding) -> Markup {
    let age = standing.age_s.map(|age| hours(age.max(0)));
    let is_old = standing.age_s.is_none_or(|age| age > OLD_S);
    html! {
        @if is_old {
            p.caution role="alert" { (say("backups-old")) }
        }
        dl.facts.is-wide {
            div {
                dt { (say("backups-age")) }
                dd { (age.unwrap_or_else(|| say("backups-never"))) }
            }
            div {
                dt { (say("backups-last-proved")) }
                dd {
                    @match standing.last_proved.as_ref().and_then(|row| row.proved_at) {
                        Some(at) => { (show.date_time(at)) }
                        None => { (say("backups-never")) }
                    }
                }
            }
        }
    }
}

fn card(show: &Shown, row: &BackupRow) -> Markup {
    html! {
        li.court-card {
            h3 {
                time datetime=(row.began_at.utc().to_rfc3339()) { (show.date_time(row.began_at)) }
                " · " (say(&format!("backup-why-{}", key_part(row.why.as_str()))))
            }
            @if let Some(why) = &row.failed_why {
                p.caution { (say_with("backups-failed", &[("why", why.as_str().into())])) }
            }
            @if let (Some(file), Some(bytes)) = (&row.file, row.bytes) {
                dl.facts.is-wide {
                    div { dt { (say("backups-file")) } dd { code { (file) } } }
                    div { dt { (say("backups-size")) } dd { (size(bytes)) } }
                    div { dt { (say("backups-proof")) } dd { (proof(show, row)) } }
                }
            }
        }
    }
}

fn proof(show: &Shown, row: &BackupRow) -> String {
    match (row.proved_at, &row.unproved_why, row.removed_at) {
        (Some(at), ..) => say_with("backups-proved", &[("at", show.date_time(at).into())]),
        (None, Some(why), _) => say_with("backups-unproved", &[("why", why.as_str().into())]),
        (None, None, Some(at)) => say_with("backups-removed", &[("at", show.date_time(at).into())]),
        (None, None, None) => say("backups-not-yet-proved"),
    }
}

/// `9.2 MB`: thousands, as disks are told.
fn size(bytes: i64) -> String {
    let tenths = |unit: i64| format!("{}.{}", bytes / unit, bytes % unit * 10 / unit);
    match bytes {
        ..1_000_000 => format!("{}\u{a0}kB", tenths(1_000)),
        1_000_000..1_000_000_000 => format!("{}\u{a0}MB", tenths(1_000_000)),
        _ => format!("{}\u{a0}GB", tenths(1_000_000_000)),
    }
}

async fn ask(
    office: State,
    owner: Owner,
    web::Form(deed): web::Form<Deed>,
) -> Result<HttpResponse, Problem> {
    let key = deed.key();
    // Where no folder is set the page says so itself.
    too_late(at_the_desk(&office, move |o| backup_ask(o, &owner, &key)).await)?;
    Ok(see_other(ADDRESS))
}
