//! The message as it goes over the wire, held against what RFC 5322, 2045, 2046 and 2047 say.

use reqwest::Method;
use roundhand::jobs::run_due;
use serde_json::json;

use super::{MailServer, Taken, office, python_or_skip, report, send, subscribe_only, work_a_week};
use crate::support::{Ground, House, on_both_engines};

async fn one_mail(house: &House, server: &MailServer) -> Taken {
    subscribe_only(house, "robin@example.org").await;
    assert_eq!(send(house).await["mails"], 1);
    assert_eq!(run_due(&office(house, &server.url())), 1);
    let mut taken = server.taken(1);
    assert_eq!(taken.len(), 1);
    taken.remove(0)
}

on_both_engines! {
    async fn a_mail_program_reads_the_report_with_the_total_of_the_costs(house) {
        let Some(python) = python_or_skip() else { return };
        let server = MailServer::start_anywhere(python);
        let ground = Ground::db_lay(house);
        work_a_week(house, &ground).await;
        let taken = one_mail(house, &server).await;

        assert_eq!(taken.to, ["robin@example.org"]);
        assert_eq!(taken.header("from"), ["Grounds office <courts@example.org>"]);
        assert_eq!(taken.header("to"), ["Robin Vale <robin@example.org>"]);
        let manager = house.manager().await;
        let costs = manager.get(&house.path("/costs?from=2031-06-09&to=2031-06-15")).await.expect(200);
        let cents = costs["cents"].as_i64().unwrap();
        assert!(cents > 0);
        let total = format!("${}.{:02}", cents / 100, cents % 100);
        let site = manager.get(&house.path("")).await.expect(200);
        let site = site["name"].as_str().unwrap();
        for place in 0..2 {
            let text = taken.part(place);
            let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
            assert!(text.contains(&total), "{total} is not in {text}");
            assert!(text.contains(site), "{site} is not in {text}");
            assert!(text.contains("2 of 4 turnarounds were done in time for play"), "{text}");
            assert!(text.contains("https://courts.example.org/"), "{text}");
        }
        // What was shown is what was sent.
        let shown = report(house).await;
        assert_eq!(taken.header("subject"), [shown["subject"].as_str().unwrap()]);
        assert_eq!(taken.part(0).trim_end(), shown["text"].as_str().unwrap().trim_end());
        assert_eq!(taken.part(1).trim_end(), shown["html"].as_str().unwrap());
    }

    async fn the_message_keeps_the_rules_of_mail(house) {
        let Some(python) = python_or_skip() else { return };
        let server = MailServer::start_anywhere(python);
        let ground = Ground::db_lay(house);
        work_a_week(house, &ground).await;
        let taken = one_mail(house, &server).await;
        let read = &taken.read;
        assert_eq!(read["defects"], json!([]));

        // RFC 5322 section 3.6: exactly one origination date and one From; Subject, To and
        // Message-ID at most once. RFC 2045 section 4: MIME-Version stands once, at the top.
        for name in ["Date", "From", "To", "Subject", "Message-ID", "MIME-Version", "Content-Type"] {
            assert_eq!(taken.header(name).len(), 1, "{name}");
        }
        // RFC 5322 section 3.3: the date of the making, with its zone.
        assert_eq!(taken.header("date"), ["Tue, 10 Jun 2031 09:00:00 +0000"]);
        // RFC 5322 section 3.6.4: a globally unique id in angle brackets.
        let id = taken.header("message-id")[0];
        assert!(id.starts_with('<') && id.ends_with("@example.org>"), "{id}");

        // RFC 2046 section 5.1.4: the plainest form first, the richest last.
        assert_eq!(read["type"], "multipart/alternative");
        let parts = read["parts"].as_array().unwrap();
        let kinds: Vec<_> = parts.iter().map(|part| (&part["type"], &part["charset"])).collect();
        assert_eq!(
            kinds,
            [(&json!("text/plain"), &json!("utf-8")), (&json!("text/html"), &json!("utf-8"))]
        );
        assert!(parts.iter().all(|part| part["defects"] == json!([])));
        assert!(taken.part(1).starts_with("<!DOCTYPE html>"));

        // RFC 5322 section 2.3: CR and LF come together only.
        let wire = &taken.wire;
        let bare = wire.iter().enumerate().filter(|(at, byte)| match byte {
            b'\n' => *at == 0 || wire[at - 1] != b'\r',
            b'\r' => wire.get(at + 1) != Some(&b'\n'),
            _ => false,
        });
        assert_eq!(bare.count(), 0);
        // RFC 5321 section 4.5.3.1.6 and RFC 5322 section 2.1.1: no line beyond 998 octets; RFC 2045
        // section 6.7 rule 5: encoded lines of at most 76; RFC 5322 2.1.1: header lines of at most
        // 78 where they can be folded. All is ASCII: no extension of SMTP is asked for.
        let lines = taken.lines();
        let body = lines.iter().position(|line| line.is_empty()).unwrap();
        for line in &lines[..body] {
            assert!(line.len() <= 78, "{}", String::from_utf8_lossy(line));
        }
        for line in &lines[body..] {
            assert!(line.len() <= 76, "{}", String::from_utf8_lossy(line));
        }
        assert!(wire.is_ascii());

        // RFC 2046 section 5.1.1: a boundary of 1 to 70 characters that does not end in white space
        // and stands in no part; each part begins with it, the last is followed by it and `--`.
        let boundary = read["boundary"].as_str().unwrap();
        assert!((1..=70).contains(&boundary.len()) && !boundary.ends_with(' '));
        let delimiters: Vec<_> = lines
            .iter()
            .filter(|line| line.starts_with(format!("--{boundary}").as_bytes()))
            .map(|line| String::from_utf8_lossy(line).into_owned())
            .collect();
        assert_eq!(
            delimiters,
            [format!("--{boundary}"), format!("--{boundary}"), format!("--{boundary}--")]
        );
        // RFC 2045 section 6.7: the encoding that was named.
        assert!(parts.iter().all(|part| part["encoding"] == "quoted-printable"));
    }

    async fn the_text_reads_at_72_columns_and_the_html_asks_for_nothing_from_elsewhere(house) {
        let Some(python) = python_or_skip() else { return };
        let server = MailServer::start_anywhere(python);
        let ground = Ground::db_lay(house);
        work_a_week(house, &ground).await;
        let taken = one_mail(house, &server).await;
        let text = taken.part(0);
        for line in text.lines() {
            assert!(line.chars().count() <= 72, "{line}");
            assert!(!line.ends_with(' '), "{line:?}");
        }
        let html = taken.part(1);
        assert!(html.contains("<html lang=\"en-US\">"));
        for never in ["<script", "<style", "<img", "<link", " src=", "url(", "position:", "javascript:"] {
            assert!(!html.contains(never), "{never}");
        }
        assert_eq!(html.matches("http").count(), 1, "only the link leads out");
    }

    /// RFC 5322 section 2.2: a header ends at its line's end; whatever a user typed stays inside.
    async fn a_name_with_a_line_break_adds_no_header(house) {
        let Some(python) = python_or_skip() else { return };
        let server = MailServer::start_anywhere(python);
        let manager = house.manager().await;
        let path = house.path("");
        let tag = manager.get(&path).await.header("etag").unwrap().to_owned();
        let name = "Shore\r\nBcc: everybody@example.org\r\nX-More: 1\r\n\r\nHello";
        let edit = json!({ "name": name, "units": "metric" });
        manager.send(Method::PATCH, &path, &[("if-match", &tag)], Some(&edit)).await.expect(200);

        let taken = one_mail(house, &server).await;
        assert_eq!(taken.to, ["robin@example.org"]);
        let mut names: Vec<_> = taken.read["headers"].as_array().unwrap().iter()
            .map(|pair| pair[0].as_str().unwrap().to_lowercase()).collect();
        names.sort();
        assert_eq!(
            names,
            ["content-type", "date", "from", "message-id", "mime-version", "subject", "to"]
        );
        let subject = taken.header("subject");
        assert!(subject[0].starts_with("Shore Bcc: everybody@example.org X-More: 1 Hello"), "{subject:?}");
        assert!(taken.part(0).contains("Shore Bcc: everybody@example.org X-More: 1 Hello"));
    }

    /// RFC 2047 section 5 and RFC 2045 section 6.7: writing beyond ASCII arrives as it was typed.
    async fn a_name_beyond_ascii_arrives_as_it_was_typed(house) {
        let Some(python) = python_or_skip() else { return };
        let server = MailServer::start_anywhere(python);
        let manager = house.manager().await;
        let path = house.path("");
        let tag = manager.get(&path).await.header("etag").unwrap().to_owned();
        let name = "Plätze an der Südmole, Île aux Hérons – 東の浜 <b>&amp;</b>";
        let edit = json!({ "name": name, "units": "metric" });
        manager.send(Method::PATCH, &path, &[("if-match", &tag)], Some(&edit)).await.expect(200);

        let taken = one_mail(house, &server).await;
        assert_eq!(taken.read["defects"], json!([]));
        assert!(taken.wire.is_ascii());
        assert!(taken.header("subject")[0].starts_with(name), "{:?}", taken.header("subject"));
        assert!(taken.part(0).replace('\n', " ").contains(name));
        assert!(taken.part(1).contains("東の浜 &lt;b&gt;&amp;amp;&lt;/b&gt;"), "it is escaped");
        let body = taken.lines().iter().position(|line| line.is_empty()).unwrap();
        assert!(taken.lines()[..body].iter().all(|line| line.len() <= 78));
    }
}
