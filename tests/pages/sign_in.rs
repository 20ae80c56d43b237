//! Signing in and out on the pages.

use chrono::TimeDelta;
use roundhand::clock::Clock;
use roundhand::desk::Office;
use roundhand::desk::at_work::AtWork;
use roundhand::desk::set_up::Account;
use roundhand::desk::sign_in::{Credentials, page_sign_in};
use roundhand::desk::tokens::Tokens;
use roundhand::store::Role;

use super::visitor::{Visitor, account};
use crate::support::on_both_engines;

fn credentials(account: &Account) -> Credentials {
    Credentials {
        email: account.email.clone(),
        password: account.password.clone(),
        code: None,
        from: None,
    }
}

on_both_engines! {
    async fn after_too_many_wrong_passwords_the_form_says_how_long_to_wait(house) {
        let visitor = Visitor::nobody(house);
        let manager = account(house, Role::Manager);
        let wrong = [("email", manager.email.as_str()), ("password", "not it")];
        for _ in 0..8 {
            visitor.send("/sign-in", &wrong).await.page(422);
        }
        let told = visitor.send("/sign-in", &wrong).await;
        assert!(told.page(429).contains("Wait 16 seconds"), "{}", told.html);
        assert_eq!(told.header("retry-after"), Some("16"));
    }

    async fn who_is_not_signed_in_is_led_to_sign_in_and_then_on(house) {
        let visitor = Visitor::nobody(house);
        visitor.get("/").await.leads_to("/sign-in");
        visitor.get("/today").await.leads_to("/sign-in?next=%2Ftoday");
        let wanted = format!("/sites/{}/days/2031-06-10", house.set_up.site_id);
        let place = format!("/sign-in?next=%2Fsites%2F{}%2Fdays%2F2031-06-10", house.set_up.site_id);
        visitor.get(&wanted).await.leads_to(&place);

        let form = visitor.get(&place).await;
        assert!(form.page(200).contains(&format!("name=\"next\" value=\"{wanted}\"")));
        let manager = account(house, Role::Manager);
        let fields = [
            ("email", manager.email.as_str()),
            ("password", &manager.password),
            ("next", &wanted),
        ];
        visitor.send("/sign-in", &fields).await.leads_to(&wanted);
        visitor.get(&wanted).await.page(200);
        // Who is signed in is not asked again.
        visitor.get(&place).await.leads_to(&wanted);
    }

    /// Sources: RFC 6265bis sections 4.1.2 and 4.1.3 (attributes, `__Host-`).
    async fn the_cookie_is_kept_from_scripts_other_sites_and_plain_connections(house) {
        let manager = account(house, Role::Manager);
        let form = [("email", manager.email.as_str()), ("password", &manager.password)];
        let visitor = Visitor::nobody(house);
        let plain = visitor.send("/sign-in", &form).await;
        let cookie = plain.header("set-cookie").unwrap().to_owned();
        assert!(cookie.starts_with("roundhand_session="), "{cookie}");
        for part in ["HttpOnly", "SameSite=Lax", "Path=/", "Max-Age=43200"] {
            assert!(cookie.split("; ").any(|p| p == part), "{cookie} lacks {part}");
        }
        assert!(!cookie.contains("Domain") && !cookie.contains("Secure"), "{cookie}");

        // Behind a proxy that ends TLS, whether it says so or not: the browser's Origin does.
        let host = house.base.trim_start_matches("http://");
        let origin = format!("https://{host}");
        let visitor = Visitor::nobody(house);
        let secure = visitor.send_with("/sign-in", &[("origin", &origin)], &form).await;
        let cookie = secure.header("set-cookie").unwrap();
        assert!(cookie.starts_with("__Host-roundhand_session="), "{cookie}");
        for part in ["HttpOnly", "SameSite=Lax", "Path=/", "Secure"] {
            assert!(cookie.split("; ").any(|p| p == part), "{cookie} lacks {part}");
        }
    }

    async fn a_wrong_password_and_an_unknown_address_look_the_same_and_the_address_stays(house) {
        let visitor = Visitor::nobody(house);
        let email = account(house, Role::CrewLead).email.as_str();
        let mut pages = Vec::new();
        for email in [email, "nobody@example.invalid"] {
            let fields = [("email", email), ("password", "not this one"), ("next", "/today")];
            let answer = visitor.send("/sign-in", &fields).await;
            let page = answer.page(422);
            assert!(page.contains("The address or the password is wrong."), "{page}");
            assert!(page.contains(&format!("value=\"{email}\"")), "{page}");
            assert!(page.contains("name=\"next\" value=\"/today\""), "{page}");
            assert!(!page.contains("not this one"), "{page}");
            assert_eq!(answer.header("set-cookie"), None);
            pages.push(page.replace(email, ""));
        }
        assert_eq!(pages[0], pages[1]);
        visitor.get("/today").await.leads_to("/sign-in?next=%2Ftoday");
    }

    async fn after_signing_in_nobody_is_led_to_another_host(house) {
        let manager = account(house, Role::Manager);
        for next in ["https://elsewhere.example/", "//elsewhere.example/", "/\\elsewhere.example", "javascript:alert(1)"] {
            let fields = [
                ("email", manager.email.as_str()),
                ("password", &manager.password),
                ("next", next),
            ];
            Visitor::nobody(house).send("/sign-in", &fields).await.leads_to("/");
            let asked = serde_urlencoded::to_string([("next", next)]).unwrap();
            let form = Visitor::nobody(house).get(&format!("/sign-in?{asked}")).await;
            assert!(!form.page(200).contains("elsewhere"), "{next}");
        }
    }

    async fn signing_out_ends_the_session_also_for_a_copy_of_its_cookie(house) {
        let manager = account(house, Role::Manager);
        let form = [("email", manager.email.as_str()), ("password", &manager.password)];
        let visitor = Visitor::nobody(house);
        let answer = visitor.send("/sign-in", &form).await;
        let copy = answer.header("set-cookie").unwrap().split(';').next().unwrap().to_owned();
        visitor.get("/sites").await.page(200);

        let gone = visitor.send("/sign-out", &[]).await;
        gone.leads_to("/sign-in");
        assert!(gone.header("set-cookie").unwrap().contains("Max-Age=0"));
        visitor.get("/sites").await.leads_to("/sign-in?next=%2Fsites");
        let thief = Visitor::nobody(house);
        thief.get_with("/sites", &[("cookie", &copy)]).await.leads_to("/sign-in?next=%2Fsites");
    }

    async fn a_session_ends_after_twelve_hours(house) {
        let manager = account(house, Role::Manager);
        for (hours, holds) in [(11, true), (12, false)] {
            let then = Office {
                at_work: AtWork::default(),
                db: house.office.db.clone(),
                clock: Clock::standing_at(house.office.clock.now() - TimeDelta::hours(hours)),
                tokens: Tokens::new(&[7; 32]),
                mail: roundhand::mail::Settings::default(),
                backups: roundhand::desk::backups::Settings::default(),
                pictures: roundhand::desk::pictures::Settings::default(),
            };
            let secret = page_sign_in(&then, &credentials(manager)).unwrap().secret;
            let cookie = format!("roundhand_session={secret}");
            let page = Visitor::nobody(house).get_with("/sites", &[("cookie", &cookie)]).await;
            if holds {
                page.page(200);
            } else {
                page.leads_to("/sign-in?next=%2Fsites");
            }
        }
    }

    /// By HTTPS a cookie counts only under the name that nobody else can have laid it by.
    async fn by_https_a_cookie_that_another_host_may_have_laid_does_not_count(house) {
        let manager = account(house, Role::Manager);
        let secret = page_sign_in(&house.office, &credentials(manager)).unwrap().secret;
        let visitor = Visitor::nobody(house);
        let https = ("x-forwarded-proto", "https");
        let laid = format!("roundhand_session={secret}");
        visitor.get_with("/sites", &[https, ("cookie", &laid)]).await.leads_to("/sign-in?next=%2Fsites");
        let own = format!("__Host-roundhand_session={secret}");
        visitor.get_with("/sites", &[https, ("cookie", &own)]).await.page(200);
    }

    /// Source: W3C Fetch Metadata (`Sec-Fetch-Site`), Fetch standard section 3.2 (`Origin`).
    async fn what_another_site_s_page_sends_is_refused_and_changes_nothing(house) {
        let visitor = Visitor::signed_in(house, Role::Manager).await;
        for headers in [
            &[("sec-fetch-site", "cross-site"), ("origin", house.base.as_str())][..],
            &[("sec-fetch-site", "same-site")],
            &[("origin", "http://elsewhere.example")],
            &[("origin", "null")],
            &[],
        ] {
            let refused = visitor.send_with("/sign-out", headers, &[]).await;
            let page = refused.page(403);
            assert!(page.contains("nothing was done"), "{page}");
            visitor.get("/sites").await.page(200);
        }
        let own = [("sec-fetch-site", "same-origin")];
        visitor.send_with("/sign-out", &own, &[]).await.leads_to("/sign-in");
    }
}
