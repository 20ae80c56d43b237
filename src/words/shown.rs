//! How dates, times, money and quantities read: in the site's zone, units and currency.

use chrono::{DateTime, Datelike, NaiveDate, TimeDelta, Timelike, Utc};
use chrono_tz::Tz;
use trade::calendar::day_span;
use trade::units::{Millilitres, UnitSystem};

use super::{say, say_with};

/// What a site's readers are used to.
#[derive(Clone, Debug)]
pub struct Shown {
    /// The site's zone.
    pub zone: Tz,
    /// Its units; US customary goes with a clock of twelve hours.
    pub units: UnitSystem,
    /// ISO 4217 code of its money.
    pub currency: String,
}

impl Shown {
    /// `7:05 AM`, or `07:05`; on a date on which the clocks change with the zone behind it
    /// (`1:30 AM EDT`), since a time may come twice.
    pub fn time(&self, at: impl Into<DateTime<Utc>>) -> String {
        let local = at.into().with_timezone(&self.zone);
        let text = match self.units {
            UnitSystem::UsCustomary => say_with(
                "time-of-12-hours",
                &[
                    ("hour", local.hour12().1.to_string().into()),
                    ("minute", format!("{:02}", local.minute()).into()),
                    ("half", if local.hour12().0 { "pm" } else { "am" }.into()),
                ],
            ),
            UnitSystem::Metric => format!("{:02}:{:02}", local.hour(), local.minute()),
        };
        if self.clocks_change(local.date_naive()) {
            format!("{text}\u{a0}{}", local.format("%Z"))
        } else {
            text
        }
    }

    /// Date and time of an instant at the site, "Jun 10, 8:00 AM".
    pub fn date_time(&self, at: impl Into<DateTime<Utc>>) -> String {
        let at = at.into();
        let date = date_short(at.with_timezone(&self.zone).date_naive());
        format!("{date}, {}", self.time(at))
    }

    /// `7 AM`, or `07:00`: a full hour on a scale.
    pub fn hour(&self, at: DateTime<Utc>) -> String {
        match self.units {
            UnitSystem::UsCustomary => self.time(at).replace(":00", ""),
            UnitSystem::Metric => self.time(at),
        }
    }

    /// The last full hour on the site's clock.
    pub fn hour_start(&self, at: DateTime<Utc>) -> DateTime<Utc> {
        let local = at.with_timezone(&self.zone);
        let past_s = i64::from(local.minute() * 60 + local.second());
        at - TimeDelta::seconds(past_s) - TimeDelta::nanoseconds(local.nanosecond().into())
    }

    /// `7:05–7:40 AM`, `11:50 AM–12:20 PM`, or `07:05–07:40`.
    pub fn span(&self, from: impl Into<DateTime<Utc>>, to: impl Into<DateTime<Utc>>) -> String {
        let (from, to) = (self.time(from), self.time(to));
        let half = |text: &str| text.split_once('\u{a0}').map(|(_, half)| half.to_owned());
        let start = match (half(&from), half(&to)) {
            (Some(one), Some(other)) if one == other => from.split('\u{a0}').next().unwrap_or(""),
            _ => &from,
        };
        format!("{start}–{to}")
    }

    /// Whether the site's clocks are put forward or back on this date.
    pub fn clocks_change(&self, date: NaiveDate) -> bool {
        day_span(self.zone, date).length().0 != 24 * 3_600
    }

    /// `$1,234.50`; of other currencies the code stands behind, `1,234.50 EUR`.
    pub fn money(&self, cents: i64) -> String {
        let (size, sign) = (cents.unsigned_abs(), if cents < 0 { "-" } else { "" });
        let amount = format!("{}.{:02}", grouped(size / 100), size % 100);
        match self.currency.as_str() {
            "USD" => format!("{sign}${amount}"),
            code => format!("{sign}{amount}\u{a0}{code}"),
        }
    }

    /// `10 mph`, or `16 km/h`.
    pub fn speed(&self, mm_per_s: i64) -> String {
        let whole = |of: i64, over: i64| (of + over / 2).div_euclid(over);
        match self.units {
            // A mile is 1,609,344 mm.
            UnitSystem::UsCustomary => {
                let miles = whole(mm_per_s.saturating_mul(3_600), 1_609_344);
                format!("{miles}\u{a0}mph")
            }
            UnitSystem::Metric => {
                let km = whole(mm_per_s.saturating_mul(36), 10_000);
                format!("{km}\u{a0}km/h")
            }
        }
    }

    /// `7.7 mi`, or `12.4 km`, to the tenth.
    pub fn distance(&self, metres: i64) -> String {
        let (over_m_tenths, unit) = match self.units {
            // A tenth of a mile is 160.9344 m.
            UnitSystem::UsCustomary => (1_609_344, "mi"),
            UnitSystem::Metric => (1_000_000, "km"),
        };
        let scaled = i128::from(metres) * 10_000;
        let tenths = (scaled + i128::from(over_m_tenths) / 2).div_euclid(i128::from(over_m_tenths));
        let (whole, rest) = (tenths.div_euclid(10), tenths.rem_euclid(10));
        let whole = grouped(u64::try_from(whole).unwrap_or_default());
        format!("{whole}.{rest}\u{a0}{unit}")
    }

    /// `1,250 gal`, or `4.7 m³`.
    pub fn volume(&self, millilitres: i64) -> String {
        Millilitres(millilitres).show(self.units)
    }
}

/// Digits with a comma between the thousands.
fn grouped(number: u64) -> String {
    let digits = number.to_string();
    let mut text = String::new();
    for (place, digit) in digits.char_indices() {
        if place > 0 && (digits.len() - place).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

/// `6 h 30 min`, `45 min`, `8 h`: so many seconds of work, to the minute.
pub fn hours(seconds: i64) -> String {
    let minutes = (seconds + 30).div_euclid(60);
    match (minutes / 60, minutes % 60) {
        (0, minutes) => format!("{minutes}\u{a0}min"),
        (hours, 0) => format!("{hours}\u{a0}h"),
        (hours, minutes) => format!("{hours}\u{a0}h {minutes}\u{a0}min"),
    }
}

/// `Tuesday, June 10, 2031`.
pub fn date_long(date: NaiveDate) -> String {
    date_by("date-long", date)
}

/// `Tue, June 10`.
pub fn date_short(date: NaiveDate) -> String {
    date_by("date-short", date)
}

fn date_by(key: &str, date: NaiveDate) -> String {
    let weekday = format!("weekday-{}", date.weekday().number_from_monday());
    let month = format!("month-{}", date.month());
    say_with(
        key,
        &[
            ("weekday", say(&weekday).into()),
            ("weekday_short", say(&format!("{weekday}-short")).into()),
            ("month", say(&month).into()),
            ("day", date.day().to_string().into()),
            ("year", date.year().to_string().into()),
        ],
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(units: UnitSystem, currency: &str) -> Shown {
        Shown {
            zone: chrono_tz::America::New_York,
            units,
            currency: currency.into(),
        }
    }

    fn at(text: &str) -> DateTime<Utc> {
        text.parse().unwrap()
    }

    #[test]
    fn a_time_reads_on_the_site_s_own_clock() {
        let (us, metric) = (
            shown(UnitSystem::UsCustomary, "USD"),
            shown(UnitSystem::Metric, "EUR"),
        );
        let summer = at("2031-06-10T16:05:00Z");
        let winter = at("2031-12-10T05:00:00Z");
        assert_eq!(us.time(summer), "12:05\u{a0}PM");
        assert_eq!(us.time(winter), "12:00\u{a0}AM");
        assert_eq!(metric.time(summer), "12:05");
    }

    #[test]
    fn a_span_says_morning_or_afternoon_once_where_both_are() {
        let us = shown(UnitSystem::UsCustomary, "USD");
        let (seven, eight) = (at("2031-06-10T11:00:00Z"), at("2031-06-10T12:30:00Z"));
        let noon = at("2031-06-10T16:20:00Z");
        assert_eq!(us.span(seven, eight), "7:00–8:30\u{a0}AM");
        assert_eq!(us.span(eight, noon), "8:30\u{a0}AM–12:20\u{a0}PM");
        let metric = shown(UnitSystem::Metric, "EUR");
        assert_eq!(metric.span(seven, eight), "07:00–08:30");
    }

    #[test]
    fn a_scale_starts_at_a_full_hour_of_the_site_s_clock() {
        let us = shown(UnitSystem::UsCustomary, "USD");
        let hour = us.hour_start(at("2031-06-10T11:42:07.5Z"));
        assert_eq!(hour, at("2031-06-10T11:00:00Z"));
        assert_eq!(us.hour(hour), "7\u{a0}AM");
        let india = Shown {
            zone: chrono_tz::Asia::Kolkata,
            ..shown(UnitSystem::Metric, "INR")
        };
        let hour = india.hour_start(at("2031-06-10T11:42:00Z"));
        assert_eq!(india.hour(hour), "17:00");
    }

    /// Source: the tz database; New York leaves daylight saving on 2 November 2031 at 06:00 UTC.
    #[test]
    fn where_an_hour_comes_twice_the_zone_tells_them_apart() {
        let us = shown(UnitSystem::UsCustomary, "USD");
        let (first, second) = (at("2031-11-02T05:30:00Z"), at("2031-11-02T06:30:00Z"));
        assert_eq!(us.time(first), "1:30\u{a0}AM\u{a0}EDT");
        assert_eq!(us.time(second), "1:30\u{a0}AM\u{a0}EST");
        assert_eq!(
            us.span(first, second),
            "1:30\u{a0}AM\u{a0}EDT–1:30\u{a0}AM\u{a0}EST"
        );
    }

    #[test]
    fn dates_and_money_read_in_words_and_groups() {
        let day = NaiveDate::from_ymd_opt(2031, 6, 10).unwrap();
        assert_eq!(date_long(day), "Tuesday, June 10, 2031");
        assert_eq!(date_short(day), "Tue, June 10");
        let us = shown(UnitSystem::UsCustomary, "USD");
        assert_eq!(us.money(123_450), "$1,234.50");
        assert_eq!(us.money(-5), "-$0.05");
        assert_eq!(shown(UnitSystem::Metric, "EUR").money(99), "0.99\u{a0}EUR");
        assert_eq!(us.volume(4_731_765), "1,250 gal");
    }
}
