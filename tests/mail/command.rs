//! `roundhand report`: the report for whoever stands at the machine.

use std::process::{Command, Output};

use crate::support::{House, on_both_engines};

fn run(house: &House, more: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_roundhand"))
        .args(["report", "--database", house.database_url()])
        .args(["--public-url", "https://courts.example.org"])
        .args(more)
        .env_remove("ROUNDHAND_PUBLIC_URL")
        .output()
        .expect("the program runs")
}

fn text(bytes: Vec<u8>) -> String {
    String::from_utf8(bytes).expect("text")
}

on_both_engines! {
    async fn the_command_prints_what_would_be_mailed(house) {
        // A week that is over by the machine's clock as by the house's.
        let past = "2020-W10";
        let path = house.path(&format!("/week-reports/{past}"));
        let shown = house.manager().await.get(&path).await.expect(200);
        let printed = text(run(house, &["--week", past]).stdout);
        let (subject, body) = printed.split_once("\n\n").unwrap();
        assert_eq!((subject, body), (shown["subject"].as_str().unwrap(), shown["text"].as_str().unwrap()));
        let html = text(run(house, &["--week", past, "--html"]).stdout);
        assert_eq!(html, shown["html"].as_str().unwrap());
    }

    async fn a_week_or_site_that_is_none_is_told_and_the_command_fails(house) {
        let far = run(house, &["--week", "9999-W01"]);
        assert!(!far.status.success());
        assert!(text(far.stderr).contains("9999-W01"));
        let no_week = run(house, &["--week", "last"]);
        assert!(text(no_week.stderr).contains("2031-W24"));
        let no_site = run(house, &["--site", "999"]);
        assert!(text(no_site.stderr).contains("no site 999"));
    }
}
