//! What a calendar says, held against RFC 5545.

use chrono_tz::America::New_York;
use proptest::prelude::*;

use super::*;

fn at(text: &str) -> DateTime<Utc> {
    text.parse().unwrap()
}

fn window() -> Span {
    Span {
        from: at("2026-01-01T00:00:00Z"),
        to: at("2027-02-05T00:00:00Z"),
    }
}

fn of(events: &[&str]) -> Reading {
    let events: String = events
        .iter()
        .map(|event| format!("BEGIN:VEVENT\n{event}\nEND:VEVENT\n"))
        .collect();
    let text = format!("BEGIN:VCALENDAR\nVERSION:2.0\n{events}END:VCALENDAR\n");
    read(&text, New_York, window()).unwrap()
}

/// Start and end of each instance, UTC.
fn spans(reading: &Reading) -> Vec<String> {
    assert_eq!(reading.faults, []);
    let show = |at: DateTime<Utc>| at.format("%m-%dT%H:%M").to_string();
    let spans = reading.instances.iter().map(|one| one.span);
    spans
        .map(|span| format!("{} {}", show(span.from), show(span.to)))
        .collect()
}

// RFC 5545 section 3.3.5, forms 1 to 3.
#[test]
fn a_time_is_of_its_zone_of_utc_or_where_it_says_nothing_of_the_site() {
    for start in [
        "DTSTART;TZID=America/New_York:20260610T090000",
        "DTSTART;TZID=\"America/New_York\":20260610T090000",
        "DTSTART:20260610T130000Z",
        "DTSTART:20260610T090000",
        "DTSTART;TZID=Europe/Madrid:20260610T150000",
    ] {
        let event = format!("UID:a\n{start}\nDURATION:PT1H30M");
        assert_eq!(
            spans(&of(&[&event])),
            ["06-10T13:00 06-10T14:30"],
            "{start}"
        );
    }
}

// RFC 5545 section 3.6.1: an event of a date without an end takes one day; DTEND is not in it.
#[test]
fn an_event_without_times_takes_the_site_s_whole_days() {
    let one = "UID:a\nDTSTART;VALUE=DATE:20260610";
    assert_eq!(spans(&of(&[one])), ["06-10T04:00 06-11T04:00"]);
    let two = "UID:a\nDTSTART;VALUE=DATE:20261031\nDTEND;VALUE=DATE:20261102";
    // 1 November 2026 has 25 hours in New York.
    assert_eq!(spans(&of(&[two])), ["10-31T04:00 11-02T05:00"]);
}

// RFC 5545 sections 3.1 and 3.3.11.
#[test]
fn a_folded_line_is_read_whole_and_an_escape_is_undone() {
    let event = "UID:a\nSUMMARY:Mixed\\, doub\n les\\; final\nLOCATION:Court\n  3\nDTSTART:20260610T130000Z\nDURATION:PT1H";
    let reading = of(&[event]);
    assert_eq!(reading.instances[0].name, "Mixed, doubles; final");
    assert_eq!(reading.instances[0].location.as_deref(), Some("Court 3"));
}

#[test]
fn a_weekly_booking_leaves_out_its_exceptions_and_takes_its_further_dates() {
    let event = "UID:a\nDTSTART;TZID=America/New_York:20260601T090000\nDTEND;TZID=America/New_York:20260601T100000\n\
        RRULE:FREQ=WEEKLY;COUNT=4\nEXDATE;TZID=America/New_York:20260608T090000\nRDATE:20260610T200000Z";
    let expected = [
        "06-01T13:00 06-01T14:00",
        "06-10T20:00 06-10T21:00",
        "06-15T13:00 06-15T14:00",
        "06-22T13:00 06-22T14:00",
    ];
    assert_eq!(spans(&of(&[event])), expected);
}

// RFC 5545 section 3.8.4.4.
#[test]
fn one_date_of_a_series_is_moved_to_another_day_and_another_cancelled() {
    let series = "UID:a\nDTSTART;TZID=America/New_York:20260601T090000\nDURATION:PT1H\nRRULE:FREQ=WEEKLY;COUNT=3";
    let moved = "UID:a\nRECURRENCE-ID;TZID=America/New_York:20260608T090000\nDTSTART:20260609T220000Z\nDURATION:PT2H";
    let off = "UID:a\nRECURRENCE-ID:20260615T130000Z\nSTATUS:CANCELLED";
    // In whichever order the file has them.
    for events in [[series, moved, off], [off, moved, series]] {
        let reading = of(&events);
        assert_eq!(
            spans(&reading),
            ["06-01T13:00 06-01T14:00", "06-09T22:00 06-10T00:00"]
        );
        assert_eq!(
            reading.instances[1].recurrence,
            Some(at("2026-06-08T13:00:00Z"))
        );
        assert_eq!(
            reading.cancels[0].recurrence,
            Some(at("2026-06-15T13:00:00Z"))
        );
    }
}

// RFC 5545 section 3.8.7.4.
#[test]
fn an_older_revision_in_the_same_file_is_ignored() {
    let old = "UID:a\nSEQUENCE:1\nDTSTART:20260610T130000Z\nDURATION:PT1H";
    let new = "UID:a\nSEQUENCE:2\nDTSTART:20260611T130000Z\nDURATION:PT1H";
    for events in [[old, new], [new, old]] {
        assert_eq!(spans(&of(&events)), ["06-11T13:00 06-11T14:00"]);
    }
}

// RFC 5545 sections 3.3.6 and 3.8.5.3: DTEND gives an exact length, days of a DURATION are days of the calendar.
#[test]
fn a_session_past_midnight_over_a_change_of_the_clocks_lasts_as_the_standard_says() {
    let exact = "UID:a\nDTSTART;TZID=America/New_York:20261030T220000\n\
        DTEND;TZID=America/New_York:20261031T020000\nRRULE:FREQ=DAILY;COUNT=3";
    let expected = [
        "10-31T02:00 10-31T06:00",
        "11-01T02:00 11-01T06:00",
        "11-02T03:00 11-02T07:00",
    ];
    assert_eq!(spans(&of(&[exact])), expected);
    let nominal = "UID:a\nDTSTART;TZID=America/New_York:20261031T120000\nDURATION:P1D";
    assert_eq!(spans(&of(&[nominal])), ["10-31T16:00 11-01T17:00"]);
}

#[test]
fn each_broken_event_is_named_by_line_and_field_and_the_rest_is_taken() {
    let good = "UID:good\nDTSTART:20260610T130000Z\nDURATION:PT1H";
    let broken = "UID:broken\nDTSTART:20260610T130000Z\nDTEND:20260610T120000Z";
    let reading = of(&[broken, good]);
    assert_eq!(reading.instances.len(), 1);
    let fault = &reading.faults[0];
    assert_eq!(
        (fault.line, fault.uid.as_deref(), fault.field.as_str()),
        (6, Some("broken"), "DTEND")
    );
}

#[test]
fn what_is_wrong_with_an_event_is_told_by_its_line_and_field() {
    let start = "UID:a\nDTSTART:20260610T130000Z";
    for (event, line, field) in [
        (
            "DTSTART:20260610T130000Z\nDURATION:PT1H".to_owned(),
            3,
            "UID",
        ),
        ("UID:a\nDURATION:PT1H".to_owned(), 3, "DTSTART"),
        (
            "UID:a\nDTSTART:20260610T250000Z\nDURATION:PT1H".to_owned(),
            5,
            "DTSTART",
        ),
        (
            "UID:a\nDTSTART;TZID=Mars/Canal:20260610T090000\nDURATION:PT1H".to_owned(),
            5,
            "DTSTART",
        ),
        (start.to_owned(), 5, "DTSTART"),
        (format!("{start}\nDURATION:-PT1H"), 6, "DURATION"),
        (format!("{start}\nDURATION:PT"), 6, "DURATION"),
        (format!("{start}\nDTEND;VALUE=DATE:20260611"), 6, "DTEND"),
        (
            format!("{start}\nDURATION:PT1H\nRRULE:FREQ=MOSTLY"),
            7,
            "RRULE",
        ),
        (
            format!("{start}\nDURATION:PT1H\nRRULE:FREQ=HOURLY"),
            7,
            "RRULE",
        ),
        (
            format!("{start}\nDURATION:PT1H\nSEQUENCE:first"),
            7,
            "SEQUENCE",
        ),
        (
            format!("{start}\nDURATION:PT1H\nno property"),
            7,
            "no property",
        ),
        (
            format!("{start}\nDURATION:PT1H\nRECURRENCE-ID;RANGE=THISANDFUTURE:20260610T130000Z"),
            7,
            "RECURRENCE-ID",
        ),
    ] {
        let reading = of(&[&event]);
        assert_eq!(reading.instances, [], "{event}");
        let fault = &reading.faults[0];
        assert_eq!((fault.line, fault.field.as_str()), (line, field), "{event}");
    }
}

#[test]
fn what_is_no_calendar_or_not_a_whole_one_is_refused_as_a_whole() {
    let read = |text: &str| read(text, New_York, window());
    for text in ["", "hello", "<html></html>", "BEGIN:VEVENT\nEND:VEVENT"] {
        assert!(read(text).is_err(), "{text}");
    }
    let cut = "BEGIN:VCALENDAR\nBEGIN:VEVENT\nUID:a\nDTSTART:20260610T130000Z";
    assert!(read(cut).unwrap_err().detail.contains("whole"));
    assert_eq!(
        read("BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n"),
        Ok(Reading::default())
    );
}

#[test]
fn an_alarm_inside_an_event_says_nothing_of_the_event() {
    let event = "UID:a\nDTSTART:20260610T130000Z\nBEGIN:VALARM\nDURATION:PT5M\nSUMMARY:Wake\nEND:VALARM\nDURATION:PT1H";
    let reading = of(&[event]);
    assert_eq!(spans(&reading), ["06-10T13:00 06-10T14:00"]);
    assert_eq!(reading.instances[0].name, "");
}

proptest! {
    /// Whatever somebody sends, it is read or refused, and no reader breaks off.
    #[test]
    fn any_lines_are_read_or_refused(
        lines in prop::collection::vec(
            prop_oneof![
                prop::sample::select(vec![
                    "BEGIN:VCALENDAR", "END:VCALENDAR", "BEGIN:VEVENT", "END:VEVENT", "UID:a",
                    "DTSTART:20260610T130000Z", "DURATION:P1D", "RRULE:FREQ=DAILY", "RDATE:20260611T010000,20260612",
                    "DTEND;TZID=America/New_York:20260610T233000", " 1", "EXDATE:20260611T130000Z", ":", ";=:",
                ]).prop_map(str::to_owned),
                "\\PC{0,30}",
            ],
            0..20,
        ),
    ) {
        let text = format!("BEGIN:VCALENDAR\nBEGIN:VEVENT\nUID:b\n{}\nEND:VEVENT\nEND:VCALENDAR", lines.join("\n"));
        if let Ok(reading) = read(&text, New_York, window()) {
            prop_assert!(reading.instances.iter().all(|one| one.span.from < one.span.to));
        }
    }
}
