//! What is taken, and what is kept of it.

use std::collections::BTreeSet;

use reqwest::Method;
use roundhand::store::Role;
use serde_json::{Value, json};

use super::made::{self, BEHIND, WHERE, jpeg, jpeg_held_sideways, markers, png, png_that_says};
use super::{of, send, send_under};
use crate::accounts::db_count;
use crate::support::on_both_engines;

fn holds(bytes: &[u8], what: &[u8]) -> bool {
    bytes.windows(what.len()).any(|part| part == what)
}

on_both_engines! {
    async fn a_picture_comes_back_upright_and_rid_of_where_it_was_taken(house) {
        let member = house.as_role(Role::CrewMember).await;
        let sent = jpeg_held_sideways();
        assert!(holds(&sent, b"Exif") && holds(&sent, WHERE) && holds(&sent, BEHIND));
        let picture = send(&member, house, "", "image/jpeg", sent).await.expect(201);
        assert_eq!((&picture["width_px"], &picture["height_px"]), (&json!(40), &json!(80)));
        for rest in ["/content", "/thumbnail"] {
            let shown = member.get(&of(house, &picture, rest)).await;
            assert_eq!(shown.status, 200);
            for gone in [&b"Exif"[..], WHERE, BEHIND] {
                assert!(!holds(&shown.bytes, gone), "{rest}");
            }
            // JFIF's own head, tables, frame and scan: no segment of an application, and no comment.
            let known = BTreeSet::from([0xe0, 0xdb, 0xc0, 0xc4, 0xda]);
            let found = BTreeSet::from_iter(markers(&shown.bytes));
            assert!(found.is_subset(&known) && found.contains(&0xda), "{found:x?}");
            // What lay on the left is on top.
            let upright = made::seen(&shown.bytes);
            assert_eq!(upright.dimensions(), (40, 80));
            assert!(upright.get_pixel(20, 10)[0] > 200 && upright.get_pixel(20, 70)[2] > 200);
        }
    }

    async fn a_large_picture_is_made_smaller_and_has_a_thumbnail(house) {
        let member = house.as_role(Role::CrewMember).await;
        let picture = send(&member, house, "", "image/png", png(4_096, 64)).await.expect(201);
        assert_eq!((&picture["width_px"], &picture["height_px"]), (&json!(2_048), &json!(32)));
        assert_eq!(picture["media_type"], "image/png");
        let size = async |rest: &str| made::seen(&member.get(&of(house, &picture, rest)).await.bytes).dimensions();
        assert_eq!(size("/content").await, (2_048, 32));
        assert_eq!(size("/thumbnail").await, (320, 5));
    }

    async fn what_a_thing_is_follows_from_its_content_and_not_from_what_is_said_of_it(house) {
        let member = house.as_role(Role::CrewMember).await;
        let picture = send(&member, house, "", "image/png", jpeg(8, 8)).await.expect(201);
        assert_eq!((&picture["kind"], &picture["media_type"]), (&json!("picture"), &json!("image/jpeg")));
        let mut cut = jpeg(64, 64);
        cut.truncate(cut.len() / 2);
        for (what, content) in [
            ("nothing", Vec::new()),
            ("a page", b"<html><script>alert(1)</script></html>".to_vec()),
            ("a drawing", b"<svg xmlns=\"http://www.w3.org/2000/svg\"/>".to_vec()),
            ("a head alone", b"\xff\xd8\xff\xe0".to_vec()),
            ("half a picture", png(64, 64)[..60].to_vec()),
        ] {
            let refused = send(&member, house, "", "image/jpeg", content).await;
            refused.expect_problem(422);
            assert_eq!(refused.fault(), "body", "{what}");
        }
        for media_type in ["application/json", "image/svg+xml", "text/html", "image/gif"] {
            send(&member, house, "", media_type, jpeg(8, 8)).await.expect_problem(415);
        }
        assert_eq!(db_count(house, "SELECT COUNT(*) AS rows FROM pictures"), 1);
    }

    /// The head of a file is believed before anything of it is laid into memory.
    async fn a_picture_that_would_fill_the_memory_is_refused_by_its_head(house) {
        let member = house.as_role(Role::CrewMember).await;
        for (width, height) in [(8_000, 8_000), (60_000, 60_000), (30_000, 1)] {
            let refused = send(&member, house, "", "image/png", png_that_says(width, height)).await;
            let told = refused.expect_problem(422)["detail"].as_str().unwrap().to_owned();
            assert!(told.contains("pixels"), "{told}");
        }
    }

    async fn what_is_larger_than_the_service_takes_is_told_so(house) {
        let member = house.as_role(Role::CrewMember).await;
        let mut content = jpeg(8, 8);
        content.resize(8 * 1024 * 1024 + 1, 0);
        let refused = send(&member, house, "", "image/jpeg", content).await;
        let told = refused.expect_problem(413)["detail"].as_str().unwrap().to_owned();
        assert!(told.contains("8388608 bytes: make it smaller"), "{told}");
    }

    async fn a_voice_note_is_kept_as_it_is_and_stays_short(house) {
        let lead = house.as_role(Role::CrewLead).await;
        for (head, media_type) in [
            (&b"\x1a\x45\xdf\xa3"[..], "audio/webm"),
            (b"OggS", "audio/ogg"),
            (b"\x00\x00\x00\x18ftypM4A ", "audio/mp4"),
        ] {
            let content = [head, b" and what was said"].concat();
            let note = send(&lead, house, "", media_type, content.clone()).await.expect(201);
            assert_eq!((&note["kind"], &note["media_type"]), (&json!("voice_note"), &json!(media_type)));
            assert_eq!(note["width_px"], Value::Null);
            let heard = lead.get(&of(house, &note, "/content")).await;
            assert_eq!((heard.header("content-type"), &heard.bytes), (Some(media_type), &content));
            lead.get(&of(house, &note, "/thumbnail")).await.expect_problem(404);
        }
        let mut long = b"OggS".to_vec();
        long.resize(1024 * 1024 + 1, 0);
        let refused = send(&lead, house, "", "audio/ogg", long).await;
        refused.expect_problem(422);
        assert_eq!(refused.fault(), "body");
    }

    /// RFC 9110 sections 8.8.3 and 13.1.2, RFC 9111 section 5.2.2.7, RFC 6266.
    async fn a_content_is_kept_by_who_asked_and_sent_again_only_when_it_changed(house) {
        let member = house.as_role(Role::CrewMember).await;
        let picture = send(&member, house, "", "image/jpeg", jpeg(400, 300)).await.expect(201);
        for rest in ["/content", "/thumbnail"] {
            let path = of(house, &picture, rest);
            let shown = member.get(&path).await;
            assert_eq!(shown.header("cache-control"), Some("private, no-cache"));
            assert_eq!(shown.header("x-content-type-options"), Some("nosniff"));
            assert_eq!(shown.header("content-disposition"), Some("inline"));
            assert!(shown.header("content-security-policy").unwrap().starts_with("default-src 'none'"));
            let tag = shown.header("etag").unwrap().to_owned();
            let same = member.send(Method::GET, &path, &[("if-none-match", &tag)], None).await;
            assert_eq!((same.status.as_u16(), same.bytes.len()), (304, 0));
            let other = member.send(Method::GET, &path, &[("if-none-match", "\"other\"")], None).await;
            assert_eq!(other.status, 200);
        }
    }

    async fn the_same_content_is_kept_once_and_the_same_event_taken_once(house) {
        let member = house.as_role(Role::CrewMember).await;
        let key = uuid::Uuid::new_v4().to_string();
        let (content, other) = (jpeg(400, 300), jpeg(300, 400));
        let first = send_under(&member, house, "", (&key, "image/jpeg"), content.clone()).await.expect(201);
        let again = send_under(&member, house, "", (&key, "image/jpeg"), content.clone()).await.expect(201);
        assert_eq!(first, again);
        send_under(&member, house, "", (&key, "image/jpeg"), other).await.expect_problem(422);
        let twin = send(&member, house, "", "image/jpeg", content).await.expect(201);
        assert_ne!(twin["id"], first["id"]);
        let files = "SELECT COUNT(*) AS rows FROM files";
        assert_eq!(db_count(house, files), 2, "the picture and its thumbnail");
        assert_eq!(member.get(&house.path("/pictures")).await.items(), [first, twin]);
    }
}
