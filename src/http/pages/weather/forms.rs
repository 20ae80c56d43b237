//! The forms: one reading by hand in the site's own units, and a file of many.

use maud::{Markup, html};
use trade::units::UnitSystem;
use trade::weather::Column;

use super::address;
use crate::http::pages::parts::deed::key;
use crate::store::sites::SiteRow;
use crate::words::shown::Shown;
use crate::words::{say, say_with};

/// The fields of the form: the last part of the key that names each, the column whose unit it has, and the unit.
pub fn fields(units: UnitSystem) -> [(&'static str, Column, &'static str); 6] {
    match units {
        UnitSystem::UsCustomary => [
            ("temp", Column::TempF, "°F"),
            ("humidity", Column::HumidityPct, "%"),
            ("wind", Column::WindMph, "mph"),
            ("gust", Column::GustMph, "mph"),
            ("rain", Column::RainIn, "in"),
            ("solar", Column::SolarWM2, "W/m²"),
        ],
        UnitSystem::Metric => [
            ("temp", Column::TempC, "°C"),
            ("humidity", Column::HumidityPct, "%"),
            ("wind", Column::WindMps, "m/s"),
            ("gust", Column::GustMps, "m/s"),
            ("rain", Column::RainMm, "mm"),
            ("solar", Column::SolarWM2, "W/m²"),
        ],
    }
}

/// Both forms.
pub fn all(site: &SiteRow, show: &Shown) -> Markup {
    html! {
        section.stops #tell aria-labelledby="tell-title" {
            h2 #tell-title { (say("weather-form-title")) }
            p { (say("weather-form-lead")) }
            form.hold method="post" action={ (address(site.id)) "/readings" } {
                (key())
                label for="kind" { (say("weather-kind")) }
                select #kind name="kind" {
                    option value="observed" { (say("weather-observed")) }
                    option value="forecast" { (say("weather-forecast")) }
                }
                label for="read_at" { (say("weather-at")) }
                input #read_at type="datetime-local" name="read_at";
                div.play-times.is-even {
                    @for (key, column, unit) in fields(show.units) {
                        div {
                            label for=(column) { (label(key, unit)) }
                            input id=(column) type="text" inputmode="decimal" name=(column) maxlength="12" autocomplete="off";
                        }
                    }
                }
                label for="frost" { (say("weather-frost")) }
                select #frost name="frost" {
                    option value="" { (say("weather-not-read")) }
                    option value="no" { (say("weather-frost-no")) }
                    option value="yes" { (say("weather-frost-yes")) }
                }
                button.button.strong type="submit" { (say("weather-do")) }
            }
        }
        section.stops aria-labelledby="file-title" {
            h2 #file-title { (say("weather-file-title")) }
            p { (say_with("weather-file-lead", &[("columns", columns().into())])) }
            form.hold method="post" enctype="multipart/form-data"
                action={ (address(site.id)) "/files/" (uuid::Uuid::new_v4()) } {
                label for="file" { (say("weather-file")) }
                input #file type="file" name="file" accept=".csv,text/csv" required;
                button.button type="submit" { (say("weather-file-do")) }
            }
        }
    }
}

fn label(key: &str, unit: &str) -> String {
    if key == "rain" {
        return say_with("weather-rain-since", &[("unit", unit.into())]);
    }
    let what = say(&format!("weather-{key}"));
    say_with(
        "weather-field",
        &[("what", what.into()), ("unit", unit.into())],
    )
}

fn columns() -> String {
    let all: Vec<&str> = Column::ALL.iter().map(|column| column.as_str()).collect();
    all.join(", ")
}
