//! A net that is gauged, and what is wrong with it.

use roundhand::store::Role;
use serde_json::{Value, json};

use super::{by_gauge, db_part, open};
use crate::support::{Ground, on_both_engines, tablet_of};

const NOW: &str = "2031-06-10T08:30:00Z";

on_both_engines! {
    // ITF Rules of Tennis, Rule 1: 3 ft (914.4 mm) at the centre, a strap of at most 2 in (50.8 mm).
    async fn a_net_by_the_rules_is_kept_and_asks_for_nothing(house) {
        let ground = Ground::db_lay(house);
        ground.db_issue_plain(house);
        let lead = house.as_role(Role::CrewLead).await;
        let told = json!({ "court_id": ground.courts[0], "happened_at": NOW,
            "net": { "height_um": 914_400, "strap_um": 50_800, "read_in": "in" } });
        let taken = lead.post(&house.path("/tool-checks"), &told).await.expect(201);
        assert_eq!((&taken["net"]["faults"], &taken["defects"]), (&json!([]), &json!([])));
        assert!(open(house, &lead).await.is_empty());
        let nets = lead.get(&house.path("/nets")).await.expect(200)["nets"].clone();
        let net = nets.as_array().unwrap().iter().find(|net| net["court_id"] == ground.courts[0]).unwrap();
        assert_eq!((&net["gauged"]["height_um"], &net["gauged"]["strap_um"]), (&json!(914_400), &json!(50_800)));
        assert_eq!(net["gauged_at"], NOW);
    }

    async fn a_net_out_of_the_rules_gets_an_order_that_mends_it_and_one_only(house) {
        let ground = Ground::db_lay(house);
        ground.db_issue_plain(house);
        let tablet = house.nobody().with_token(&tablet_of(house).await);
        let path = house.path("/tool-checks");
        let (told, key) = (by_gauge(ground.courts[0], 900_000, NOW), uuid::Uuid::new_v4().to_string());
        let taken = tablet.post_with_key(&path, &told, &key).await.expect(201);
        assert_eq!(taken["net"]["faults"], json!(["too_low"]));
        let waits = open(house, &tablet).await;
        let [defect] = &waits[..] else { panic!("one defect: {waits:#?}") };
        assert_eq!((&defect["kind"], &defect["id"]), (&json!("loose_net_cable"), &taken["defects"][0]));
        assert!(defect["note"].as_str().unwrap().contains("too low"), "{defect}");
        let order = tablet.get(&house.path(&format!("/orders/{}", defect["mend_order_id"]))).await.expect(200);
        assert_eq!((&order["kind"], &order["court_id"]), (&json!("mend"), &json!(ground.courts[0])));
        // Sent again, and gauged again before anybody mended it.
        assert_eq!(tablet.post_with_key(&path, &told, &key).await.expect(201), taken);
        let again = tablet.post(&path, &by_gauge(ground.courts[0], 895_000, "2031-06-10T08:50:00Z")).await.expect(201);
        assert_eq!(again["defects"], json!([]));
        assert_eq!(open(house, &tablet).await.len(), 1);
        // Another court's net is another matter.
        let other = tablet.post(&path, &by_gauge(ground.courts[1], 930_000, NOW)).await.expect(201);
        assert_eq!((&other["net"]["faults"], other["defects"].as_array().unwrap().len()), (&json!(["too_high"]), 1));
    }

    async fn a_strap_too_wide_or_to_be_changed_is_one_worn_strap(house) {
        let ground = Ground::db_lay(house);
        let (site, court) = (house.set_up.site_id, ground.courts[0]);
        let strap = db_part(house, site, court, "centre_strap");
        let band = db_part(house, site, court, "headband");
        let lead = house.as_role(Role::CrewLead).await;
        let told = json!({ "court_id": court, "happened_at": NOW,
            "net": { "height_um": 914_400, "strap_um": 57_150, "read_in": "in" },
            "by_eye": [{ "wear_part_id": strap, "verdict": "change_now" }, { "wear_part_id": band, "verdict": "change_now" }] });
        let taken = lead.post(&house.path("/tool-checks"), &told).await.expect(201);
        assert_eq!(taken["net"]["faults"], json!(["strap_too_wide"]));
        let mut kinds: Vec<Value> = open(house, &lead).await.iter().map(|defect| defect["kind"].clone()).collect();
        kinds.sort_by_key(Value::to_string);
        assert_eq!(kinds, ["torn_net", "worn_strap"]);
    }

    async fn a_check_that_comes_late_says_nothing_against_what_was_seen_since(house) {
        let ground = Ground::db_lay(house);
        let court = ground.courts[0];
        let strap = db_part(house, house.set_up.site_id, court, "centre_strap");
        let lead = house.as_role(Role::CrewLead).await;
        let tell = async |at: &str, height: i64, verdict: &str| {
            let mut told = by_gauge(court, height, at);
            told["by_eye"] = json!([{ "wear_part_id": strap, "verdict": verdict }]);
            lead.post(&house.path("/tool-checks"), &told).await.expect(201)
        };
        tell(NOW, 914_400, "sound").await;
        let late = tell("2031-06-10T07:30:00Z", 880_000, "change_now").await;
        assert_eq!((&late["net"]["faults"], &late["defects"]), (&json!(["too_low"]), &json!([])));
        assert!(open(house, &lead).await.is_empty());
    }

    async fn a_height_that_no_net_has_is_refused_with_the_mend_and_a_net_hangs_on_a_court(house) {
        let ground = Ground::db_lay(house);
        let lead = house.as_role(Role::CrewLead).await;
        let net = |height: i64, strap: i64| json!({ "height_um": height, "strap_um": strap, "read_in": "mm" });
        for (told, field) in [
            (json!({ "court_id": ground.courts[0], "net": net(499_999, 50_000) }), "/net/height_um"),
            (json!({ "court_id": ground.courts[0], "net": net(1_500_001, 50_000) }), "/net/height_um"),
            (json!({ "court_id": ground.courts[0], "net": net(914_400, 9_999) }), "/net/strap_um"),
            (json!({ "court_id": ground.courts[0], "net": net(914_400, 200_001) }), "/net/strap_um"),
            (json!({ "tool_id": ground.drag, "net": net(914_400, 50_000) }), "/net"),
        ] {
            let refused = lead.post(&house.path("/tool-checks"), &told).await;
            refused.expect_problem(422);
            assert_eq!(refused.fault(), field, "{told}");
        }
        assert_eq!(crate::accounts::db_count(house, "SELECT COUNT(*) AS rows FROM net_checks"), 0);
    }
}
