//! What changes reaches whoever watches, whichever instance of the service wrote it.

use std::time::Duration;

use roundhand::http::serving::{Serving, Times};
use roundhand::store::Role;
use serde_json::json;

use crate::support::{Client, Ground, House, on_both_engines, serving, start};

/// Somebody who watches a site.
struct Watching {
    answer: reqwest::Response,
    heard: String,
}

impl Watching {
    async fn begin(house: &House, base: &str, client: &Client) -> Self {
        let request = reqwest::Client::new()
            .get(format!("{base}{}", house.path("/live")))
            .bearer_auth(client.token());
        let answer = request.send().await.expect("an answer");
        assert_eq!(answer.headers()["content-type"], "text/event-stream");
        Self {
            answer,
            heard: String::new(),
        }
    }

    /// The next event's number. The test's own time is what ends a wait for nothing.
    async fn next(&mut self) -> i64 {
        loop {
            if let Some(end) = self.heard.find("\n\n") {
                let event: String = self.heard.drain(..end + 2).collect();
                let number = event
                    .strip_prefix("event: changed\ndata: {\"seq\":")
                    .and_then(|e| e.trim_end().strip_suffix('}'));
                let number = number.map(|n| n.parse().expect("a number"));
                match number {
                    Some(number) => return number,
                    None => continue,
                }
            }
            let piece = self
                .answer
                .chunk()
                .await
                .expect("the stream goes on")
                .expect("a piece");
            self.heard
                .push_str(std::str::from_utf8(&piece).expect("text"));
        }
    }
}

/// A service that keeps whoever watches.
fn lasting() -> Serving {
    let times = Times {
        live: Duration::from_mins(5),
        ..Times::default()
    };
    Serving { times, ..serving() }
}

on_both_engines! {
    async fn whoever_watches_hears_of_a_change_once_at_the_start_and_then_each_time(house) {
        let ground = Ground::db_lay(house);
        let order = ground.db_issue_plain(house);
        let service = house.served(lasting());
        let lead = house.as_role(Role::CrewLead).await;
        let mut watching = Watching::begin(house, &service.base, &lead).await;
        watching.next().await;
        let mut before = 0;
        for told in ["start", "leave-undone"] {
            let body = if told == "start" { json!({}) } else { json!({ "reason": "weather" }) };
            lead.post(&house.path(&format!("/orders/{order}/{told}")), &body).await.expect(200);
            let heard = watching.next().await;
            assert!(heard > before, "{heard} after {before}");
            before = heard;
        }
    }

    async fn who_may_not_see_the_site_does_not_watch_it(house) {
        assert_eq!(house.nobody().get(&house.path("/live")).await.status, 401);
        let lead = house.as_role(Role::CrewLead).await;
        assert_eq!(lead.get("/api/v1/sites/999999/live").await.status, 404);
    }

    async fn a_stream_ends_by_itself_so_that_whoever_watches_is_proved_again(house) {
        let lead = house.as_role(Role::CrewLead).await;
        let answer = lead.get(&house.path("/live")).await;
        assert!(answer.text.starts_with("event: changed\n"), "{}", answer.text);
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn on_postgres_what_another_instance_writes_is_heard() {
    let Some(house) = House::open(crate::support::Engine::Postgres) else {
        crate::support::skip(
            "no PostgreSQL: tests/run starts one and sets ROUNDHAND_TEST_POSTGRES_URL",
        );
        return;
    };
    let ground = Ground::db_lay(&house);
    let order = ground.db_issue_plain(&house);
    let mail = roundhand::mail::Settings::new(None, None, None).expect("good settings");
    let other = house.another_office(mail, house.office.now().utc());
    let other = start(actix_web::web::Data::new(other), lasting());
    let lead = house.as_role(Role::CrewLead).await;
    let mut watching = Watching::begin(&house, &other.base, &lead).await;
    watching.next().await;
    // The listening connection is there once it hears anything at all.
    let path = house.path(&format!("/orders/{order}/start"));
    let heard = async {
        lead.post(&path, &json!({})).await.expect(200);
        loop {
            tokio::select! {
                heard = watching.next() => return heard,
                () = tokio::time::sleep(Duration::from_millis(500)) => {
                    let hold = json!({ "reason": "glass" });
                    lead.post(&house.path(&format!("/courts/{}/holds", ground.courts[0])), &hold).await.expect(200);
                }
            }
        }
    };
    assert!(heard.await > 0);
}
