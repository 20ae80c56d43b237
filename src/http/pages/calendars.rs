//! Where play comes from: the site's calendars with what became of their last files, and what they would change on
//! planned dates.

use std::collections::BTreeMap;

use actix_web::{HttpResponse, web};
use maud::{Markup, html};
use serde::Deserialize;
use trade::calendar::work_date;

use super::parts::deed::{Deed, button, key, too_late};
use super::parts::frame::Frame;
use super::parts::{key_part, shown};
use super::session::PageUser;
use super::{answer, see_other};
use crate::desk::Permit;
use crate::desk::access::{EditCalendars, SeeCalendars, SeeSite};
use crate::desk::calendars::changes::{change_accept, change_list, change_refuse};
use crate::desk::calendars::import::{MOST_BYTES, Report, ReportLine, calendar_import};
use crate::desk::calendars::{CalendarEdit, CalendarView, calendar_add, calendar_list};
use crate::desk::courts::court_list;
use crate::desk::sites::site_read;
use crate::http::problem::{Kind, Problem};
use crate::http::read::FormFile;
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::Page;
use crate::store::calendars::{ChangeRow, Makes};
use crate::store::courts::CourtRow;
use crate::store::sites::SiteRow;
use crate::words::shown::{Shown, date_short};
use crate::words::{say, say_with};

/// Lines of a report shown; the rest is counted.
const LINES: usize = 30;

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(
        at("/calendars", "GET, POST")
            .route(web::get().to(read))
            .route(web::post().to(add)),
    )
    .service(
        at("/calendars/{calendar_id:[0-9]+}/import", "POST")
            .app_data(web::PayloadConfig::new(MOST_BYTES + 4_096))
            .route(web::post().to(import)),
    )
    .service(
        at("/calendar-changes/{change_id:[0-9]+}/accept", "POST").route(web::post().to(accept)),
    )
    .service(
        at("/calendar-changes/{change_id:[0-9]+}/refuse", "POST").route(web::post().to(refuse)),
    );
}

/// All that the page shows.
struct View {
    site: SiteRow,
    calendars: Vec<CalendarView>,
    changes: Vec<ChangeRow>,
    courts: Vec<CourtRow>,
}

async fn read(
    office: State,
    user: PageUser,
    see_site: Permit<SeeSite>,
    permit: Permit<SeeCalendars>,
) -> Result<HttpResponse, Problem> {
    let may_edit = Permit::<EditCalendars>::of((*permit).clone()).is_ok();
    let view = at_the_desk(&office, move |o| {
        Ok(View {
            site: site_read(o, &see_site)?,
            calendars: calendar_list(o, &permit, Page::ALL)?.items,
            changes: change_list(o, &permit, Page::ALL)?.items,
            courts: court_list(o, &see_site, Page::ALL)?.items,
        })
    })
    .await?;
    Ok(answer(page(&view, &user, may_edit)))
}

/// A calendar as the page's form gives it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Form {
    client_key: uuid::Uuid,
    name: String,
    court: String,
    makes: Makes,
    #[serde(default)]
    short: Option<String>,
    address: String,
}

impl Form {
    fn edit(&self) -> CalendarEdit {
        CalendarEdit {
            name: self.name.clone(),
            // None means that each event names its own.
            court_id: self.court.parse().ok(),
            courts: BTreeMap::new(),
            makes: self.makes,
            short_turnaround: self.short.is_some(),
            address: Some(self.address.clone()),
            allow_private: false,
        }
    }
}

async fn add(
    office: State,
    user: PageUser,
    permit: Permit<EditCalendars>,
    path: web::Path<i64>,
    form: web::Form<Form>,
) -> Result<HttpResponse, Problem> {
    let site_id = path.into_inner();
    let key = form.client_key.to_string();
    let edit = form.edit();
    let added = at_the_desk(&office, move |o| calendar_add(o, &permit, &edit, key)).await;
    match added {
        Ok(added) => Ok(see_other(&format!(
            "{}#calendar-{}",
            address(site_id),
            added.id
        ))),
        Err(problem) if matches!(problem.kind(), Kind::Refused | Kind::State) => {
            Ok(not_done(&user, site_id, "calendars-not-added"))
        }
        Err(problem) => Err(problem),
    }
}

/// Takes a file and shows what became of it.
async fn import(
    office: State,
    user: PageUser,
    permit: Permit<EditCalendars>,
    path: web::Path<(i64, i64)>,
    FormFile(text): FormFile,
) -> Result<HttpResponse, Problem> {
    let (site_id, id) = path.into_inner();
    let taken = at_the_desk(&office, move |o| calendar_import(o, &permit, id, &text)).await;
    match taken {
        Ok(_) => Ok(see_other(&format!("{}#calendar-{id}", address(site_id)))),
        Err(problem) if problem.kind() == Kind::Refused => {
            Ok(not_done(&user, site_id, "calendars-not-read"))
        }
        Err(problem) => Err(problem),
    }
}

async fn accept(
    office: State,
    user: PageUser,
    permit: Permit<EditCalendars>,
    path: web::Path<(i64, i64)>,
    deed: web::Form<Deed>,
) -> Result<HttpResponse, Problem> {
    let (site_id, id) = path.into_inner();
    let done = at_the_desk(&office, move |o| change_accept(o, &permit, id, deed.key())).await;
    Ok(match too_late(done)? {
        Some(_) => see_other(&address(site_id)),
        None => not_done(&user, site_id, "calendars-not-accepted"),
    })
}

async fn refuse(
    office: State,
    permit: Permit<EditCalendars>,
    path: web::Path<(i64, i64)>,
    deed: web::Form<Deed>,
) -> Result<HttpResponse, Problem> {
    let (site_id, id) = path.into_inner();
    // One that waits no more shows what was wanted.
    too_late(at_the_desk(&office, move |o| change_refuse(o, &permit, id, deed.key())).await)?;
    Ok(see_other(&address(site_id)))
}

/// The page of a site's calendars.
pub fn address(site_id: i64) -> String {
    format!("/sites/{site_id}/calendars")
}

fn not_done(user: &PageUser, site_id: i64, key: &str) -> HttpResponse {
    let title = say("calendars-title");
    let content = html! {
        h1 { (title) }
        p.wrong role="alert" { (say(key)) }
        p { a href=(address(site_id)) { (say("calendars-back")) } }
    };
    let page = Frame::of(&title).user(Some(user)).around(&content);
    HttpResponse::UnprocessableEntity()
        .content_type(actix_web::http::header::ContentType::html())
        .body(page.into_string())
}

fn page(view: &View, user: &PageUser, may_edit: bool) -> Markup {
    let title = say("calendars-title");
    let show = shown(&view.site);
    let content = html! {
        h1 { (title) }
        p { (say("calendars-lead")) }
        @if !view.changes.is_empty() {
            section.stops #waiting aria-labelledby="waiting-title" {
                h2 #waiting-title { (say_with("calendars-waiting", &[("count", view.changes.len().into())])) }
                p { (say("calendars-waiting-why")) }
                @for change in &view.changes { (waiting(view, &show, change, may_edit)) }
            }
        }
        @if view.calendars.is_empty() { p { (say("calendars-none")) } }
        @for calendar in &view.calendars { (card(view, &show, calendar, may_edit)) }
        @if may_edit { (add_form(view)) }
    };
    Frame::of(&title)
        .site(&view.site)
        .user(Some(user))
        .around(&content)
}

/// A change, with the buttons that decide it.
fn waiting(view: &View, show: &Shown, change: &ChangeRow, may_edit: bool) -> Markup {
    let when = |from: crate::store::Instant, to: crate::store::Instant| {
        format!(
            "{}, {}",
            date_short(work_date(show.zone, from.utc())),
            show.span(from.utc(), to.utc())
        )
    };
    let was = change
        .was_starts_at
        .zip(change.was_ends_at)
        .map(|(from, to)| when(from, to));
    let place = format!("/sites/{}/calendar-changes/{}", view.site.id, change.id);
    html! {
        div.calendar-change {
            p { strong { (court(view, Some(change.court_id))) ": " (change.name) } }
            p { (say_with(&format!("calendars-change-{}", change.kind), &[
                ("when", when(change.starts_at, change.ends_at).into()),
                ("was", was.unwrap_or_default().into()),
            ])) }
            @if may_edit {
                div.deeds {
                    (button(&format!("{place}/accept"), &say("calendars-accept"), true))
                    (button(&format!("{place}/refuse"), &say("calendars-refuse"), false))
                }
            }
        }
    }
}

fn court(view: &View, id: Option<i64>) -> String {
    let court = view.courts.iter().find(|court| Some(court.id) == id);
    court.map_or_else(|| say("calendars-by-place"), |court| court.name.clone())
}

fn card(view: &View, show: &Shown, calendar: &CalendarView, may_edit: bool) -> Markup {
    let at = |at: crate::store::Instant| {
        let date = date_short(work_date(show.zone, at.utc()));
        format!("{date}, {}", show.time(at.utc()))
    };
    html! {
        section.stops #{ "calendar-" (calendar.id) } {
            h2 { (calendar.name) }
            p { (say(&format!("calendars-makes-{}", calendar.makes))) " · " (court(view, calendar.court_id)) }
            @if calendar.address.is_some() {
                p {
                    @match calendar.asked_at {
                        Some(asked) => { (say_with("calendars-asked", &[("at", at(asked).into())])) }
                        None => { (say("calendars-not-asked")) }
                    }
                }
            }
            @if let Some(why) = &calendar.fetch_error {
                p.wrong { (say_with("calendars-fetch-failed", &[("why", why.as_str().into())])) }
            }
            @if let (Some(taken), Some(report)) = (calendar.imported_at, &calendar.report) {
                p { (say_with("calendars-taken-at", &[("at", at(taken).into())])) " " (sum(report)) }
                (lines(show, report))
            } @else { p { (say("calendars-nothing-yet")) } }
            @if may_edit {
                form.hold method="post" enctype="multipart/form-data"
                    action={ (address(view.site.id)) "/" (calendar.id) "/import" } {
                    label for={ "file-" (calendar.id) } { (say("calendars-file")) }
                    input id={ "file-" (calendar.id) } type="file" name="file" accept=".ics,text/calendar" required;
                    button.button type="submit" { (say("calendars-send")) }
                }
            }
        }
    }
}

fn add_form(view: &View) -> Markup {
    html! {
        section.stops aria-labelledby="add" {
            h2 #add { (say("calendars-add-title")) }
            form.hold method="post" action=(address(view.site.id)) {
                (key())
                label for="name" { (say("calendars-name")) }
                input #name type="text" name="name" maxlength="120" required;
                label for="court" { (say("calendars-court")) }
                select #court name="court" {
                    option value="" { (say("calendars-by-place")) }
                    @for court in &view.courts { option value=(court.id) { (court.name) } }
                }
                label for="makes" { (say("calendars-makes")) }
                select #makes name="makes" {
                    @for makes in Makes::ALL {
                        option value=(makes) { (say(&format!("calendars-makes-{makes}"))) }
                    }
                }
                label.tick { input type="checkbox" name="short" value="yes"; " " (say("calendars-short")) }
                label for="address" { (say("calendars-address")) }
                input #address type="url" name="address" maxlength="2000" placeholder="https://";
                button.button.strong type="submit" { (say("calendars-add")) }
            }
        }
    }
}

/// A report in one line.
fn sum(report: &Report) -> String {
    let counts = [
        ("taken", report.taken),
        ("changed", report.changed),
        ("cancelled", report.cancelled),
        ("unchanged", report.unchanged),
        ("proposed", report.proposed),
        ("refused", report.refused),
    ];
    let said: Vec<String> = counts
        .into_iter()
        .filter(|(_, count)| *count > 0)
        .map(|(name, count)| {
            say_with(
                &format!("calendars-count-{name}"),
                &[("count", count.into())],
            )
        })
        .collect();
    if said.is_empty() {
        say("calendars-count-none")
    } else {
        said.join(", ") + "."
    }
}

fn lines(show: &Shown, report: &Report) -> Markup {
    let refused: Vec<&ReportLine> = report
        .lines
        .iter()
        .filter(|line| line.outcome == "refused")
        .collect();
    html! {
        @if !refused.is_empty() {
            ul.calendar-lines {
                @for line in refused.iter().take(LINES) {
                    li { (say_with("calendars-refused-line", &[
                        ("line", line.line.unwrap_or_default().into()),
                        ("field", line.field.clone().unwrap_or_default().into()),
                        ("detail", line.detail.clone().unwrap_or_default().into()),
                    ])) }
                }
                @if refused.len() > LINES {
                    li { (say_with("calendars-more", &[("count", (refused.len() - LINES).into())])) }
                }
            }
        }
        @let done: Vec<&ReportLine> = report.lines.iter().filter(|line| line.outcome != "refused").collect();
        @if !done.is_empty() {
            details {
                summary { (say("calendars-lines")) }
                ul.calendar-lines {
                    @for line in done.iter().take(LINES) {
                        @if let Some(starts) = line.starts_at {
                            li {
                                (say(&format!("calendars-line-{}", key_part(&line.outcome)))) ": "
                                (date_short(work_date(show.zone, starts.utc()))) ", " (show.time(starts.utc()))
                            }
                        }
                    }
                    @if done.len() + report.left_off > LINES {
                        li { (say_with("calendars-more", &[("count", (done.len() + report.left_off - LINES.min(done.len())).into())])) }
                    }
                }
            }
        }
    }
}
