//! What goes wrong is said on a page in plain words; the API keeps its problem documents.

use roundhand::store::Role;

use super::visitor::Visitor;
use crate::access::personas::Everybody;
use crate::support::on_both_engines;

on_both_engines! {
    async fn a_page_that_is_not_there_is_said_in_words_and_the_api_says_it_in_json(house) {
        let visitor = Visitor::signed_in(house, Role::Manager).await;
        let another = Everybody::of(house).await.other_site;
        let unknown = another + 1_000;
        for path in [
            "/nothing/here".to_owned(),
            // Another site's page and one of no site cannot be told apart.
            format!("/sites/{another}/days/2031-06-10"),
            format!("/sites/{unknown}/days/2031-06-10"),
            format!("/sites/{}/days/2031-02-30", house.set_up.site_id),
            format!("/sites/{}/nothing", house.set_up.site_id),
        ] {
            let answer = visitor.get(&path).await;
            assert!(answer.page(404).contains("There is nothing here"), "{path}");
        }
        for path in ["/api/nothing", "/api/v1/nothing"] {
            let answer = visitor.get(path).await;
            assert_eq!(answer.header("content-type"), Some("application/problem+json"), "{path}");
        }
    }

    async fn a_page_says_405_in_words_and_what_it_takes_in_the_header(house) {
        let visitor = Visitor::signed_in(house, Role::Manager).await;
        let answer = visitor.send("/sites", &[]).await;
        assert!(answer.page(405).contains("Nothing was done"));
        assert_eq!(answer.header("allow"), Some("GET, HEAD"));
    }

    async fn a_form_that_is_not_whole_is_said_in_words(house) {
        let visitor = Visitor::nobody(house);
        let answer = visitor.send("/sign-in", &[("email", "a@example.invalid")]).await;
        assert!(answer.page(400).contains("not complete"));
    }

    /// Who sees which page: the table of design, roles of finance and front desk.
    async fn finance_and_front_desk_are_told_plainly_that_the_rounds_are_not_theirs(house) {
        let path = format!("/sites/{}/days/2031-06-10", house.set_up.site_id);
        for role in [Role::Finance, Role::FrontDesk] {
            let answer = Visitor::signed_in(house, role).await.get(&path).await;
            let page = answer.page(403);
            assert!(page.contains("This page is not for your role"), "{role}");
        }
    }

    async fn style_sheets_and_icons_are_kept_for_a_year_under_the_hash_of_what_they_hold(house) {
        let visitor = Visitor::nobody(house);
        let page = visitor.get("/sign-in").await;
        let files: Vec<&str> = page
            .page(200)
            .split('"')
            .filter(|part| part.starts_with("/assets/"))
            .collect();
        assert!(files.len() >= 2, "{files:?}");
        for file in files {
            let kept = visitor.get(file).await;
            assert_eq!(kept.status.as_u16(), 200, "{file}");
            assert_eq!(kept.header("cache-control"), Some("public, max-age=31536000, immutable"));
            let (folder, name) = file.rsplit_once('/').unwrap();
            let old = visitor.get(&format!("{folder}x/{name}")).await;
            assert_eq!((old.html, old.headers["cache-control"].to_str().unwrap()), (kept.html, "no-store"));
        }
        visitor.get("/assets/x/..%2F..%2F..%2FCargo.toml").await.page(404);
    }
}
