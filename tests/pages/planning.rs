//! Planning a day and handing its orders out, by the buttons of the pages.

use roundhand::store::Role;

use super::visitor::{Shown, Visitor};
use crate::days::yard::{DAY, THREE, Yard};
use crate::support::on_both_engines;

/// The key that the form with this action carries.
fn key<'a>(page: &'a str, action: &str) -> Option<&'a str> {
    let (_, form) = page.split_once(&format!("action=\"{action}\""))?;
    let (_, value) = form.split_once("name=\"client_key\" value=\"")?;
    value.split('"').next()
}

/// Taps a button of the page.
async fn tap(visitor: &Visitor, page: &str, action: &str) -> Shown {
    let key = key(page, action).unwrap_or_else(|| panic!("no button for {action}: {page}"));
    visitor.send(action, &[("client_key", key)]).await
}

/// Watches a search until it has ended; gives its page.
async fn ended(visitor: &Visitor, run: &str) -> String {
    for _ in 0..600 {
        let page = visitor.get(run).await.page(200).to_owned();
        if !page.contains("http-equiv=\"refresh\"") {
            return page;
        }
        tokio::time::sleep(std::time::Duration::from_millis(100)).await;
    }
    panic!("the search does not end");
}

on_both_engines! {
    async fn a_manager_plans_a_day_takes_the_plan_and_hands_the_orders_out(house) {
        let yard = Yard::db_lay(house);
        let visitor = Visitor::signed_in(house, Role::Manager).await;
        let day = format!("/sites/{}/days/{DAY}", yard.site);
        let runs = format!("{day}/plan-runs");

        let bare = visitor.get(&day).await;
        let bare = bare.page(200);
        assert!(bare.contains("This day is not planned yet") && bare.contains("Plan this day"));
        assert_eq!(key(bare, &format!("{day}/issue")), None);

        let asked = tap(&visitor, bare, &runs).await;
        let run = asked.header("location").unwrap().to_owned();
        asked.leads_to(&run);
        // A second tap on the same button is not a second search.
        tap(&visitor, bare, &runs).await.leads_to(&run);
        let searching = visitor.get(&run).await;
        if searching.page(200).contains("http-equiv=\"refresh\"") {
            tap(&visitor, searching.page(200), &format!("{run}/stop")).await.leads_to(&run);
        }
        let found = ended(&visitor, &run).await;
        assert!(found.contains("It costs $"), "{found}");
        assert!(visitor.get(&day).await.page(200).contains("A plan is ready to be taken"));

        tap(&visitor, &found, &format!("{run}/take")).await.leads_to(&day);
        let planned = visitor.get(&day).await;
        let planned = planned.page(200);
        for words in ["Planned, not handed out yet", "Full turnaround", "Groom along the court", "Plan this day again"] {
            assert!(planned.contains(words), "{words}: {planned}");
        }

        tap(&visitor, planned, &format!("{day}/issue")).await.leads_to(&day);
        let issued = visitor.get(&day).await;
        let issued = issued.page(200);
        assert!(issued.contains("Handed out to the crews at 05:00"), "{issued}");
        assert!(!issued.contains("client_key"), "{issued}");
        // Another tab still shows the day as it was.
        let late = visitor.send(&format!("{day}/issue"), &[("client_key", "8c1f3f0c-58a4-4c3d-9f0b-1f5a3a1a6c11")]).await;
        assert!(late.page(409).contains("Nothing was handed out"));
    }

    async fn a_plan_that_rests_on_what_has_changed_is_not_taken(house) {
        let yard = Yard::db_lay(house);
        let visitor = Visitor::signed_in(house, Role::Manager).await;
        let day = format!("/sites/{}/days/{DAY}", yard.site);
        let bare = visitor.get(&day).await;
        let asked = tap(&visitor, bare.page(200), &format!("{day}/plan-runs")).await;
        let run = asked.header("location").unwrap().to_owned();
        let searching = visitor.get(&run).await;
        if searching.page(200).contains("http-equiv=\"refresh\"") {
            tap(&visitor, searching.page(200), &format!("{run}/stop")).await;
        }
        let found = ended(&visitor, &run).await;
        yard.db_retire(house, "drag_broom 1");
        let refused = tap(&visitor, &found, &format!("{run}/take")).await;
        assert!(refused.page(409).contains("The plan was not taken"));
        assert!(visitor.get(&day).await.page(200).contains("This day is not planned yet"));
    }

    async fn a_day_without_a_shift_is_not_planned_and_the_page_says_what_may_be_the_matter(house) {
        let yard = Yard::db_lay_empty(house);
        for court in yard.courts {
            yard.db_play(house, court, DAY, THREE);
        }
        let visitor = Visitor::signed_in(house, Role::Manager).await;
        let day = format!("/sites/{}/days/{DAY}", yard.site);
        let bare = visitor.get(&day).await;
        let refused = tap(&visitor, bare.page(200), &format!("{day}/plan-runs")).await;
        assert!(refused.page(409).contains("Nobody is on shift that day"));
    }

    async fn only_who_may_plan_has_the_buttons_and_a_form_made_up_is_refused(house) {
        let yard = Yard::db_lay(house);
        let visitor = Visitor::signed_in(house, Role::CrewLead).await;
        let day = format!("/sites/{}/days/{DAY}", yard.site);
        assert!(!visitor.get(&day).await.page(200).contains("client_key"));
        let made_up = [("client_key", "8c1f3f0c-58a4-4c3d-9f0b-1f5a3a1a6c11")];
        visitor.send(&format!("{day}/plan-runs"), &made_up).await.page(403);
        visitor.send(&format!("{day}/issue"), &made_up).await.page(403);
    }

    async fn a_day_that_is_over_is_not_planned_any_more(house) {
        let yard = Yard::db_lay(house);
        let visitor = Visitor::signed_in(house, Role::Manager).await;
        let day = visitor.get(&format!("/sites/{}/days/2031-06-09", yard.site)).await;
        assert!(!day.page(200).contains("client_key"));
    }
}
