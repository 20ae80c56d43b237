//! The examples of RFC 5545 section 3.8.5.3 (starting at 09:00 in New York), and what its other sections ask.

use chrono::Datelike;
use chrono_tz::America::New_York;
use proptest::prelude::*;

use super::*;

fn at(text: &str) -> NaiveDateTime {
    NaiveDateTime::parse_from_str(text, "%Y-%m-%d %H:%M").unwrap()
}

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

/// The first `most` instances, each as month-day.
fn dates(start: &str, rule: &str, most: usize) -> Vec<String> {
    let start = at(&format!("{start} 09:00"));
    let far = start + TimeDelta::days(2_000);
    let all = expand(rule, start, New_York, start, far).unwrap();
    assert!(all.iter().all(|local| local.time() == start.time()));
    all.iter()
        .take(most)
        .map(|local| format!("{}-{}", local.month(), local.day()))
        .collect()
}

fn is(start: &str, rule: &str, expected: &str) {
    let expected: Vec<&str> = expected.split(' ').collect();
    assert_eq!(dates(start, rule, expected.len()), expected, "{rule}");
    if rule.contains("COUNT") {
        assert_eq!(dates(start, rule, usize::MAX), expected, "{rule} ends");
    }
}

// RFC 5545 section 3.8.5.3.
#[test]
fn the_examples_of_the_standard_fall_on_its_days() {
    is(
        "1997-09-02",
        "FREQ=DAILY;COUNT=10",
        "9-2 9-3 9-4 9-5 9-6 9-7 9-8 9-9 9-10 9-11",
    );
    is(
        "1997-09-02",
        "FREQ=DAILY;INTERVAL=10;COUNT=5",
        "9-2 9-12 9-22 10-2 10-12",
    );
    is(
        "1997-09-02",
        "FREQ=WEEKLY;COUNT=10;WKST=SU;BYDAY=TU,TH",
        "9-2 9-4 9-9 9-11 9-16 9-18 9-23 9-25 9-30 10-2",
    );
    is(
        "1997-09-02",
        "FREQ=WEEKLY;INTERVAL=2;COUNT=8;WKST=SU;BYDAY=TU,TH",
        "9-2 9-4 9-16 9-18 9-30 10-2 10-14 10-16",
    );
    is(
        "1997-08-05",
        "FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=MO",
        "8-5 8-10 8-19 8-24",
    );
    is(
        "1997-08-05",
        "FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=SU",
        "8-5 8-17 8-19 8-31",
    );
    is(
        "1997-09-05",
        "FREQ=MONTHLY;COUNT=10;BYDAY=1FR",
        "9-5 10-3 11-7 12-5 1-2 2-6 3-6 4-3 5-1 6-5",
    );
    is(
        "1997-09-22",
        "FREQ=MONTHLY;COUNT=6;BYDAY=-2MO",
        "9-22 10-20 11-17 12-22 1-19 2-16",
    );
    is(
        "1997-09-28",
        "FREQ=MONTHLY;BYMONTHDAY=-3",
        "9-28 10-29 11-28 12-29 1-29 2-26",
    );
    is(
        "1997-09-30",
        "FREQ=MONTHLY;COUNT=10;BYMONTHDAY=1,-1",
        "9-30 10-1 10-31 11-1 11-30 12-1 12-31 1-1 1-31 2-1",
    );
    is(
        "2007-01-15",
        "FREQ=MONTHLY;BYMONTHDAY=15,30;COUNT=5",
        "1-15 1-30 2-15 3-15 3-30",
    );
    is(
        "1997-09-29",
        "FREQ=MONTHLY;BYDAY=MO,TU,WE,TH,FR;BYSETPOS=-2",
        "9-29 10-30 11-27 12-30 1-29 2-26 3-30",
    );
    is(
        "1997-06-10",
        "FREQ=YEARLY;COUNT=10;BYMONTH=6,7",
        "6-10 7-10 6-10 7-10 6-10 7-10 6-10 7-10 6-10 7-10",
    );
    is(
        "1997-05-12",
        "FREQ=YEARLY;BYWEEKNO=20;BYDAY=MO",
        "5-12 5-11 5-17",
    );
    is("1997-05-19", "FREQ=YEARLY;BYDAY=20MO", "5-19 5-18 5-17");
}

// RFC 5545 section 3.8.5.3, the alternate weeks, three days.
#[test]
fn every_other_week_on_three_days_until_christmas_eve_is_25_times() {
    let rule = "FREQ=WEEKLY;INTERVAL=2;UNTIL=19971224T000000Z;WKST=SU;BYDAY=MO,WE,FR";
    assert_eq!(
        dates("1997-09-01", rule, usize::MAX).join(" "),
        "9-1 9-3 9-5 9-15 9-17 9-19 9-29 10-1 10-3 10-13 10-15 10-17 10-27 10-29 10-31 \
         11-10 11-12 11-14 11-24 11-26 11-28 12-8 12-10 12-12 12-22"
    );
}

// RFC 5545 section 3.8.5.3: daily until December 24, 1997, over the change of 26 October.
#[test]
fn daily_over_the_autumn_change_stays_at_nine_on_the_wall() {
    let start = at("1997-09-02 09:00");
    let rule = "FREQ=DAILY;UNTIL=19971224T000000Z";
    let all = expand(rule, start, New_York, start, at("1999-01-01 00:00")).unwrap();
    assert_eq!(all.len(), 113);
    for local in all {
        let utc = local_to_instant(New_York, local.date(), local.time());
        let summer = local < at("1997-10-26 00:00");
        assert_eq!(
            utc.format("%H:%M").to_string(),
            if summer { "13:00" } else { "14:00" }
        );
    }
}

// RFC 5545 section 3.3.10: instances with a nonexistent local time "MUST be ignored and MUST NOT be counted as part of
// the recurrence set". The clocks of New York jump from 02:00 to 03:00 on 14 March 2027.
#[test]
fn a_time_that_the_clocks_leave_out_is_no_instance_and_is_not_counted() {
    let start = at("2027-03-12 02:30");
    let far = at("2028-01-01 00:00");
    let all = expand("FREQ=DAILY;COUNT=4", start, New_York, start, far).unwrap();
    let days: Vec<u32> = all.iter().map(Datelike::day).collect();
    assert_eq!(days, [12, 13, 15, 16]);
    let elsewhere = expand("FREQ=DAILY;COUNT=4", start, Tz::UTC, start, far).unwrap();
    assert_eq!(elsewhere.last().unwrap().day(), 15);
}

// RFC 5545 section 3.3.5. 1 November 2026 has 01:30 twice.
#[test]
fn a_time_that_comes_twice_is_one_instance_and_means_the_first() {
    let start = at("2026-10-31 01:30");
    let all = expand(
        "FREQ=DAILY;COUNT=3",
        start,
        New_York,
        start,
        at("2027-01-01 00:00"),
    )
    .unwrap();
    let utc: Vec<String> = all
        .iter()
        .map(|local| local_to_instant(New_York, local.date(), local.time()).to_rfc3339())
        .collect();
    assert_eq!(
        utc,
        [
            "2026-10-31T05:30:00+00:00",
            "2026-11-01T05:30:00+00:00",
            "2026-11-02T06:30:00+00:00"
        ]
    );
}

#[test]
fn an_end_in_utc_is_held_against_the_instant_and_one_without_a_time_takes_the_whole_day() {
    let start = at("2026-06-01 21:00");
    let last = |rule: &str| {
        let far = at("2026-08-01 00:00");
        *expand(rule, start, New_York, start, far)
            .unwrap()
            .last()
            .unwrap()
    };
    // 21:00 in New York in June is 01:00 UTC on the day after.
    assert_eq!(
        last("FREQ=DAILY;UNTIL=20260605T010000Z"),
        at("2026-06-04 21:00")
    );
    assert_eq!(
        last("FREQ=DAILY;UNTIL=20260605T005959Z"),
        at("2026-06-03 21:00")
    );
    assert_eq!(
        last("FREQ=DAILY;UNTIL=20260605T210000"),
        at("2026-06-05 21:00")
    );
    assert_eq!(last("FREQ=DAILY;UNTIL=20260605"), at("2026-06-05 21:00"));
}

// RFC 5545 section 3.8.5.3: "The DTSTART property value always counts as the first occurrence" (section 3.3.10).
#[test]
fn the_start_is_the_first_instance_also_where_the_rule_does_not_hit_it() {
    is("1997-09-02", "FREQ=WEEKLY;BYDAY=FR;COUNT=3", "9-2 9-5 9-12");
}

#[test]
fn a_rule_is_counted_from_its_start_and_shown_from_where_it_is_asked_for() {
    let start = at("2026-01-01 08:00");
    let (from, to) = (at("2026-01-09 00:00"), at("2026-02-01 00:00"));
    let all = expand("FREQ=DAILY;COUNT=10", start, New_York, from, to).unwrap();
    assert_eq!(all, [at("2026-01-09 08:00"), at("2026-01-10 08:00")]);
}

#[test]
fn what_is_no_rule_or_has_no_sensible_end_is_refused_with_its_mend() {
    let start = at("2026-01-01 08:00");
    let refused =
        |rule: &str| expand(rule, start, New_York, start, at("2199-01-01 00:00")).unwrap_err();
    assert_eq!(refused("FREQ=HOURLY"), BadRule::TooOften);
    assert_eq!(
        refused("FREQ=DAILY;COUNT=2;UNTIL=20260105"),
        BadRule::TwoEnds
    );
    assert_eq!(refused("FREQ=DAILY"), BadRule::TooMany);
    for rule in [
        "",
        "FREQ",
        "EVERY DAY",
        "FREQ=SOMETIMES",
        "FREQ=DAILY;COUNT=0",
        "FREQ=DAILY;COUNT=x",
        "FREQ=DAILY;INTERVAL=0",
        "FREQ=DAILY;UNTIL=soon",
        "FREQ=WEEKLY;BYDAY=XX",
        "FREQ=MONTHLY;BYMONTHDAY=32",
        "FREQ=DAILY;FREQ=DAILY",
        "FREQ=DAILY;COLOUR=RED",
    ] {
        assert!(
            matches!(refused(rule), BadRule::Unreadable(_)),
            "{rule}: {}",
            refused(rule)
        );
    }
    let early = at("1066-10-14 09:00");
    let asked = expand("FREQ=YEARLY", early, New_York, early, start);
    assert_eq!(asked, Err(BadRule::FarAway(early)));
}

#[test]
fn work_falls_due_on_the_days_of_its_rule_alone() {
    let days = days_of(
        "FREQ=WEEKLY;BYDAY=MO,TH",
        day("2026-06-02"),
        day("2026-06-01"),
        day("2026-06-11"),
    );
    assert_eq!(
        days.unwrap(),
        [day("2026-06-04"), day("2026-06-08"), day("2026-06-11")]
    );
    let ended = days_of(
        "FREQ=DAILY;UNTIL=20260603",
        day("2026-06-02"),
        day("2026-06-01"),
        day("2026-06-11"),
    );
    assert_eq!(ended.unwrap(), [day("2026-06-02"), day("2026-06-03")]);
}

proptest! {
    /// Whatever a calendar holds, the answer is instances within the stretch, in order and each once, or a fault.
    #[test]
    fn any_rule_gives_ordered_instances_or_a_fault(
        freq in prop::sample::select(vec!["DAILY", "WEEKLY", "MONTHLY", "YEARLY"]),
        parts in prop::collection::vec(
            prop_oneof![
                (1_u16..400).prop_map(|every| format!("INTERVAL={every}")),
                (1_u16..400).prop_map(|count| format!("COUNT={count}")),
                (-31_i8..32).prop_map(|of| format!("BYMONTHDAY={of}")),
                (-366_i16..367).prop_map(|of| format!("BYYEARDAY={of}")),
                (-53_i8..54).prop_map(|of| format!("BYWEEKNO={of}")),
                (-5_i16..6).prop_map(|of| format!("BYSETPOS={of}")),
                (1_u8..13).prop_map(|of| format!("BYMONTH={of}")),
                (0_u8..24).prop_map(|of| format!("BYHOUR={of}")),
                prop::sample::select(vec!["BYDAY=MO", "BYDAY=-1SU", "BYDAY=TU,5FR", "WKST=SU"])
                    .prop_map(str::to_owned),
            ],
            0..4,
        ),
        offset in 0_i64..800,
    ) {
        let start = at("2026-01-31 02:30") + TimeDelta::days(offset);
        let to = start + TimeDelta::days(400);
        let rule = format!("FREQ={freq};{}", parts.join(";"));
        if let Ok(all) = expand(&rule, start, New_York, start, to) {
            prop_assert!(all.is_sorted_by(|a, b| a < b), "{rule}: {all:?}");
            prop_assert!(all.iter().all(|local| start <= *local && *local < to));
            prop_assert_eq!(all.first(), Some(&start));
        }
    }
}
