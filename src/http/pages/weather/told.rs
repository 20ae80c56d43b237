//! What the forms send: one reading, or a file with its report line by line.

use std::collections::BTreeMap;

use actix_web::{HttpResponse, web};
use maud::{Markup, html};
use trade::units::{Micrometres, Millicelsius, UnitSystem, show_wind};
use trade::weather::{Column, WeatherReading};

use super::forms::fields;
use super::{Said, address, page, refused};
use crate::desk::Permit;
use crate::desk::access::{SeeSite, TellWeather};
use crate::desk::sites::site_read;
use crate::desk::weather::{
    Imported, WeatherFile, WeatherTold, WeatherToldList, weather_import, weather_tell,
};
use crate::http::pages::parts::deed::key_of;
use crate::http::pages::parts::{local_instant, shown};
use crate::http::pages::session::PageUser;
use crate::http::pages::{answer, see_other};
use crate::http::problem::{Kind, Problem};
use crate::http::read::FormFile;
use crate::http::route::at;
use crate::http::{State, at_the_desk};
use crate::store::Instant;
use crate::store::weather::WeatherKind;
use crate::words::shown::Shown;
use crate::words::{say, say_with};

/// Lines of a report shown; the rest is counted.
const LINES: usize = 50;

pub(super) fn site_routes(cfg: &mut web::ServiceConfig) {
    cfg.service(at("/weather/readings", "POST").route(web::post().to(tell)))
        .service(at("/weather/files/{client_key}", "POST").route(web::post().to(import)));
}

type Fields = BTreeMap<String, String>;

async fn tell(
    office: State,
    user: PageUser,
    see: Permit<SeeSite>,
    permit: Permit<TellWeather>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, Problem> {
    let form = form.into_inner();
    let key = key_of(form.get("client_key"))?;
    let site_permit = see.clone();
    let site = at_the_desk(&office, move |o| site_read(o, &site_permit)).await?;
    let show = shown(&site);
    let told = match told(&show, &form, office.now()) {
        Ok(told) => told,
        Err(wrong) => return refused(&office, &user, see, wrong).await,
    };
    let list = WeatherToldList {
        readings: vec![told],
    };
    let done = at_the_desk(&office, move |o| weather_tell(o, &permit, key, &list)).await;
    match done {
        Ok(_) => Ok(see_other(&address(site.id))),
        Err(problem) if problem.kind() == Kind::Refused => {
            let faults = problem.faults().iter();
            let wrong = faults.map(|fault| in_words(&show, last_part(&fault.field), &fault.detail));
            refused(&office, &user, see, wrong.collect()).await
        }
        Err(problem) => Err(problem),
    }
}

/// Takes a file and shows what became of it, line by line.
async fn import(
    office: State,
    user: PageUser,
    see: Permit<SeeSite>,
    permit: Permit<TellWeather>,
    path: web::Path<(i64, String)>,
    FormFile(csv): FormFile,
) -> Result<HttpResponse, Problem> {
    let key = key_of(Some(&path.1))?;
    let file = WeatherFile { csv };
    let done = at_the_desk(&office, move |o| weather_import(o, &permit, key, &file)).await;
    match done {
        Ok(report) => {
            let said = Said {
                wrong: Vec::new(),
                report: Some(report),
            };
            Ok(answer(page(&office, &user, see, &said).await?))
        }
        Err(problem) if problem.kind() == Kind::Refused => {
            refused(&office, &user, see, vec![problem.in_words()]).await
        }
        Err(problem) => Err(problem),
    }
}

/// The reading that a form tells, or what is wrong in it.
fn told(show: &Shown, form: &Fields, now: Instant) -> Result<WeatherTold, Vec<String>> {
    let text = |name: &str| form.get(name).map_or("", |text| text.trim());
    let mut wrong = Vec::new();
    let mut reading = WeatherReading::default();
    for (key, column, _) in fields(show.units) {
        if column.put(text(column.as_str()), &mut reading).is_none() {
            let what = say(&format!("weather-{key}"));
            wrong.push(say_with("weather-not-a-number", &[("what", what.into())]));
        }
    }
    // A choice that the form does not offer says nothing.
    Column::Frost.put(text("frost"), &mut reading);
    let read_at = match text("read_at") {
        "" => Some(now),
        local => local_instant(show.zone, local),
    };
    match read_at {
        Some(read_at) if wrong.is_empty() => Ok(WeatherTold {
            read_at,
            kind: text("kind").parse().unwrap_or(WeatherKind::Observed),
            temp_mc: reading.temp.map(|temp| temp.0),
            humidity_permille: reading.humidity_permille,
            wind_mmps: reading.wind_mmps,
            gust_mmps: reading.gust_mmps,
            rain_um: reading.rain.map(|rain| rain.0),
            solar_w_m2: reading.solar_w_m2,
            frost: reading.frost,
        }),
        Some(_) => Err(wrong),
        None => {
            wrong.push(say("weather-time-wrong"));
            Err(wrong)
        }
    }
}

/// What became of a file.
pub fn report(show: &Shown, report: &Imported) -> Markup {
    html! {
        section.stops #report aria-labelledby="report-title" role="status" {
            h2 #report-title { (say("weather-report-title")) }
            p { (say_with("weather-report", &[
                ("taken", report.taken.into()),
                ("refused", report.refused.len().into()),
            ])) }
            @if !report.refused.is_empty() {
                ul.calendar-lines {
                    @for line in report.refused.iter().take(LINES) {
                        li { (of_line(show, line.line, &line.column, &line.detail)) }
                    }
                    @if report.refused.len() > LINES {
                        li { (say_with("weather-report-more", &[("count", (report.refused.len() - LINES).into())])) }
                    }
                }
            }
        }
    }
}

fn of_line(show: &Shown, line: u64, column: &str, detail: &str) -> String {
    let number = ("line", line.to_string().into());
    if let Some((key, low, high)) = range(show.units, column).filter(|_| is_range(detail)) {
        let out = [("low", low.into()), ("high", high.into())];
        let column = say(&format!("weather-{key}")).to_lowercase();
        let detail = say_with("weather-out", &out);
        return say_with(
            "weather-report-line",
            &[number, ("column", column.into()), ("detail", detail.into())],
        );
    }
    let detail = ("detail", detail.into());
    if column.is_empty() {
        return say_with("weather-report-whole", &[number, detail]);
    }
    say_with(
        "weather-report-line",
        &[number, ("column", column.into()), detail],
    )
}

/// What is wrong with a field, in the words and units of the page.
fn in_words(show: &Shown, field: &str, detail: &str) -> String {
    match range(show.units, field).filter(|_| is_range(detail)) {
        Some((key, low, high)) => {
            let what = say(&format!("weather-{key}"));
            let out = [
                ("what", what.into()),
                ("low", low.into()),
                ("high", high.into()),
            ];
            say_with("weather-out-of-range", &out)
        }
        None => detail.to_owned(),
    }
}

/// Whether a mend is a range in the units in which readings are kept.
fn is_range(detail: &str) -> bool {
    detail
        .strip_prefix("give ")
        .is_some_and(|rest| rest.starts_with(|c: char| c == '-' || c.is_ascii_digit()))
}

fn last_part(pointer: &str) -> &str {
    pointer.rsplit('/').next().unwrap_or(pointer)
}

/// The last part of a field's key, with the least and the most that it can be, as the site is used to them: those of
/// [`WeatherReading::checked`].
fn range(units: UnitSystem, field: &str) -> Option<(&'static str, String, String)> {
    let (low, high) = WeatherReading::range(field)?;
    let shown = |of: fn(i64, UnitSystem) -> String| (of(low, units), of(high, units));
    let (key, (low, high)) = match field {
        "temp_mc" => ("temp", shown(|mc, units| Millicelsius(mc).show(units))),
        "humidity_permille" => ("humidity", shown(|permille, _| super::percent(permille))),
        "wind_mmps" => ("wind", shown(show_wind)),
        "gust_mmps" => ("gust", shown(show_wind)),
        "rain_um" => ("rain", shown(|um, units| Micrometres(um).show_rain(units))),
        "solar_w_m2" => ("solar", shown(|watts, _| super::sun(watts))),
        _ => return None,
    };
    Some((key, low, high))
}
