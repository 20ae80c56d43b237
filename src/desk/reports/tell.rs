//! From figures to words: what the mail says, and in which order.

mod cost;
#[cfg(test)]
mod sample;
mod wear;
mod work;

use chrono::{Datelike, NaiveDate};
use trade::calendar::work_date;
use trade::units::UnitSystem;

use super::figures::WeekReport;
use crate::mail::sheet::Sheet;
use crate::store::Instant;
use crate::store::sites::Units;
use crate::words::shown::{Shown, date_short};
use crate::words::{say, say_with};

/// Puts a report into words. `public_url`: where readers find the service.
pub(super) fn report(figures: &WeekReport, public_url: Option<&str>) -> Sheet {
    let voice = Voice::of(figures);
    let (verdict, tone) = work::verdict(&figures.turnarounds);
    let week = say_with(
        "week-report-week",
        &[
            ("dates", voice.dates(figures.from, figures.to).into()),
            ("week", week_number(&figures.iso_week).into()),
        ],
    );
    let sections = [
        Some(work::courts(figures, &voice)),
        work::not_fit(figures, &voice),
        cost::hours(figures),
        Some(cost::cost(figures, &voice)),
        cost::materials(figures, &voice),
        work::brushes(figures, &voice),
        wear::gives_out_next(figures, &voice),
    ];
    Sheet {
        language: "en-US",
        subject: subject(figures),
        lead: verdict,
        tone,
        about: vec![figures.site.clone(), week],
        remark: (!figures.complete).then(|| {
            say_with(
                "week-report-so-far",
                &[("moment", voice.moment(figures.as_of).into())],
            )
        }),
        sections: sections.into_iter().flatten().collect(),
        footer: say_with(
            "week-report-footer",
            &[("site", one_line(&figures.site).into())],
        ),
        link: public_url.map(|url| (say("week-report-link"), format!("{url}/"))),
    }
}

fn subject(figures: &WeekReport) -> String {
    let told = &figures.turnarounds;
    let key = if told.due == 0 {
        "week-report-subject-nothing-due"
    } else {
        "week-report-subject"
    };
    let monday = format!("{} {}", month(figures.from), figures.from.day());
    say_with(
        key,
        &[
            ("site", one_line(&figures.site).into()),
            ("in_time", told.in_time.into()),
            ("due", told.due.into()),
            ("monday", monday.into()),
        ],
    )
}

fn week_number(iso_week: &str) -> String {
    let number = iso_week.split_once("-W").map_or("", |(_, week)| week);
    number.trim_start_matches('0').to_owned()
}

fn month(date: NaiveDate) -> String {
    say(&format!("month-{}", date.month()))
}

/// A name as it was typed, without what would break a line.
fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// How the site's readers are used to reading dates, money and quantities.
pub(super) struct Voice(Shown);

impl Voice {
    fn of(figures: &WeekReport) -> Self {
        Self(Shown {
            zone: figures.zone.parse().unwrap_or(chrono_tz::UTC),
            units: match figures.units {
                Units::UsCustomary => UnitSystem::UsCustomary,
                Units::Metric => UnitSystem::Metric,
            },
            currency: figures.currency.clone(),
        })
    }

    const fn units(&self) -> UnitSystem {
        self.0.units
    }

    fn money(&self, cents: i64) -> String {
        self.0.money(cents)
    }

    /// The site's date of an instant.
    fn date(&self, at: Instant) -> NaiveDate {
        work_date(self.0.zone, at.utc())
    }

    /// `Tue`.
    #[expect(clippy::unused_self, reason = "days will read differently by language")]
    fn weekday(&self, date: NaiveDate) -> String {
        let number = date.weekday().number_from_monday();
        say(&format!("weekday-{number}-short"))
    }

    /// `Tue, June 10, 1:00 PM`.
    fn moment(&self, at: Instant) -> String {
        let (date, time) = (date_short(self.date(at)), self.0.time(at));
        say_with(
            "week-report-moment",
            &[("date", date.into()), ("time", time.into())],
        )
    }

    /// `June 9 to 15, 2031`, `June 30 to July 6, 2031`.
    #[expect(
        clippy::unused_self,
        reason = "dates will read differently by language"
    )]
    fn dates(&self, from: NaiveDate, to: NaiveDate) -> String {
        let key = if from.year() != to.year() {
            "week-report-dates-of-two-years"
        } else if from.month() != to.month() {
            "week-report-dates-of-two-months"
        } else {
            "week-report-dates"
        };
        say_with(
            key,
            &[
                ("month", month(from).into()),
                ("day", from.day().to_string().into()),
                ("year", from.year().to_string().into()),
                ("last_month", month(to).into()),
                ("last_day", to.day().to_string().into()),
                ("last_year", to.year().to_string().into()),
            ],
        )
    }
}

/// `one`, `one and two`, `one, two and three`.
fn listed(parts: &[String]) -> String {
    match parts {
        [] => String::new(),
        [only] => only.clone(),
        [first, last] => say_with(
            "week-report-list-end",
            &[
                ("first", first.as_str().into()),
                ("last", last.as_str().into()),
            ],
        ),
        [first, rest @ ..] => say_with(
            "week-report-list",
            &[
                ("first", first.as_str().into()),
                ("rest", listed(rest).into()),
            ],
        ),
    }
}
