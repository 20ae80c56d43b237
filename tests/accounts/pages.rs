//! The same on the pages.

use roundhand::store::Role;

use super::{GOOD, PostRoom, account, db_user, secret_in};
use crate::pages::visitor::Visitor;
use crate::support::{House, on_both_engines};

fn between<'a>(html: &'a str, from: &str, to: &str) -> &'a str {
    let (_, rest) = html
        .split_once(from)
        .unwrap_or_else(|| panic!("{from} is not in {html}"));
    rest.split_once(to).expect(to).0
}

fn key() -> String {
    uuid::Uuid::new_v4().to_string()
}

fn access(house: &House, rest: &str) -> String {
    format!("/sites/{}/access{rest}", house.set_up.site_id)
}

on_both_engines! {
    async fn a_forgotten_password_is_set_on_the_pages(house) {
        let lead = account(house, Role::CrewLead);
        let visitor = Visitor::nobody(house);
        visitor.get("/forgotten").await.page(200);
        visitor.send("/forgotten", &[("email", &lead.email)]).await.page(200);
        let secret = secret_in(&PostRoom::of(house).letters()[0]);
        visitor.get("/password").await.page(200);
        let refused = visitor.send("/password", &[("secret", &secret), ("password", "password")]).await;
        refused.page(422);
        visitor.send("/password", &[("secret", &secret), ("password", GOOD)]).await.leads_to("/sign-in?set=yes");
        visitor.get("/sign-in?set=yes").await.page(200);
        visitor.send("/sign-in", &[("email", &lead.email), ("password", GOOD)]).await.leads_to("/");
    }

    async fn a_second_factor_is_set_up_on_the_account_page_and_asked_for_at_sign_in(house) {
        let finance = account(house, Role::Finance);
        let visitor = Visitor::signed_in(house, Role::Finance).await;
        visitor.get("/account").await.page(200);
        let begun = visitor.send("/account/second-factor", &[("password", &finance.password)]).await;
        let secret = between(begun.page(200), "<span class=\"code\">", "</span>").replace(' ', "");
        let phone = totp_rs::Builder::new()
            .with_secret(totp_rs::Secret::try_from_base32(&secret).unwrap())
            .build_noncompliant();
        let code = phone.generate(house.office.clock.now().timestamp().try_into().unwrap()).to_string();
        let wrong = visitor.send("/account/second-factor/confirm", &[("code", "000000")]).await;
        wrong.page(422);
        let done = visitor.send("/account/second-factor/confirm", &[("code", &code)]).await;
        let paper = between(done.page(200), "<li class=\"code\">", "</li>").to_owned();

        let other = Visitor::nobody(house);
        let form = [("email", finance.email.as_str()), ("password", &finance.password)];
        let asked = other.send("/sign-in", &form).await;
        assert!(asked.page(422).contains("name=\"code\""), "the form asks for the code");
        assert!(!asked.html.contains(&finance.password), "the password is never sent back");
        let form = [("email", finance.email.as_str()), ("password", &finance.password), ("code", &paper)];
        other.send("/sign-in", &form).await.leads_to("/");
    }

    async fn a_lead_adds_a_tablet_which_pairs_itself_on_its_own_page(house) {
        let lead = Visitor::signed_in(house, Role::CrewLead).await;
        let page = lead.get(&access(house, "")).await;
        let page = page.page(200);
        assert!(page.contains("id=\"tablets\"") && !page.contains("id=\"people\"") && !page.contains("id=\"keys\""));
        let made = lead.send(&access(house, "/tablets"), &[("client_key", &key()), ("name", "North")]).await;
        let code = between(made.page(200), "<p class=\"code big\">", "</p>").to_owned();
        let tablet = Visitor::nobody(house);
        tablet.get("/pair").await.page(200);
        tablet.send("/pair", &[("code", "0000-0000")]).await.page(422);
        tablet.send("/pair", &[("code", &code)]).await.leads_to("/tablet");
        let today = format!("/sites/{}/days/2031-06-10", house.set_up.site_id);
        tablet.get(&today).await.page(200);
        tablet.get("/account").await.page(403);
        tablet.get(&access(house, "")).await.page(403);
    }

    async fn a_manager_invites_changes_and_takes_away_on_the_access_page(house) {
        let manager = Visitor::signed_in(house, Role::Manager).await;
        let form = [("client_key", key()), ("name", "Sam Reed".into()), ("email", "sam@example.org".into()),
            ("role", "crew_lead".into()), ("role", "crew_member".into())];
        let form: Vec<_> = form.iter().map(|(name, text)| (*name, text.as_str())).collect();
        let invited = manager.send(&access(house, "/invite"), &form).await;
        let secret = secret_in(invited.page(200));
        let visitor = Visitor::nobody(house);
        visitor.send("/password", &[("secret", &secret), ("password", GOOD)]).await.leads_to("/sign-in?set=yes");
        let user = db_user(house, "sam@example.org");
        let again = manager.send(&access(house, "/invite"), &form[1..].iter().copied().chain([("client_key", key().as_str())]).collect::<Vec<_>>()).await;
        again.page(422);
        manager.send(&access(house, &format!("/users/{user}/remove")), &[]).await.leads_to(&access(house, "#people"));
        let page = manager.get(&access(house, "")).await;
        assert!(!page.page(200).contains("sam@example.org"));
    }

    async fn finance_makes_a_key_on_the_access_page_and_sees_it_once(house) {
        let finance = Visitor::signed_in(house, Role::Finance).await;
        let form = [("client_key", key()), ("name", "Ledger".into()), ("cost", "yes".into()), ("days", "30".into())];
        let form: Vec<_> = form.iter().map(|(name, text)| (*name, text.as_str())).collect();
        let made = finance.send(&access(house, "/keys"), &form).await;
        let key = between(made.page(200), "<p class=\"code\">", "</p>").to_owned();
        let client = house.nobody().with_token(&key);
        client.get(&house.path("/costs?from=2031-06-01&to=2031-06-10")).await.expect(200);
        let again = finance.send(&access(house, "/keys"), &form).await;
        assert!(!again.page(200).contains(&key), "sent again it is not told again");
    }

    async fn a_site_that_asks_for_a_second_factor_says_where_to_set_one_up(house) {
        let manager = Visitor::signed_in(house, Role::Manager).await;
        manager.send(&access(house, "/second-factor"), &[("required", "yes")]).await.leads_to(&access(house, "#people"));
        let page = manager.get(&access(house, "")).await;
        assert!(page.page(403).contains("second factor"));
        manager.get("/account").await.page(200);
    }
}
