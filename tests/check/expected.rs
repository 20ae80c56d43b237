//! What holds is said to hold, for every site, and nothing is written.

use super::{check, end_of_chain, on_each_engine, said, work_a_little};

const PROOFS: &[&str] = &[
    "database: file",
    "database: append-only",
    "database: keys",
    "site 1: audit chain",
    "site 1: audit trail",
    "site 1: numbers",
    "site 1: orders",
    "site 1: closings",
    "site 1: running totals",
    "site 1: stock",
    "site 1: wear",
    "site 1: sources",
    "site 1: answers",
];

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_house_that_was_lived_in_proves_line_by_line_and_goes_on_proving() {
    on_each_engine(|house| async move {
        let url = house.database_url();
        let ran = check(url, &[]);
        let text = said(&ran);
        assert_eq!(ran.status.code(), Some(0), "{text}");
        for proof in PROOFS {
            assert!(text.contains(&format!("{proof}: ok (")), "{proof}\n{text}");
        }
        assert!(text.ends_with("all proofs hold\n"), "{text}");
        assert_eq!(said(&check(url, &[])), text, "a check changes nothing");

        let end = end_of_chain(url);
        work_a_little(&house, 3).await;
        assert_ne!(end_of_chain(url), end, "the chain went on");
        let ran = check(url, &["--expect", &end]);
        assert_eq!(ran.status.code(), Some(0), "{}", said(&ran));
    })
    .await;
}

/// A site's end is of that site: another number, another hash, another site are not proved by it.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn an_end_that_never_was_is_not_proved() {
    on_each_engine(|house| async move {
        let url = house.database_url();
        let end = end_of_chain(url);
        let parts: Vec<&str> = end.split(':').collect();
        let (site, seq, hash) = (parts[0], parts[1], parts[2]);
        let turned: String = hash.chars().rev().collect();
        for never in [
            format!("{site}:{seq}:{turned}"),
            format!("{site}:1{seq}:{hash}"),
            format!("9{site}:{seq}:{hash}"),
        ] {
            let ran = check(url, &["--expect", &never]);
            assert_eq!(ran.status.code(), Some(1), "{never}\n{}", said(&ran));
            assert!(said(&ran).contains(&never), "{}", said(&ran));
        }
    })
    .await;
}
