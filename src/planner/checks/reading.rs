//! The travel times, which are read apart from all else: what is wrong with them is named as if they were not.

use proptest::prelude::*;
use serde_json::Value;

use super::bad_input::written;
use super::builder::*;
use super::mangle::mangled;
use super::properties::Dice;
use crate::fault::Fault;
use crate::form;
use crate::problem::{Checked, Problem};
use crate::reading::{Raw, Travel};
use crate::rng::Rng;

fn named(faults: &[Fault]) -> Vec<&str> {
    faults.iter().map(|f| f.pointer.as_str()).collect()
}

/// The pointers that a day on three places is refused with, these being its travel times; none where it is
/// not.
fn refused(travel: &str) -> Vec<String> {
    let text = text(travel);
    let faults = Checked::from_json(&text).err().unwrap_or_default();
    named(&faults).into_iter().map(str::to_owned).collect()
}

/// A day on three places with this as its travel times.
fn text(travel: &str) -> String {
    let mut day = serde_json::to_value(one_visit()).expect("a problem can be written");
    day["travel_s"] = Value::String("<travel>".to_owned());
    day.to_string().replace("\"<travel>\"", travel)
}

fn one_visit() -> Problem {
    let mut p = day(3, 60);
    p.crews = vec![crew("one")];
    p.visits = vec![visit("a", 1)];
    p
}

const SOUND: &str = "[[0, 1, 2], [3, 0, 4], [5, 6, 0]]";

#[test]
fn a_matrix_that_is_no_list_of_rows_is_one_fault_beside_the_places_that_then_are_unknown() {
    for travel in ["null", "7", "{}", "\"0\"", "[]"] {
        let named = refused(travel);
        assert_eq!(named[0], "/travel_s", "{travel}");
        assert!(
            named[1..].iter().all(|p| p.ends_with("place")),
            "{travel}: {named:?}"
        );
    }
    assert_eq!(refused(SOUND), [""; 0]);
}

#[test]
fn a_row_that_is_no_list_or_too_short_or_too_long_is_named() {
    for row in ["null", "3", "{}", "[]", "[3, 0]", "[3, 0, 4, 1]", "[null]"] {
        let travel = format!("[[0, 1, 2], {row}, [5, 6, 0]]");
        assert_eq!(refused(&travel), ["/travel_s/1"], "{row}");
    }
}

#[test]
fn an_entry_that_is_no_integer_or_out_of_bounds_is_named_and_none_beside_it() {
    for x in [
        "null",
        "true",
        "\"1\"",
        "[1]",
        "{}",
        "1.5",
        "1.0",
        "1e2",
        "-1",
        "1000000000001",
        "18446744073709551615",
        "18446744073709551616",
        "-9223372036854775809",
    ] {
        let travel = format!("[[0, 1, 2], [{x}, 0, {x}], [5, {x}, 0]]");
        let places = ["/travel_s/1/0", "/travel_s/1/2", "/travel_s/2/1"];
        assert_eq!(refused(&travel), places, "{x}");
    }
    let most = "[[0, 1000000000000, 2], [3, 0, 4], [5, 6, 0]]";
    assert_eq!(refused(most), [""; 0]);
}

#[test]
fn a_way_from_a_place_to_itself_takes_no_time() {
    let travel = "[[1, 1, 2], [3, -1, 4], [5, 6, null]]";
    let places = ["/travel_s/0/0", "/travel_s/1/1", "/travel_s/2/2"];
    assert_eq!(refused(travel), places);
}

#[test]
fn of_two_matrices_the_last_counts() {
    let twice = |first: &str, last: &str| {
        let text = text(&format!("{first}, \"travel_s\": {last}"));
        Checked::from_json(&text).map(|day| day.problem().travel_s.clone())
    };
    let sound = vec![vec![0, 1, 2], vec![3, 0, 4], vec![5, 6, 0]];
    for strange in ["7", "[[1]]", "[[0, null]]", "null"] {
        assert_eq!(twice(strange, SOUND), Ok(sound.clone()), "{strange}");
        let faults = twice(SOUND, strange).expect_err("the last is strange");
        assert!(faults[0].pointer.starts_with("/travel_s"), "{strange}");
    }
}

#[test]
fn a_day_built_in_code_is_refused_like_one_that_is_read() {
    let mut p = one_visit();
    p.travel_s[1] = vec![-1, 2];
    p.travel_s[2][0] = 2_000_000_000_000;
    p.travel_s[0][0] = 1;
    p.crews[0].start_place = 3;
    let read = Checked::from_json(&serde_json::to_string(&p).expect("a problem can be written"));
    let faults = p.checked().expect_err("faults");
    let places = [
        "/travel_s/0/0",
        "/travel_s/1",
        "/travel_s/2/0",
        "/crews/0/start_place",
    ];
    assert_eq!(named(&faults), places);
    assert_eq!(read, Err(faults));
}

proptest! {
    #![proptest_config(super::cases(512))]

    #[test]
    fn faults_are_the_same_as_of_a_matrix_read_as_values(seed: u64, times in 1_i64..7) {
        let text = mangled(&mut Dice(Rng::new(!seed)), written(seed), times);
        let Ok(Value::Object(mut fields)) = serde_json::from_str(&text) else {
            prop_assert!(Raw::from_json(&text).is_err());
            return Ok(());
        };
        let travel = Travel::of(fields.remove("travel_s"));
        let raw = Raw::from_json(&text).expect("an object");
        prop_assert_eq!(&raw.fields, &fields);
        prop_assert_eq!(&raw.travel, &travel);
        prop_assert_eq!(form::faults(&raw.fields, &raw.travel), form::faults(&fields, &travel));
    }
}
