//! The rounds of a day.

use roundhand::store::Role;

use super::visitor::Visitor;
use crate::support::on_both_engines;

on_both_engines! {
    async fn the_first_page_is_the_site_s_own_day(house) {
        let visitor = Visitor::signed_in(house, Role::Manager).await;
        visitor.get("/").await.leads_to("/today");
        // The house's clock stands at 9 in the morning UTC on 10 June: 5 in the morning there.
        let day = format!("/sites/{}/days/2031-06-10", house.set_up.site_id);
        let today = format!("/sites/{}/today", house.set_up.site_id);
        visitor.get("/today").await.leads_to(&today);
        visitor.get(&today).await.leads_to(&day);
        let page = visitor.get(&day).await;
        let page = page.page(200);
        for part in ["Tuesday, June 10, 2031", "days/2031-06-09\"", "days/2031-06-11\""] {
            assert!(page.contains(part), "{part}: {page}");
        }
    }

    async fn a_user_without_a_choice_is_not_asked_to_choose(house) {
        let visitor = Visitor::signed_in(house, Role::CrewMember).await;
        let page = visitor.get("/sites").await;
        let today = format!("/sites/{}/today", house.set_up.site_id);
        assert_eq!(page.page(200).matches(today.as_str()).count(), 1);
    }

    async fn the_front_desk_which_sees_no_rounds_begins_with_who_plays(house) {
        let visitor = Visitor::signed_in(house, Role::FrontDesk).await;
        let site = house.set_up.site_id;
        visitor.get(&format!("/sites/{site}/today")).await.leads_to(&format!("/sites/{site}/play"));
        let play = format!("/sites/{site}/play/2031-06-10");
        visitor.get(&format!("/sites/{site}/play")).await.leads_to(&play);
        let page = visitor.get(&play).await;
        let page = page.page(200);
        assert!(page.contains("Court 1") && page.contains("morning"), "{page}");
        assert!(!page.contains("/closures\""), "the desk shuts nothing: {page}");
    }
}
