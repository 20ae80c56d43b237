//! The page of the care standard.

use diesel::prelude::*;
use reqwest::Method;
use roundhand::store::Role;
use roundhand::store::schema::care_tasks;
use serde_json::{Value, json};

use super::visitor::{Visitor, hidden};
use crate::days::yard::{DAY, Yard, db};
use crate::support::{House, on_both_engines};

fn key() -> String {
    uuid::Uuid::new_v4().to_string()
}

/// A yard that has no care standard yet.
fn db_bare(house: &House) -> Yard {
    let yard = Yard::db_lay(house);
    db(house, |conn| {
        let of_yard = care_tasks::table.filter(care_tasks::site_id.eq(yard.site));
        diesel::delete(of_yard).execute(conn)?;
        Ok(())
    });
    yard
}

/// A page and one of its tasks: its id, and what its card says.
fn card<'a>(html: &'a str, name: &str) -> (&'a str, &'a str) {
    let mut cards = html.split("<li class=\"care-task\" id=\"task-").skip(1);
    let card = cards.find(|card| card.contains(&format!("<h3>{name}</h3>")));
    let card = card.unwrap_or_else(|| panic!("no {name}: {html}"));
    let card = card.split("</li>").next().unwrap();
    (card.split('"').next().unwrap(), card)
}

/// The form of a bank's last days.
fn of_bank(html: &str, bank: i64) -> &str {
    let form = html
        .split(&format!("/care/told/{bank}\""))
        .nth(1)
        .expect("the form");
    form.split("</form>").next().unwrap()
}

on_both_engines! {
    async fn a_site_without_a_standard_takes_the_shipped_one_by_one_button(house) {
        let yard = db_bare(house);
        let here = format!("/sites/{}/care", yard.site);
        let manager = Visitor::signed_in(house, Role::Manager).await;
        let html = manager.get(&here).await.page(200).to_owned();
        assert!(html.contains("This site has no care standard yet") && html.contains("Take the shipped standard"), "{html}");
        let lead = Visitor::signed_in(house, Role::CrewLead).await;
        assert!(!lead.get(&here).await.page(200).contains("Take the shipped standard"));

        let begin = format!("{here}/begin");
        manager.send(&begin, &[("client_key", &key()), ("language", "es")]).await.leads_to(&here);
        let html = manager.get(&here).await.page(200).to_owned();
        let (_, dressing) = card(&html, "Recebo");
        assert!(dressing.contains("Once a year"), "{dressing}");
        let api = house.manager().await;
        let shipped = api.get(&yard.path("/care-standard")).await.expect(200);
        let taken = api.get(&yard.path("/care-tasks?limit=200")).await.items();
        assert_eq!(taken.len(), shipped["tasks"].as_array().unwrap().len());
        let due = api.get(&yard.path(&format!("/days/{DAY}/due"))).await.expect(200);
        assert!(due["due"].as_array().unwrap().iter().all(|one| one["late_days"] == 0), "{due}");

        // Once there is one, it is not taken over it: neither by the button of an old page nor by the API.
        manager.send(&begin, &[("client_key", &key()), ("language", "en")]).await.leads_to(&here);
        assert!(manager.get(&here).await.page(200).contains("<h3>Recebo</h3>"));
        api.post(&yard.path("/care-standard/shipped"), &json!({ "language": "en" })).await.expect(409);
    }

    async fn each_task_stands_by_how_often_it_comes_with_its_rule_in_plain_words(house) {
        let yard = db_bare(house);
        let api = house.manager().await;
        api.post(&yard.path("/care-standard/shipped"), &json!({ "language": "en" })).await.expect(200);
        let member = Visitor::signed_in(house, Role::CrewMember).await;
        let html = member.get(&format!("/sites/{}/care", yard.site)).await.page(200).to_owned();
        let places: Vec<usize> = ["After each session</h2>", "Daily</h2>", "Weekly, or every few weeks</h2>", "Monthly</h2>",
            "By season</h2>", "When it is needed</h2>"].iter().map(|head| html.find(head).unwrap_or_else(|| panic!("{head}"))).collect();
        assert!(places.is_sorted(), "{places:?}");
        let shipped = api.get(&yard.path("/care-tasks?limit=200")).await.items();
        let name = |code: &str| -> String {
            let task = shipped.iter().find(|task| task["code"] == code).expect("the task");
            task["name"].as_str().unwrap().to_owned()
        };
        for (code, words) in [
            ("groom", "After each session of play"),
            ("leaves_off", "Every day, October 1 to November 30"),
            ("net_and_strap", "Every week"),
            ("edges_and_weeds", "Every two weeks"),
            ("dead_material", "Every month"),
            ("roll_after_rain", "After 10.0 mm of rain"),
            ("baselines_after_play", "After 60 hours of play"),
            ("scarify_hard", "When a court is found hardened, hardpan"),
            ("deep_patch", "When somebody sees that it is needed"),
        ] {
            let name = name(code);
            let (_, card) = card(&html, &name);
            assert!(card.contains(words), "{code}: {card}");
        }
        let roll = name("roll");
        let (_, roll) = card(&html, &roll);
        for words in ["on a court, only sprinkler-watered, hosed", "takes the skill “roller”", "one that firms", "public club maintenance page"] {
            assert!(roll.contains(words), "{words}: {roll}");
        }
        assert!(!html.contains("<select") && !html.contains("Give up"), "whoever may not edit reads the page without its forms");
        Visitor::signed_in(house, Role::Finance).await.get(&format!("/sites/{}/care", yard.site)).await.page(403);
    }

    async fn a_manager_sets_how_pressing_a_task_is_and_an_old_page_overwrites_nothing(house) {
        let yard = Yard::db_lay(house);
        let here = format!("/sites/{}/care", yard.site);
        let manager = Visitor::signed_in(house, Role::Manager).await;
        let html = manager.get(&here).await.page(200).to_owned();
        let (id, form) = card(&html, "roll");
        let version = hidden(form, "version");
        let there = format!("{here}/tasks/{id}");
        manager.send(&there, &[("version", &version), ("urgency", "before_play")]).await.leads_to(&format!("{here}#task-{id}"));
        let html = manager.get(&here).await.page(200).to_owned();
        assert!(card(&html, "roll").1.contains("<option value=\"before_play\" selected>Before play"), "{html}");
        let again = manager.send(&there, &[("version", &version), ("urgency", "can_wait")]).await;
        let html = again.page(422);
        assert!(html.contains("Somebody changed this task since you opened the page"), "{html}");
        assert!(card(html, "roll").1.contains("<option value=\"before_play\" selected>"), "{html}");
    }

    async fn a_task_that_is_given_up_is_not_due_and_can_be_taken_up_again(house) {
        let yard = Yard::db_lay(house);
        let here = format!("/sites/{}/care", yard.site);
        let manager = Visitor::signed_in(house, Role::Manager).await;
        let api = house.manager().await;
        let listed = async |query: &str| -> Vec<Value> {
            let tasks = api.get(&yard.path(&format!("/care-tasks?limit=200{query}"))).await.items();
            tasks.into_iter().filter(|task| task["code"] == "net_and_strap").collect()
        };
        let press = async |in_use: &str| {
            let html = manager.get(&here).await.page(200).to_owned();
            let (id, form) = card(&html, "net and strap");
            let version = hidden(form, "version");
            let fields = [("version", version.as_str()), ("urgency", "this_week"), ("in_use", in_use)];
            manager.send(&format!("{here}/tasks/{id}"), &fields).await.leads_to(&format!("{here}#task-{id}"));
        };
        press("false").await;
        let html = manager.get(&here).await.page(200).to_owned();
        assert!(html.contains("Given up</h2>") && card(&html, "net and strap").1.contains("Take up again"), "{html}");
        assert_eq!((listed("").await.len(), listed("&in_use=false").await.len()), (0, 1));
        let due = api.get(&yard.path(&format!("/days/{DAY}/due"))).await.expect(200);
        assert!(!due.to_string().contains("net and strap"), "{due}");
        press("true").await;
        let back = listed("").await;
        assert_eq!(back[0]["in_use"], true);
        let patch = json!({ "in_use": false });
        let path = yard.path(&format!("/care-tasks/{}", back[0]["id"]));
        let tag = format!("\"{}\"", back[0]["version"]);
        let given_up = api.send(Method::PATCH, &path, &[("if-match", &tag)], Some(&patch)).await.expect(200);
        assert_eq!(given_up["in_use"], false);
    }

    async fn when_work_was_last_done_is_told_a_bank_at_a_time(house) {
        let yard = Yard::db_lay(house);
        let here = format!("/sites/{}/care", yard.site);
        let api = house.manager().await;
        let bank = api.get(&yard.path("/banks")).await.items()[0]["id"].as_i64().unwrap();
        let tasks = api.get(&yard.path("/care-tasks?limit=200")).await.items();
        let field = |code: &str| {
            let task = tasks.iter().find(|task| task["code"] == code).expect("the task");
            format!("task-{}", task["id"])
        };
        let (roll, net) = (field("roll"), field("net_and_strap"));
        let manager = Visitor::signed_in(house, Role::Manager).await;
        let html = manager.get(&here).await.page(200).to_owned();
        assert!(of_bank(&html, bank).contains("not told"), "{html}");
        let there = format!("{here}/told/{bank}");
        let send = async |fields: &[(&str, &str)]| {
            let key = key();
            let mut all = vec![("client_key", key.as_str())];
            all.extend_from_slice(fields);
            manager.send(&there, &all).await
        };
        assert!(send(&[(&roll, "")]).await.page(422).contains("Give at least one day"));
        assert!(send(&[(&roll, "soon")]).await.page(422).contains("Give each day as year, month and day"));
        assert!(send(&[(&roll, "2031-06-11")]).await.page(422).contains("give today or an earlier day"));
        let both = [(roll.as_str(), "2031-06-08"), (net.as_str(), ""), ("unknown", "yes")];
        send(&both).await.leads_to(&format!("{here}#bank-{bank}"));
        let html = manager.get(&here).await.page(200).to_owned();
        let form = of_bank(&html, bank);
        assert!(form.contains("Sun, June 8; due Sun, June 15"), "{form}");
        assert!(form.contains("nobody knows; due "), "{form}");
        let lead = Visitor::signed_in(house, Role::CrewLead).await;
        let html = lead.get(&here).await.page(200).to_owned();
        assert!(html.contains("Sun, June 8; due Sun, June 15") && !html.contains("type=\"date\""), "{html}");
        lead.send(&there, &[("client_key", &key()), (&roll, "2031-06-09")]).await.page(403);
    }
}
