//! A floor uses only the floors below it.

use super::{none, root, sources};

fn under<'a>(folders: &'a [&str]) -> impl Fn(&super::Source) -> bool + 'a {
    |source| {
        folders.iter().any(|folder| {
            source.path.starts_with(&format!("src/{folder}/"))
                || source.path == format!("src/{folder}.rs")
        })
    }
}

#[test]
fn the_database_library_stands_in_the_store_alone() {
    let elsewhere = sources("src", "rs");
    let places: Vec<_> = elsewhere
        .iter()
        .filter(|source| !source.path.starts_with("src/store/"))
        .flat_map(|source| source.places_of(&["diesel", "diesel_migrations"]))
        .collect();
    none(&places, "Diesel lives in src/store and nowhere else");
}

#[test]
fn nothing_looks_up_a_floor() {
    // Who may not use whom; the desk's own rooms below `mail` and `jobs` included.
    let rules: [(&[&str], &[&str]); 4] = [
        (
            &["desk", "store", "mail", "jobs", "words", "clock"],
            &["crate::http", "crate::cli"],
        ),
        (&["store", "words", "clock"], &["crate::desk"]),
        (&["desk", "store", "words", "clock"], &["crate::jobs"]),
        (&["store", "words", "clock"], &["crate::mail"]),
    ];
    let all = sources("src", "rs");
    for (folders, forbidden) in rules {
        let places: Vec<_> = all
            .iter()
            .filter(|source| under(folders)(source))
            .flat_map(|source| source.places_of(forbidden))
            .collect();
        none(&places, &format!("{folders:?} do not use {forbidden:?}"));
    }
}

#[test]
fn the_web_library_stands_on_the_top_floor_alone() {
    let places: Vec<_> = sources("src", "rs")
        .iter()
        .filter(|source| !under(&["http", "cli"])(source))
        .flat_map(|source| source.places_of(&["actix_web", "utoipa_swagger_ui"]))
        .collect();
    none(&places, "HTTP is the matter of src/http");
}

#[test]
fn html_is_written_for_pages_and_for_mail_alone() {
    let places: Vec<_> = sources("src", "rs")
        .iter()
        .filter(|source| !under(&["http", "mail"])(source))
        .flat_map(|source| source.places_of(&["maud"]))
        .collect();
    none(&places, "HTML is the matter of src/http and src/mail");
}

#[test]
fn the_ground_floors_depend_on_nothing_of_the_house_and_touch_nothing_outside() {
    for package in ["trade", "planner"] {
        let manifest = root().join(format!("src/{package}/Cargo.toml"));
        let manifest = std::fs::read_to_string(manifest).expect("the package has a manifest");
        let dependencies = manifest
            .split("[dependencies]")
            .nth(1)
            .expect("a manifest has dependencies");
        let places: Vec<_> = dependencies
            .lines()
            .filter(|line| line.contains("roundhand") || line.contains("path ="))
            .map(|line| format!("src/{package}/Cargo.toml: {line}"))
            .collect();
        none(&places, "the ground floors stand alone");

        let outside = [
            "std::fs",
            "std::net",
            "std::env",
            "std::process",
            "SystemTime",
            "Utc::now",
            "Local::now",
            "Instant::now",
        ];
        let places: Vec<_> = sources(&format!("src/{package}"), "rs")
            .iter()
            .flat_map(|source| source.places_of(&outside))
            .collect();
        none(&places, "the ground floors have no input, output or clock");
    }
}

#[test]
fn the_time_comes_from_one_clock() {
    let places: Vec<_> = sources("src", "rs")
        .iter()
        .filter(|source| source.path != "src/clock.rs")
        .flat_map(|source| source.places_of(&["Utc::now", "Local::now", "SystemTime::now"]))
        .collect();
    none(&places, "take the time from the office's clock");
}

/// The framework's own readers answer without naming the field at fault.
#[test]
fn requests_are_read_by_the_readers_that_name_the_field() {
    let places: Vec<_> = sources("src/http/api", "rs")
        .iter()
        .flat_map(|source| source.places_of(&["web::Query", "web::Json", "web::Form"]))
        .collect();
    none(&places, "use Body, Query and Listing of src/http/read");
}
