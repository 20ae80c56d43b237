//! The report that goes by itself: once a week and site, whatever happens to the server.

use roundhand::jobs::run_due;

use super::{MailServer, instant, python_or_skip, report, restarted, subscribe_only};
use crate::support::on_both_engines;

on_both_engines! {
    async fn on_monday_at_six_the_week_is_mailed_once_by_however_many_servers(house) {
        let Some(python) = python_or_skip() else { return };
        let server = MailServer::start_anywhere(python);
        subscribe_only(house, "robin@example.org").await;
        let at = |now: &str| restarted(house, &server.url(), now);
        // The site's clock shows four hours less than UTC in June.
        assert_eq!(run_due(&at("2031-06-16T09:59:59Z")), 0);
        let servers: Vec<_> = (0..3)
            .map(|_| {
                let office = at("2031-06-16T10:00:00Z");
                std::thread::spawn(move || run_due(&office))
            })
            .collect();
        let jobs: usize = servers.into_iter().map(|server| server.join().unwrap()).sum();
        // One that is busy may leave the mail to the next look.
        let rest = run_due(&at("2031-06-16T10:00:00Z"));
        assert_eq!(jobs + rest, 2, "the report, then its mail");
        assert_eq!(run_due(&at("2031-06-18T10:00:00Z")), 0);
        let taken = server.taken(1);
        assert_eq!(taken.len(), 1);
        assert!(taken[0].header("subject")[0].contains("week of June 9"));
        let sendings = report(house).await["sendings"].clone();
        assert_eq!(sendings.as_array().unwrap().len(), 1);
    }

    async fn a_server_that_stood_still_on_monday_reports_the_week_when_it_is_back(house) {
        let Some(python) = python_or_skip() else { return };
        let server = MailServer::start_anywhere(python);
        subscribe_only(house, "robin@example.org").await;
        assert_eq!(run_due(&restarted(house, &server.url(), "2031-06-20T15:00:00Z")), 2);
        let taken = server.taken(1);
        assert!(taken[0].header("subject")[0].contains("week of June 9"));
    }

    async fn a_site_founded_this_week_has_no_last_week_to_report(house) {
        assert_eq!(house.office.clock.now(), instant("2031-06-10T09:00:00Z"));
        assert_eq!(run_due(&house.office), 0);
    }
}
