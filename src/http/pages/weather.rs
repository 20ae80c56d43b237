//! The weather at the site: what was read off and what is foretold, with how hot it feels; and the forms that tell it.

mod forms;
mod told;

use std::time::Duration;

use actix_web::http::StatusCode;
use actix_web::{HttpResponse, web};
use maud::{Markup, html};
use trade::heat::Band;
use trade::units::{Micrometres, Millicelsius, UnitSystem, show_wind};

use super::answer;
use super::parts::frame::Frame;
use super::parts::{key_part, shown};
use super::session::PageUser;
use crate::desk::Permit;
use crate::desk::access::{SeeSite, TellWeather};
use crate::desk::sites::site_read;
use crate::desk::weather::{Felt, Imported, weather_felt};
use crate::http::problem::Problem;
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::Instant;
use crate::store::weather::{WeatherKind, WeatherRow};
use crate::words::shown::Shown;
use crate::words::{say, say_with};

/// How far back and ahead the page looks.
const BACK: Duration = Duration::from_hours(48);
const AHEAD: Duration = Duration::from_hours(72);
/// Lines of a table; the rest is counted.
const LINES: usize = 72;

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/weather", "GET").route(web::get().to(read)))
        .configure(told::site_routes);
}

/// The page of a site's weather.
pub fn address(site_id: i64) -> String {
    format!("/sites/{site_id}/weather")
}

async fn read(
    office: State,
    user: PageUser,
    permit: Permit<SeeSite>,
) -> Result<HttpResponse, Problem> {
    let nothing = Said::default();
    Ok(answer(page(&office, &user, permit, &nothing).await?))
}

/// What the page says of what was just told: what was wrong, or what became of a file.
#[derive(Default)]
struct Said {
    wrong: Vec<String>,
    report: Option<Imported>,
}

/// The page again, with what was wrong in a form on top.
async fn refused(
    office: &State,
    user: &PageUser,
    permit: Permit<SeeSite>,
    wrong: Vec<String>,
) -> Result<HttpResponse, Problem> {
    let said = Said {
        wrong,
        report: None,
    };
    let mut again = answer(page(office, user, permit, &said).await?);
    *again.status_mut() = StatusCode::UNPROCESSABLE_ENTITY;
    Ok(again)
}

async fn page(
    office: &State,
    user: &PageUser,
    permit: Permit<SeeSite>,
    said: &Said,
) -> Result<Markup, Problem> {
    let may_tell = Permit::<TellWeather>::of((*permit).clone()).is_ok();
    let now = office.now().utc();
    let (from, to) = (Instant::from(now - BACK), Instant::from(now + AHEAD));
    let (site, felt) = at_the_desk(office, move |o| {
        Ok((site_read(o, &permit)?, weather_felt(o, &permit, from, to)?))
    })
    .await?;
    let show = shown(&site);
    let of_kind = |kind| felt.iter().filter(move |one| one.row.kind == kind);
    // The newest reading is what somebody looks for; a forecast is read from now on.
    let observed: Vec<_> = of_kind(WeatherKind::Observed).rev().collect();
    let foretold = of_kind(WeatherKind::Forecast).filter(|one| one.row.read_at.utc() >= now);
    let foretold: Vec<_> = foretold.collect();
    let title = say("weather-title");
    let content = html! {
        h1 { (title) }
        p { (say("weather-lead")) }
        @if !said.wrong.is_empty() {
            div.wrong role="alert" {
                p { (say("weather-not-taken")) }
                ul { @for text in &said.wrong { li { (text) } } }
            }
        }
        @if let Some(report) = &said.report { (told::report(&show, report)) }
        @if may_tell {
            p.deeds { a.button href="#tell" { (say("weather-to-form")) } }
        }
        (table(&show, &observed, "observed"))
        (table(&show, &foretold, "forecast"))
        p.note { (say("weather-heat-note")) }
        @if may_tell { (forms::all(&site, &show)) }
    };
    Ok(Frame::of(&title)
        .site(&site)
        .user(Some(user))
        .around(&content))
}

fn table(show: &Shown, felt: &[&Felt], kind: &str) -> Markup {
    html! {
        section.water.weather aria-labelledby=(kind) {
            h2 id=(kind) { (say(&format!("weather-{kind}"))) }
            @if felt.is_empty() {
                p { (say(&format!("weather-none-{kind}"))) }
            } @else {
                table.weather-table {
                    thead {
                        tr {
                            @for key in ["when", "temp", "humidity", "heat", "rain", "wind", "solar", "frost"] {
                                th scope="col" { (say(&format!("weather-{key}"))) }
                            }
                        }
                    }
                    tbody { @for one in felt.iter().take(LINES) { (line(show, one)) } }
                }
                @if felt.len() > LINES {
                    p { (say_with("weather-more", &[("count", (felt.len() - LINES).into())])) }
                }
            }
        }
    }
}

fn line(show: &Shown, felt: &Felt) -> Markup {
    let row = &felt.row;
    let heat = felt.index.zip(felt.band).map(|(index, band)| {
        let index = index.show(show.units);
        if band == Band::None {
            return index;
        }
        let band_words = say(&format!("weather-band-{}", key_part(band.as_str())));
        say_with(
            "weather-heat-shown",
            &[("index", index.into()), ("band", band_words.into())],
        )
    });
    let cells = [
        (
            "temp",
            row.temp_mc.map(|mc| Millicelsius(mc).show(show.units)),
        ),
        ("humidity", row.humidity_permille.map(percent)),
        ("heat", heat),
        (
            "rain",
            row.rain_um.map(|um| Micrometres(um).show_rain(show.units)),
        ),
        ("wind", wind(show.units, row)),
        ("solar", row.solar_w_m2.map(sun)),
        (
            "frost",
            row.frost.map(|yes| {
                say(if yes {
                    "weather-frost-yes"
                } else {
                    "weather-frost-no"
                })
            }),
        ),
    ];
    html! {
        tr {
            th scope="row" { time datetime=(row.read_at.utc().to_rfc3339()) { (show.date_time(row.read_at)) } }
            @for (key, cell) in cells {
                @if let Some(text) = cell {
                    td { span.weather-what { (say(&format!("weather-{key}"))) ": " } (text) }
                } @else { td.is-empty { "–" } }
            }
        }
    }
}

fn percent(permille: i64) -> String {
    let percent = (permille + 5).div_euclid(10).to_string();
    say_with("weather-percent", &[("percent", percent.into())])
}

fn sun(watts: i64) -> String {
    say_with(
        "weather-solar-shown",
        &[("watts", watts.to_string().into())],
    )
}

fn wind(units: UnitSystem, row: &WeatherRow) -> Option<String> {
    let said = |mmps: i64| show_wind(mmps, units);
    match (row.wind_mmps, row.gust_mmps) {
        (Some(wind), Some(gust)) => Some(say_with(
            "weather-wind-gust",
            &[("wind", said(wind).into()), ("gust", said(gust).into())],
        )),
        (Some(wind), None) => Some(said(wind)),
        (None, Some(gust)) => Some(format!("{} {}", say("weather-gust"), said(gust))),
        (None, None) => None,
    }
}
