//! Between a site's clock and instants.

use chrono::{
    DateTime, MappedLocalTime, NaiveDate, NaiveDateTime, NaiveTime, Offset, TimeDelta, TimeZone,
    Utc,
};
use chrono_tz::Tz;

use super::{Span, later};
use crate::units::Seconds;

/// Further than any zone has ever jumped.
const BEYOND_ANY_JUMP: TimeDelta = TimeDelta::hours(48);

/// The instant meant by a local date and time, by RFC 5545 §3.3.5: a time that occurs twice means the
/// first; one that does not occur is read with the offset in force before the gap.
pub fn local_to_instant(zone: Tz, date: NaiveDate, time: NaiveTime) -> DateTime<Utc> {
    let local = date.and_time(time);
    match zone.from_local_datetime(&local) {
        MappedLocalTime::Single(only) => only.to_utc(),
        MappedLocalTime::Ambiguous(one, other) => one.min(other).to_utc(),
        MappedLocalTime::None => {
            let after = gap_end(zone, local);
            let before = after
                .checked_sub_signed(TimeDelta::seconds(1))
                .unwrap_or(after);
            let offset = zone.offset_from_utc_datetime(&before).fix();
            local.checked_sub_offset(offset).unwrap_or(after).and_utc()
        }
    }
}

/// The first instant of the local date, also where its midnight does not occur.
///
/// Of a date that the zone left out altogether, the instant at which the next one began.
pub fn day_start(zone: Tz, date: NaiveDate) -> DateTime<Utc> {
    let midnight = date.and_time(NaiveTime::MIN);
    match zone.from_local_datetime(&midnight) {
        MappedLocalTime::None => gap_end(zone, midnight).and_utc(),
        MappedLocalTime::Single(_) | MappedLocalTime::Ambiguous(..) => {
            local_to_instant(zone, date, NaiveTime::MIN)
        }
    }
}

/// From the first instant of the local date to the first of the next one.
pub fn day_span(zone: Tz, date: NaiveDate) -> Span {
    Span {
        from: day_start(zone, date),
        to: day_start(zone, later(date, 1)),
    }
}

/// The local date whose span holds the instant.
pub fn work_date(zone: Tz, instant: DateTime<Utc>) -> NaiveDate {
    let date = local_of(zone, instant.naive_utc()).date();
    // Where a clock is set back over midnight, the old date shows again after the new day has begun.
    let next = later(date, 1);
    if next > date && instant >= day_start(zone, next) {
        next
    } else {
        date
    }
}

/// Seconds elapsed from the first instant of the local date to the instant; negative before it. On a
/// day when the clocks change, 08:00 is not 28,800.
pub fn seconds_into_day(zone: Tz, date: NaiveDate, instant: DateTime<Utc>) -> Seconds {
    Seconds(instant.timestamp() - day_start(zone, date).timestamp())
}

/// The instant so many seconds after the first of the local date; `None` beyond the calendar's end.
pub fn instant_in_day(zone: Tz, date: NaiveDate, seconds: Seconds) -> Option<DateTime<Utc>> {
    day_start(zone, date).checked_add_signed(TimeDelta::try_seconds(seconds.0)?)
}

/// What the clock on the wall shows.
fn local_of(zone: Tz, utc: NaiveDateTime) -> NaiveDateTime {
    utc.checked_add_offset(zone.offset_from_utc_datetime(&utc).fix())
        .unwrap_or(utc)
}

/// The instant at which the clock jumped over `local`, a time that does not occur.
fn gap_end(zone: Tz, local: NaiveDateTime) -> NaiveDateTime {
    let mut before = local
        .checked_sub_signed(BEYOND_ANY_JUMP)
        .unwrap_or(NaiveDateTime::MIN);
    let mut after = local
        .checked_add_signed(BEYOND_ANY_JUMP)
        .unwrap_or(NaiveDateTime::MAX);
    // The clock shows less than `local` at `before` and more at `after`: halve until a second lies between.
    loop {
        let half = (after - before).num_seconds() / 2;
        if half == 0 {
            return after;
        }
        let middle = before + TimeDelta::seconds(half);
        if local_of(zone, middle) < local {
            before = middle;
        } else {
            after = middle;
        }
    }
}

#[cfg(test)]
mod tests {
    use chrono_tz::{America, Asia, Europe, Pacific};
    use proptest::prelude::*;

    use super::*;

    fn date(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    fn at(zone: Tz, day: &str, time: &str) -> String {
        local_to_instant(zone, date(day), time.parse().unwrap())
            .format("%FT%RZ")
            .to_string()
    }

    // RFC 5545 §3.3.5, the printed examples.
    #[test]
    fn a_time_that_occurs_twice_is_the_first_and_one_that_does_not_is_read_with_the_offset_before()
    {
        assert_eq!(
            at(America::New_York, "2007-11-04", "01:30:00"),
            "2007-11-04T05:30Z"
        );
        assert_eq!(
            at(America::New_York, "2007-03-11", "02:30:00"),
            "2007-03-11T07:30Z"
        );
    }

    #[test]
    fn six_in_the_morning_stays_six_in_the_morning_over_a_change() {
        assert_eq!(
            at(America::New_York, "2026-10-31", "06:00:00"),
            "2026-10-31T10:00Z"
        );
        assert_eq!(
            at(America::New_York, "2026-11-01", "06:00:00"),
            "2026-11-01T11:00Z"
        );
        assert_eq!(
            at(America::New_York, "2027-03-14", "06:00:00"),
            "2027-03-14T10:00Z"
        );
    }

    #[test]
    fn a_day_without_midnight_starts_at_one() {
        // America/Sao_Paulo went from 2017-10-14 23:59:59 to 2017-10-15 01:00; Asia/Beirut likewise in March 2023.
        let start = day_start(America::Sao_Paulo, date("2017-10-15"));
        assert_eq!(start.to_string(), "2017-10-15 03:00:00 UTC");
        assert_eq!(
            day_span(America::Sao_Paulo, date("2017-10-15")).length(),
            Seconds(23 * 3_600)
        );
        assert_eq!(
            day_span(America::Sao_Paulo, date("2018-02-17")).length(),
            Seconds(25 * 3_600)
        );
        assert_eq!(
            day_span(Asia::Beirut, date("2022-03-27")).length(),
            Seconds(23 * 3_600)
        );
    }

    #[test]
    fn eight_in_the_morning_is_not_28_800_seconds_into_the_day_of_a_change() {
        let zone = America::New_York;
        let eight = local_to_instant(zone, date("2026-11-01"), "08:00:00".parse().unwrap());
        assert_eq!(
            seconds_into_day(zone, date("2026-11-01"), eight),
            Seconds(9 * 3_600)
        );
        assert_eq!(
            instant_in_day(zone, date("2026-11-01"), Seconds(9 * 3_600)),
            Some(eight)
        );
        assert_eq!(
            seconds_into_day(zone, date("2026-11-02"), eight),
            Seconds(-16 * 3_600)
        );
    }

    #[test]
    fn a_date_that_a_zone_left_out_has_no_length() {
        assert_eq!(
            day_span(Pacific::Apia, date("2011-12-30")).length(),
            Seconds(0)
        );
        assert_eq!(
            day_span(Pacific::Apia, date("2011-12-29")).to,
            day_span(Pacific::Apia, date("2011-12-31")).from
        );
    }

    #[test]
    fn a_clock_set_back_over_midnight_does_not_bring_yesterday_back() {
        // America/St_Johns was set back at 00:01, so that 23:01 to 24:00 showed again.
        let zone = America::St_Johns;
        let day = date("2010-11-07");
        let start = day_start(zone, day);
        for minutes in 0..180 {
            assert_eq!(work_date(zone, start + TimeDelta::minutes(minutes)), day);
        }
    }

    #[test]
    fn days_tile_a_whole_year_without_gap() {
        let years = [
            (America::New_York, 2026),
            (Europe::Berlin, 2026),
            (America::Sao_Paulo, 2017),
            (America::Sao_Paulo, 2018),
            (Asia::Beirut, 2023),
            (America::Havana, 2025),
            (America::St_Johns, 2010),
            (Pacific::Apia, 2011),
        ];
        for (zone, year) in years {
            let mut day = NaiveDate::from_ymd_opt(year, 1, 1).unwrap();
            let first = day_start(zone, day);
            let mut end = first;
            while day.format("%Y").to_string() == year.to_string() {
                let span = day_span(zone, day);
                assert_eq!(span.from, end, "{zone} {day}");
                assert!(span.from <= span.to, "{zone} {day}");
                if span.from < span.to {
                    assert_eq!(work_date(zone, span.from), day, "{zone}");
                    assert_eq!(
                        work_date(zone, span.to - TimeDelta::seconds(1)),
                        day,
                        "{zone}"
                    );
                }
                end = span.to;
                day = later(day, 1);
            }
            assert_eq!(end, day_start(zone, day));
        }
    }

    #[test]
    fn the_ends_of_the_calendar_do_not_panic() {
        for day in [NaiveDate::MIN, NaiveDate::MAX] {
            for zone in [Pacific::Kiritimati, America::New_York] {
                let span = day_span(zone, day);
                let _ = (
                    work_date(zone, span.from),
                    seconds_into_day(zone, day, span.to),
                );
                let _ = (
                    work_date(zone, DateTime::<Utc>::MIN_UTC),
                    work_date(zone, DateTime::<Utc>::MAX_UTC),
                );
            }
        }
        assert_eq!(
            instant_in_day(Europe::Paris, date("2026-05-01"), Seconds(i64::MAX)),
            None
        );
    }

    proptest! {
        #[test]
        fn an_instant_lies_in_the_span_of_its_work_date(at in 0_i64..4_000_000_000, pick in 0_usize..chrono_tz::TZ_VARIANTS.len()) {
            let zone = chrono_tz::TZ_VARIANTS[pick];
            let instant = DateTime::from_timestamp(at, 0).unwrap();
            let day = work_date(zone, instant);
            prop_assert!(day_span(zone, day).contains(instant), "{} {} {}", zone, instant, day);
            let into = seconds_into_day(zone, day, instant);
            prop_assert_eq!(instant_in_day(zone, day, into), Some(instant));
        }
    }
}
