//! What the forms of the page send.

use std::collections::BTreeMap;

use actix_web::{HttpResponse, web};
use chrono::{Days, NaiveDate, NaiveTime};
use chrono_tz::Tz;
use serde::Deserialize;
use trade::calendar::local_to_instant;

use super::{address, refused};
use crate::desk::Permit;
use crate::desk::access::{EditPlay, SeePlay, SeeSite, TellPlayOver};
use crate::desk::courts::court_list;
use crate::desk::play::told::{NewClosures, NewSessions, Play, PlayOver, Turnaround};
use crate::desk::play::tournament::{Tournament, tournament_tell};
use crate::desk::play::{closure_cancel, closures_add, session_cancel, session_over, sessions_add};
use crate::desk::sites::site_read;
use crate::desk::{self, Office};
use crate::http::pages::parts::deed::{Deed, key_of, too_late};
use crate::http::pages::session::PageUser;
use crate::http::pages::{date_of, see_other};
use crate::http::problem::{Kind, Problem};
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::{Instant, Page};
use crate::words::say;

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/play/{date}/sessions", "POST").route(web::post().to(add)))
        .service(at("/play/{date}/closures", "POST").route(web::post().to(shut)))
        .service(at("/play/{date}/tournament", "POST").route(web::post().to(tournament)))
        .service(at("/play/{date}/sessions/{id:[0-9]+}/over", "POST").route(web::post().to(over)))
        .service(
            at("/play/{date}/sessions/{id:[0-9]+}/cancel", "POST").route(web::post().to(call_off)),
        )
        .service(
            at("/play/{date}/closures/{id:[0-9]+}/cancel", "POST").route(web::post().to(open)),
        );
}

type See = (Permit<SeeSite>, Permit<SeePlay>);

/// What the form of new play sends.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct NewPlay {
    client_key: uuid::Uuid,
    courts: String,
    name: String,
    from: String,
    until: String,
    turnaround: String,
    open_ended: Option<String>,
}

async fn add(
    office: State,
    user: PageUser,
    see: See,
    permit: Permit<EditPlay>,
    path: web::Path<(i64, String)>,
    form: web::Form<NewPlay>,
) -> Result<HttpResponse, Problem> {
    let (site_id, date) = (path.0, date_of(&path.1)?);
    let form = form.into_inner();
    let Some(times) = times(date, &form.from, &form.until) else {
        return refused(&office, &user, see, date, &[say("play-times-wrong")]).await;
    };
    let see_site = see.0.clone();
    let done = at_the_desk(&office, move |o| {
        let (starts_at, ends_at) = instants(o, &see_site, times)?;
        let told = NewSessions {
            court_ids: courts_of(o, &see_site, &form.courts)?,
            play: Play {
                name: form.name,
                starts_at,
                ends_at,
                turnaround: match form.turnaround.as_str() {
                    "short" | "short_ok" => Turnaround::Short,
                    _ => Turnaround::Full,
                },
                open_ended: form.open_ended.is_some(),
                short_ok: form.turnaround == "short_ok",
                players_brush: form.turnaround == "players_brush",
            },
        };
        sessions_add(o, &permit, form.client_key.to_string(), &told)
    })
    .await;
    back(&office, &user, see, (site_id, date), done).await
}

/// What the form that shuts courts sends.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct NewClosure {
    client_key: uuid::Uuid,
    courts: String,
    from: String,
    until: String,
    reason: String,
}

async fn shut(
    office: State,
    user: PageUser,
    see: See,
    permit: Permit<EditPlay>,
    path: web::Path<(i64, String)>,
    form: web::Form<NewClosure>,
) -> Result<HttpResponse, Problem> {
    let (site_id, date) = (path.0, date_of(&path.1)?);
    let form = form.into_inner();
    let Some(times) = times(date, &form.from, &form.until) else {
        return refused(&office, &user, see, date, &[say("play-times-wrong")]).await;
    };
    let see_site = see.0.clone();
    let done = at_the_desk(&office, move |o| {
        let (starts_at, ends_at) = instants(o, &see_site, times)?;
        let told = NewClosures {
            court_ids: courts_of(o, &see_site, &form.courts)?,
            starts_at,
            ends_at,
            reason: form.reason,
        };
        closures_add(o, &permit, form.client_key.to_string(), &told)
    })
    .await;
    back(&office, &user, see, (site_id, date), done).await
}

/// The order comes as a number a court; two courts with the same number stand in the site's own order.
async fn tournament(
    office: State,
    user: PageUser,
    see: See,
    permit: Permit<EditPlay>,
    path: web::Path<(i64, String)>,
    form: web::Form<BTreeMap<String, String>>,
) -> Result<HttpResponse, Problem> {
    let (site_id, date) = (path.0, date_of(&path.1)?);
    let mut places = Vec::new();
    for (name, text) in form.iter() {
        let court = name
            .strip_prefix("court-")
            .and_then(|id| id.parse::<i64>().ok());
        if let (Some(court), Ok(place)) = (court, text.trim().parse::<u32>()) {
            places.push((place, court));
        }
    }
    places.sort_unstable();
    let told = Tournament {
        court_ids: places.into_iter().map(|(_, court)| court).collect(),
    };
    let key = key_of(form.get("client_key"))?;
    let done = at_the_desk(&office, move |o| {
        tournament_tell(o, &permit, date, key, &told)
    })
    .await;
    back(&office, &user, see, (site_id, date), done).await
}

async fn over(
    office: State,
    permit: Permit<TellPlayOver>,
    path: web::Path<(i64, String, i64)>,
    deed: web::Form<Deed>,
) -> Result<HttpResponse, Problem> {
    let (site_id, date, id) = (path.0, date_of(&path.1)?, path.2);
    let told = PlayOver { happened_at: None };
    too_late(
        at_the_desk(&office, move |o| {
            session_over(o, &permit, id, deed.key(), &told)
        })
        .await,
    )?;
    Ok(see_other(&address(site_id, date)))
}

async fn call_off(
    office: State,
    permit: Permit<EditPlay>,
    path: web::Path<(i64, String, i64)>,
    deed: web::Form<Deed>,
) -> Result<HttpResponse, Problem> {
    let (site_id, date, id) = (path.0, date_of(&path.1)?, path.2);
    too_late(at_the_desk(&office, move |o| session_cancel(o, &permit, id, deed.key())).await)?;
    Ok(see_other(&address(site_id, date)))
}

async fn open(
    office: State,
    permit: Permit<EditPlay>,
    path: web::Path<(i64, String, i64)>,
    deed: web::Form<Deed>,
) -> Result<HttpResponse, Problem> {
    let (site_id, date, id) = (path.0, date_of(&path.1)?, path.2);
    too_late(at_the_desk(&office, move |o| closure_cancel(o, &permit, id, deed.key())).await)?;
    Ok(see_other(&address(site_id, date)))
}

/// Back to the page: as it stands now, or with what the desk refused.
async fn back<T>(
    office: &State,
    user: &PageUser,
    see: See,
    (site_id, date): (i64, NaiveDate),
    done: Result<T, Problem>,
) -> Result<HttpResponse, Problem> {
    match done {
        Ok(_) => Ok(see_other(&address(site_id, date))),
        Err(problem) if problem.kind() == Kind::Refused => {
            let wrong: Vec<_> = problem
                .faults()
                .iter()
                .map(|fault| fault.detail.clone())
                .collect();
            refused(office, user, see, date, &wrong).await
        }
        Err(problem) => Err(problem),
    }
}

/// Local times of a date: one that ends at or before its start ends on the next day.
type Times = [(NaiveDate, NaiveTime); 2];

fn times(date: NaiveDate, from: &str, until: &str) -> Option<Times> {
    let read = |text: &str| NaiveTime::parse_from_str(text.trim(), "%H:%M").ok();
    let (from, until) = (read(from)?, read(until)?);
    let ends_on = if until > from {
        date
    } else {
        date.checked_add_days(Days::new(1))?
    };
    Some([(date, from), (ends_on, until)])
}

fn instants(
    office: &Office,
    see: &Permit<SeeSite>,
    times: Times,
) -> desk::Result<(Instant, Instant)> {
    let zone: Tz = site_read(office, see)?.zone()?;
    let at = |(date, time)| Instant::from(local_to_instant(zone, date, time));
    Ok((at(times[0]), at(times[1])))
}

fn courts_of(office: &Office, see: &Permit<SeeSite>, asked: &str) -> desk::Result<Vec<i64>> {
    let of = |prefix: &str| {
        asked
            .strip_prefix(prefix)
            .and_then(|id| id.parse::<i64>().ok())
    };
    if let Some(court) = of("court-") {
        return Ok(vec![court]);
    }
    let bank = of("bank-");
    let courts = court_list(office, see, Page::ALL)?.items;
    // What the form does not offer is no court, and refused as such.
    let asked = courts
        .iter()
        .filter(|court| asked == "all" || bank == Some(court.bank_id));
    Ok(asked.map(|court| court.id).collect())
}
