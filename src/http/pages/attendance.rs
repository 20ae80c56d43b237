//! Who was there when on a date, as it was told: the clocks, not hours for pay. What was forgotten can be told here.

use actix_web::http::StatusCode;
use actix_web::{HttpResponse, web};
use chrono::NaiveDate;
use maud::{Markup, html};

use super::parts::days::other_days;
use super::parts::deed::{key, key_of};
use super::parts::form::{Fields, choose, field, wrong};
use super::parts::frame::Frame;
use super::parts::{key_part, local_instant, shown};
use super::session::PageUser;
use super::{answer, date_of, see_other};
use crate::desk::Permit;
use crate::desk::access::{SeeCrews, SeeHours, SeeSite, TellAttendance};
use crate::desk::attendance::{
    AttendanceDay, AttendanceOf, AttendanceTold, Odd, StayView, attendance_day, attendance_tell,
};
use crate::desk::crews::person_list;
use crate::desk::sites::site_read;
use crate::http::problem::{Kind, Problem};
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::Page;
use crate::store::attendance::AttendanceKind;
use crate::store::crews::PersonRow;
use crate::words::shown::{Shown, date_long};
use crate::words::{say, say_with};
use trade::units::Seconds;

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(
        at("/days/{date}/attendance", "GET, POST")
            .route(web::get().to(read))
            .route(web::post().to(tell)),
    );
}

/// The page of a date's clocks.
pub fn address(site_id: i64, date: NaiveDate) -> String {
    format!("/sites/{site_id}/days/{date}/attendance")
}

async fn read(
    office: State,
    user: PageUser,
    see: Permit<SeeSite>,
    permit: Permit<SeeHours>,
    path: web::Path<(i64, String)>,
) -> Result<HttpResponse, Problem> {
    let date = date_of(&path.1)?;
    Ok(answer(page(&office, &user, see, permit, date, None).await?))
}

async fn tell(
    office: State,
    user: PageUser,
    see: Permit<SeeSite>,
    hours: Permit<SeeHours>,
    permit: Permit<TellAttendance>,
    path: web::Path<(i64, String)>,
    fields: Fields,
) -> Result<HttpResponse, Problem> {
    let date = date_of(&path.1)?;
    let key = key_of(field(&fields, "client_key"))?;
    let site_permit = see.clone();
    let site = at_the_desk(&office, move |o| site_read(o, &site_permit)).await?;
    let of = |name| field(&fields, name).ok_or_else(|| choose(name));
    let read = || Problem::new(Kind::Unreadable, say("attendance-unreadable"));
    let told = AttendanceTold {
        person_id: of("person_id")?.parse().map_err(|_| read())?,
        kind: of("kind")?.parse().map_err(|_| read())?,
        crew_id: None,
        happened_at: Some(
            local_instant(shown(&site).zone, &format!("{date}T{}", of("time")?))
                .ok_or_else(read)?,
        ),
    };
    match at_the_desk(&office, move |o| attendance_tell(o, &permit, key, &told)).await {
        Ok(_) => Ok(see_other(&address(see.site_id(), date))),
        Err(problem) => {
            let text = wrong(problem)?;
            let mut again = answer(page(&office, &user, see, hours, date, Some(&text)).await?);
            *again.status_mut() = StatusCode::UNPROCESSABLE_ENTITY;
            Ok(again)
        }
    }
}

async fn page(
    office: &State,
    user: &PageUser,
    see: Permit<SeeSite>,
    permit: Permit<SeeHours>,
    date: NaiveDate,
    wrong: Option<&str>,
) -> Result<Markup, Problem> {
    let may_tell = Permit::<TellAttendance>::of((*see).clone()).is_ok();
    let (site, day, people) = at_the_desk(office, move |o| {
        let people = match Permit::<SeeCrews>::of((*see).clone()) {
            Ok(crews) if may_tell => person_list(o, &crews, Page::ALL)?.items,
            _ => Vec::new(),
        };
        Ok((
            site_read(o, &see)?,
            attendance_day(o, &permit, date)?,
            people,
        ))
    })
    .await?;
    let show = shown(&site);
    let title = say_with("attendance-title", &[("date", date_long(date).into())]);
    let content = html! {
        div.day-head {
            h1 { (title) }
            (other_days(date, |date| address(site.id, date)))
        }
        p { (say("attendance-lead")) }
        @if let Some(text) = wrong { p.wrong role="alert" { (text) } }
        (list(&show, &day))
        @if !people.is_empty() { (form(site.id, date, &people)) }
    };
    Ok(Frame::of(&title)
        .site(&site)
        .user(Some(user))
        .around(&content))
}

fn list(show: &Shown, day: &AttendanceDay) -> Markup {
    html! {
        section.stops aria-label=(say("attendance-people")) {
            @if day.people.is_empty() { p { (say("attendance-none")) } }
            ul.access-list { @for person in &day.people { (card(show, person)) } }
        }
    }
}

fn card(show: &Shown, person: &AttendanceOf) -> Markup {
    html! {
        li {
            p { strong { (person.person) } }
            @for stay in &person.stays { (stayed(show, stay)) }
            @for odd in &person.odd {
                p.caution {
                    (say(&format!("attendance-odd-{}", odd_key(odd.why)))) " "
                    (say_with("attendance-odd-told", &[
                        ("what", say(&kind_key(odd.kind)).into()),
                        ("time", show.time(odd.happened_at).into()),
                    ]))
                }
            }
        }
    }
}

fn stayed(show: &Shown, stay: &StayView) -> Markup {
    html! {
        p {
            @match stay.to {
                Some(to) => (show.span(stay.from, to)),
                None => (say_with("attendance-since", &[("time", show.time(stay.from).into())])),
            }
            @if let Some(there) = stay.there_s {
                " · " (say_with("attendance-there", &[("time", Seconds(there).show().into())]))
            }
            @if stay.no_out { " · " strong { (say("attendance-no-out")) } }
        }
        @for rest in &stay.breaks {
            p.hint {
                (say("attendance-break")) " "
                @match rest.to {
                    Some(to) => (show.span(rest.from, to)),
                    None => (say_with("attendance-since", &[("time", show.time(rest.from).into())])),
                }
            }
        }
    }
}

fn form(site_id: i64, date: NaiveDate, people: &[PersonRow]) -> Markup {
    html! {
        section.stops aria-labelledby="forgotten" {
            h2 #forgotten { (say("attendance-forgotten")) }
            form.hold method="post" action=(address(site_id, date)) {
                (key())
                label for="person" { (say("attendance-person")) }
                select #person name="person_id" required {
                    @for person in people.iter().filter(|person| person.left_on.is_none_or(|left| left >= date)) {
                        option value=(person.id) { (person.name) }
                    }
                }
                label for="kind" { (say("attendance-what")) }
                select #kind name="kind" required {
                    @for kind in AttendanceKind::ALL { option value=(kind) { (say(&kind_key(*kind))) } }
                }
                label for="time" { (say("attendance-time")) }
                input #time type="time" name="time" required;
                button.button.strong type="submit" { (say("attendance-keep")) }
            }
        }
    }
}

fn kind_key(kind: AttendanceKind) -> String {
    format!("attendance-{}", key_part(kind.as_str()))
}

const fn odd_key(why: Odd) -> &'static str {
    match why {
        Odd::InAgain => "in-again",
        Odd::OutWithoutIn => "out-without-in",
        Odd::BreakNotBegun => "break-not-begun",
        Odd::NoBreakToEnd => "no-break-to-end",
        Odd::OutWithinBreak => "out-within-break",
    }
}
