//! The outbox: every mail goes once, whatever stops in between.

use std::sync::Arc;

use diesel::prelude::*;
use roundhand::jobs::{Worker, run_due};
use roundhand::store::Result;
use roundhand::store::jobs::{JobKind, job_take};
use roundhand::store::schema::jobs;
use serde_json::Value;

use super::{
    MailServer, free_port, instant, nobody_subscribed, office, python_or_skip, report, restarted,
    send, subscribe, subscribe_only,
};
use crate::support::{House, on_both_engines};

/// The one sending of the week, as the API tells it.
async fn sending(house: &House) -> Value {
    let report = report(house).await;
    let all = report["sendings"].as_array().unwrap();
    assert_eq!(all.len(), 1);
    all[0].clone()
}

/// Lets the mail jobs of the site wait again, as where a process died before it could end them.
fn db_forget_the_end(house: &House) {
    house
        .office
        .db
        .write_shared(|conn| -> Result<_> {
            diesel::update(jobs::table.filter(jobs::kind.eq("mail")))
                .set(jobs::state.eq("waiting"))
                .execute(conn)?;
            Ok(())
        })
        .unwrap();
}

on_both_engines! {
    async fn mail_waits_for_a_server_that_is_down_and_goes_once_after_a_restart(house) {
        let Some(python) = python_or_skip() else { return };
        let port = free_port();
        let url = format!("smtp://127.0.0.1:{port}");
        subscribe_only(house, "robin@example.org").await;
        send(house).await;

        let before = office(house, &url);
        assert_eq!(run_due(&before), 1);
        let told = sending(house).await;
        assert_eq!((&told["waiting"], &told["delivered"], &told["failed"]), (&1.into(), &0.into(), &0.into()));
        assert!(told["last_error"].as_str().unwrap().contains("onnection"), "{told}");
        assert_eq!(told["sent_at"], Value::Null);
        assert_eq!(run_due(&before), 0, "it waits before it tries again");
        drop(before);

        let server = MailServer::start(python, port);
        let after = restarted(house, &url, "2031-06-10T09:00:30Z");
        assert_eq!(run_due(&after), 1);
        assert_eq!(run_due(&after), 0);
        assert_eq!(server.taken(1).len(), 1);
        let told = sending(house).await;
        assert_eq!((&told["waiting"], &told["delivered"]), (&0.into(), &1.into()));
        assert_eq!(told["sent_at"], "2031-06-10T09:00:30Z");
    }

    async fn two_workers_at_once_deliver_each_mail_once(house) {
        let Some(python) = python_or_skip() else { return };
        let server = MailServer::start_anywhere(python);
        nobody_subscribed(house).await;
        let readers: Vec<String> = (0..12).map(|n| format!("reader{n}@example.org")).collect();
        for reader in &readers {
            subscribe(house, reader).await;
        }
        assert_eq!(send(house).await["mails"], 12);
        let workers: Vec<_> = (0..3)
            .map(|_| {
                let office = office(house, &server.url());
                std::thread::spawn(move || run_due(&office))
            })
            .collect();
        let jobs: usize = workers.into_iter().map(|worker| worker.join().unwrap()).sum();
        assert_eq!(jobs, 12);
        let taken = server.taken(12);
        let mut to: Vec<String> = taken.iter().flat_map(|mail| mail.to.clone()).collect();
        to.sort();
        let mut wanted = readers;
        wanted.sort();
        assert_eq!(to, wanted);
    }

    async fn a_mail_held_by_a_worker_that_died_is_taken_over_when_its_lease_lapses(house) {
        let Some(python) = python_or_skip() else { return };
        let server = MailServer::start_anywhere(python);
        subscribe_only(house, "robin@example.org").await;
        send(house).await;
        let (now, until) = (house.office.now(), instant("2031-06-10T09:10:00Z").into());
        let db = &house.office.db;
        let held = db.write_shared(|conn| job_take(conn, &[JobKind::Mail], now, until)).unwrap();
        assert!(held.is_some());

        assert_eq!(run_due(&office(house, &server.url())), 0, "somebody holds it");
        assert_eq!(run_due(&restarted(house, &server.url(), "2031-06-10T09:09:59Z")), 0);
        assert_eq!(run_due(&restarted(house, &server.url(), "2031-06-10T09:10:00Z")), 1);
        assert_eq!(server.taken(1).len(), 1);
    }

    /// RFC 5322 section 3.6.4: the Message-ID names one message, by which a receiver tells a double.
    async fn a_mail_sent_twice_is_the_same_mail_to_the_octet(house) {
        let Some(python) = python_or_skip() else { return };
        let server = MailServer::start_anywhere(python);
        subscribe_only(house, "robin@example.org").await;
        send(house).await;
        let office = office(house, &server.url());
        assert_eq!(run_due(&office), 1);
        db_forget_the_end(house);
        assert_eq!(run_due(&restarted(house, &server.url(), "2031-06-10T10:00:00Z")), 1);
        let taken = server.taken(2);
        assert_eq!(taken[0].header("message-id"), taken[1].header("message-id"));
        assert!(taken[0].wire == taken[1].wire);
    }

    /// RFC 5321 section 4.2.1: a reply of 5yz is not to be asked for again, one of 4yz is.
    async fn a_mail_refused_for_good_is_given_up_and_one_refused_for_now_is_not(house) {
        let Some(python) = python_or_skip() else { return };
        let server = MailServer::start_anywhere(python);
        nobody_subscribed(house).await;
        for reader in ["refused@example.org", "later@example.org", "robin@example.org"] {
            subscribe(house, reader).await;
        }
        send(house).await;
        assert_eq!(run_due(&office(house, &server.url())), 3);
        assert_eq!(server.taken(1).len(), 1, "the others do not keep it from its reader");
        let told = sending(house).await;
        assert_eq!((&told["waiting"], &told["delivered"], &told["failed"]), (&1.into(), &1.into(), &1.into()));
        let days_later = restarted(house, &server.url(), "2031-06-12T09:00:00Z");
        assert_eq!(run_due(&days_later), 1, "only the one refused for now");
    }

    /// RFC 3207 section 4.1: a client that needs TLS does not go on where the server has none.
    async fn a_server_without_tls_gets_nothing_where_tls_is_required(house) {
        let Some(python) = python_or_skip() else { return };
        let server = MailServer::start_anywhere(python);
        subscribe_only(house, "robin@example.org").await;
        send(house).await;
        let url = format!("{}?tls=required", server.url());
        assert_eq!(run_due(&office(house, &url)), 1);
        assert!(server.taken(0).is_empty());
        assert_eq!(sending(house).await["waiting"], 1);
    }

    async fn whoever_is_taken_off_is_not_written_to(house) {
        let Some(python) = python_or_skip() else { return };
        let server = MailServer::start_anywhere(python);
        subscribe_only(house, "robin@example.org").await;
        send(house).await;
        nobody_subscribed(house).await;
        assert_eq!(run_due(&office(house, &server.url())), 1);
        subscribe(house, "kim@example.org").await;
        send(house).await;
        assert_eq!(run_due(&office(house, &server.url())), 1);
        let taken = server.taken(1);
        assert_eq!(taken.len(), 1);
        assert_eq!(taken[0].to, ["kim@example.org"]);
    }

    async fn without_a_mail_server_mail_waits_and_no_attempt_is_counted(house) {
        subscribe_only(house, "robin@example.org").await;
        send(house).await;
        for _ in 0..3 {
            assert_eq!(run_due(&house.office), 0);
        }
        let told = sending(house).await;
        assert_eq!((&told["waiting"], &told["last_error"]), (&1.into(), &Value::Null));
    }

    async fn the_worker_delivers_by_itself_and_stops_when_told(house) {
        let Some(python) = python_or_skip() else { return };
        let server = MailServer::start_anywhere(python);
        subscribe_only(house, "robin@example.org").await;
        let worker = Worker::start(Arc::new(office(house, &server.url()))).unwrap();
        send(house).await;
        assert_eq!(server.taken(1).len(), 1);
        drop(worker);
        send(house).await;
        assert_eq!(report(house).await["sendings"][1]["waiting"], 1);
    }
}
