//! Who sees which orders.

use roundhand::store::Role;
use serde_json::{Value, json};

use crate::support::{Ground, Place, TODAY, on_both_engines};

fn ids(page: &Value) -> Vec<i64> {
    let items = page["items"].as_array().unwrap().iter();
    items.map(|order| order["id"].as_i64().unwrap()).collect()
}

on_both_engines! {
    async fn a_list_shows_what_it_was_asked_for_page_by_page(house) {
        let ground = Ground::db_lay(house);
        let [one, two, _] = ground.courts;
        let issue = |court, on| ground.db_issue(house, Place::Court(court), on, 0);
        let on_one: Vec<i64> = (0..3).map(|_| issue(one, TODAY)).collect();
        issue(two, TODAY);
        issue(one, "2031-06-11");
        let crew = house.as_role(Role::CrewMember).await;

        let (today, of) = (format!("date={TODAY}&court_id={one}"), ground.crew);
        let path = house.path(&format!("/orders?{today}&crew_id={of}&state=issued&limit=2"));
        let page = crew.get(&path).await.expect(200);
        assert_eq!(ids(&page), on_one[..2]);
        let cursor = page["next_cursor"].as_str().unwrap();
        let page = crew.get(&format!("{path}&cursor={cursor}")).await.expect(200);
        assert_eq!(ids(&page), on_one[2..]);
        assert_eq!(page["next_cursor"], Value::Null);

        let order = &page["items"][0];
        assert_eq!(order["place"], "Test court 901");
        assert_eq!(order["crew"], "Test crew");
        assert_eq!(order["tools"][0]["number"], "T-901");
        assert_eq!(order["tools"][0]["class_name"], "Test drag");
        assert_eq!(order["steps"][1]["code"], "soak");
        let finished = house.path(&format!("/orders?{today}&state=finished"));
        assert!(crew.get(&finished).await.items().is_empty());
        for (wrong, field) in [
            ("state=done", "state"),
            ("date=today", "date"),
            ("court_id=x", "court_id"),
        ] {
            let refused = crew.get(&house.path(&format!("/orders?{wrong}"))).await.expect(400);
            assert_eq!(refused["faults"][0]["field"], field);
        }
    }

    async fn an_order_on_a_bank_is_shown_with_the_bank(house) {
        let ground = Ground::db_lay(house);
        let id = ground.db_issue(house, Place::Bank(ground.bank), TODAY, 0);
        let order = house.manager().await.get(&house.path(&format!("/orders/{id}"))).await;
        assert_eq!(order.header("etag"), Some("\"1\""));
        assert_eq!(order.expect(200)["place"], "Test bank");
    }

    async fn finance_may_look_at_orders_but_not_work_on_them(house) {
        let ground = Ground::db_lay(house);
        let id = ground.db_issue_plain(house);
        let of = |rest: &str| house.path(&format!("/orders/{id}{rest}"));
        let finance = house.as_role(Role::Finance).await;
        finance.get(&of("")).await.expect(200);
        finance.post(&of("/start"), &json!({})).await.expect(403);
        let desk = house.as_role(Role::FrontDesk).await;
        desk.get(&of("")).await.expect(403);
        house.nobody().get(&of("")).await.expect(401);
        finance.get(&house.path("/orders/999999")).await.expect(404);
    }
}
