//! Two tablets of one crew at random, on a line that is cut, loses answers, repeats and reorders, through empty batteries: the
//! office's sums are the sums of what was done.

use std::collections::HashMap;

use serde_json::{Value, json};

use super::crew::Crew;
use super::line::Way;
use super::{hours_of, send_at};
use crate::support::{Client, Engine, Ground, House, Place, TODAY, tablet_of};

const ACTIONS: usize = 500;
const SEED: u64 = 20_310_610;
const ORDERS: usize = 90;
/// Minutes of one person on one order.
const MINUTES: i64 = 2;

/// Numbers that come the same each time: splitmix64 (Steele, Lea and Flood 2014; constants from memory).
struct Dice(u64);

impl Dice {
    fn below(&mut self, most: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        usize::try_from((z ^ (z >> 31)) % most as u64).expect("a small number")
    }
}

/// One walk: what there is, and what was told so far.
struct Walk {
    house: House,
    orders: Vec<i64>,
    people: [i64; 2],
    bags: i64,
    /// How many stretches of time each person has worked: no two overlap, whoever tells them.
    worked: [i64; 2],
    direct: Client,
    dice: Dice,
    /// Sent past the tablet, or sent again.
    passed: usize,
}

impl Walk {
    /// A closing, a start, or an order left undone, of some order that may be closed long since.
    fn happening(&mut self) -> Value {
        let order = self.orders[self.dice.below(self.orders.len())];
        let kind = self.dice.below(10);
        if kind < 3 {
            return json!({ "kind": "start", "order_id": order });
        }
        let who = self.dice.below(2);
        let slot = self.worked[who];
        self.worked[who] += 1;
        let at = |minutes: i64| {
            let day = "2031-06-10T04:00:00Z".parse::<chrono::DateTime<chrono::Utc>>();
            day.expect("an instant") + chrono::TimeDelta::minutes(minutes)
        };
        let people = json!([{ "person_id": self.people[who],
            "started_at": at(slot * MINUTES), "ended_at": at((slot + 1) * MINUTES) }]);
        let materials = json!([{ "material_id": self.bags, "quantity": 1 + self.dice.below(3) }]);
        if kind < 5 {
            return json!({ "kind": "leave_undone", "order_id": order, "reason": "weather", "steps_done": [1],
                "people": people, "materials": materials });
        }
        json!({ "kind": "finish", "order_id": order, "fit": { "is": "yes" }, "steps_done": [1, 2],
            "people": people, "materials": materials })
    }

    /// What waits on the tablet goes to the office by another way: one of it, out of order, or twice.
    async fn past_the_tablet(&mut self, crew: &Crew) {
        let waiting = crew.waiting().await;
        if waiting.is_empty() {
            return;
        }
        let event = waiting[self.dice.below(waiting.len())].clone();
        let events = vec![event; 1 + self.dice.below(2)];
        let now = "2031-06-10T09:00:00Z";
        send_at(&self.house, &self.direct, now, &events).await;
        self.passed += 1;
    }

    async fn act(&mut self, mut crew: Crew) -> Crew {
        match self.dice.below(100) {
            0..45 if self.worked.iter().all(|slots| (slots + 1) * MINUTES < 290) => {
                let happening = self.happening();
                let put = format!("await roundhandOutbox.put({happening})");
                crew.browser.look(&put).await;
            }
            0..60 => crew.line.be(Way::Clear),
            60..70 => crew.line.be(Way::Cut),
            70..80 => crew.line.be(Way::LosesAnswers),
            80..90 => {
                crew.browser.look("roundhandOutbox.send()").await;
            }
            90..98 => self.past_the_tablet(&crew).await,
            _ => crew = crew.restart().await,
        }
        crew
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn after_any_walk_of_two_tablets_the_office_has_booked_what_was_done_and_once() {
    let house = House::open(Engine::Sqlite).unwrap();
    let ground = Ground::db_lay(&house);
    ground.db_receive(&house, 10_000, 100_000);
    let orders: Vec<i64> = (0..ORDERS)
        .map(|at| ground.db_issue(&house, Place::Court(ground.courts[at % 3]), TODAY, 0))
        .collect();
    let direct = house.nobody().with_token(&tablet_of(&house).await);
    let (base, crew) = (house.base.clone(), ground.crew);
    let Some(one) = Crew::begin_at_a_standstill(&house, &base, crew, ground.dear).await else {
        return;
    };
    let other = Crew::begin_at_a_standstill(&house, &base, crew, ground.cheap).await;
    let mut crews = [Some(one), other];
    let mut walk = Walk {
        orders,
        people: [ground.dear, ground.cheap],
        bags: ground.bags,
        worked: [0, 0],
        direct,
        dice: Dice(SEED),
        passed: 0,
        house,
    };
    for _ in 0..ACTIONS {
        let which = walk.dice.below(2);
        let crew = crews[which].take().expect("a tablet");
        crews[which] = Some(walk.act(crew).await);
    }
    let mut lost = 0;
    for crew in crews.iter().flatten() {
        crew.line.be(Way::Clear);
        crew.until_all_is_sent().await;
        lost += crew.line.lost();
    }
    assert!(
        lost > 0 && walk.passed > 5,
        "{lost} answers lost, {} sent past",
        walk.passed
    );

    let mut told = Vec::new();
    for crew in crews.iter().flatten() {
        told.extend(crew.told().await);
    }
    holds(&walk, &told).await;
    for crew in crews.into_iter().flatten() {
        crew.browser.close().await;
    }
}

/// Holds what the office booked against what was told and taken.
async fn holds(walk: &Walk, told: &[Value]) {
    let mut closed: HashMap<i64, &Value> = HashMap::new();
    for event in told
        .iter()
        .filter(|event| event["happening"]["kind"] != "start")
    {
        let order = event["happening"]["order_id"].as_i64().expect("an order");
        match event["state"].as_str().expect("a state") {
            "taken" => assert!(
                closed.insert(order, event).is_none(),
                "order {order} was taken twice"
            ),
            "noted" => {}
            other => panic!("{other}: {event:#}"),
        }
    }
    assert!(closed.len() > 30, "{} orders were closed", closed.len());
    let manager = walk.house.manager().await;
    let mut bags = 0;
    let booked = hours_of(&walk.house, &manager).await;
    for order in &walk.orders {
        let hours = booked.get(order).cloned().unwrap_or_default();
        let Some(event) = closed.get(order) else {
            assert!(hours.is_empty(), "order {order}: {hours:#?}");
            continue;
        };
        let person = &event["happening"]["people"][0];
        let [entry] = &hours[..] else {
            panic!("order {order} once: {hours:#?}");
        };
        for name in ["person_id", "started_at", "ended_at"] {
            let column = name.replace("started", "starts").replace("ended", "ends");
            assert_eq!(entry[column], person[name], "order {order}");
        }
        bags += event["happening"]["materials"][0]["quantity"]
            .as_i64()
            .expect("a number");
    }
    let materials = manager.get(&walk.house.path("/materials")).await.items();
    let kept = materials
        .iter()
        .find(|kept| kept["id"] == walk.bags)
        .expect("the bags");
    assert_eq!(kept["on_hand"], 10_000 - bags);
}
