//! Days as no site has them: made-up days changed until ways round are shorter than straight ones, windows are as
//! short as the work, some work takes no time, and far more waits for other work.

use planner::problem::Checked;
use serde_json::{Value, json};

/// Numbers without a pattern that anyone would notice; the same for the same seed.
///
/// Source of the factor and the addend: D. E. Knuth, The Art of Computer Programming, volume 2, 3.3.4 (MMIX).
struct Chance(u64);

impl Chance {
    /// A number below `n`.
    fn below(&mut self, n: u64) -> u64 {
        let next = self.0.wrapping_mul(6_364_136_223_846_793_005);
        self.0 = next.wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % n
    }

    fn once_in(&mut self, n: u64) -> bool {
        self.below(n) == 0
    }

    fn index(&mut self, len: usize) -> usize {
        usize::try_from(self.below(len as u64)).expect("below a length")
    }
}

fn list<'v>(value: &'v mut Value, name: &str) -> &'v mut Vec<Value> {
    value[name].as_array_mut().expect("a list")
}

fn number(value: &Value) -> i64 {
    value.as_i64().expect("a whole number")
}

/// Travel times that keep no triangle inequality: a third of them are 0, three times as long, or hours.
fn bend_the_map(chance: &mut Chance, day: &mut Value) {
    for (i, row) in list(day, "travel_s").iter_mut().enumerate() {
        for (j, time) in row.as_array_mut().expect("a row").iter_mut().enumerate() {
            if i != j && chance.once_in(3) {
                let longer = number(time) * 3;
                *time = json!([0, longer, longer, 20_000][chance.index(4)]);
            }
        }
    }
}

/// Work of no duration, and windows as long as the work and no longer.
fn shorten(chance: &mut Chance, visit: &mut Value) {
    if chance.once_in(6) {
        for way in list(visit, "ways") {
            way["service_s"] = json!([0]);
        }
    }
    if chance.once_in(4) {
        let ways = list(visit, "ways");
        let picked = chance.index(ways.len());
        let service = number(&ways[picked]["service_s"][0]);
        let (open, close) = (number(&visit["window"][0]), number(&visit["window"][1]));
        let slack = u64::try_from(close - open - service).unwrap_or(0);
        let open = open + i64::try_from(chance.below(slack + 1)).expect("seconds of a day");
        visit["window"] = json!([open, open + service]);
    }
}

/// Makes a change to a visit, unless the day contradicts itself then.
fn change(day: &mut Value, visit: usize, name: &str, new: Value) {
    let old = std::mem::replace(&mut day["visits"][visit][name], new);
    if Checked::from_json(&day.to_string()).is_err() {
        day["visits"][visit][name] = old;
    }
}

/// The day changed at random, and still a sound problem.
pub fn odd(seed: u64, text: &str) -> String {
    let mut day: Value = serde_json::from_str(text).expect("JSON");
    let mut chance = Chance(seed);
    bend_the_map(&mut chance, &mut day);
    for visit in list(&mut day, "visits") {
        // Pins that the bent map contradicts are not laid anew.
        visit["pinned"] = Value::Null;
        shorten(&mut chance, visit);
    }
    for i in 0..list(&mut day, "visits").len() {
        if i > 0 && chance.once_in(5) {
            let before = chance.index(i);
            let mut after = day["visits"][i]["after"].clone();
            let id = day["visits"][before]["id"].clone();
            after.as_array_mut().expect("a list").push(id);
            change(&mut day, i, "after", after);
        }
        if chance.once_in(8) {
            let picked = chance.index(list(&mut day, "crews").len());
            let crew = day["crews"][picked]["id"].clone();
            let open = number(&day["visits"][i]["window"][0]);
            let start = [Value::Null, json!(open + 60)][chance.index(2)].clone();
            let pin = json!({"crew": crew, "start_s": start});
            change(&mut day, i, "pinned", pin);
        }
    }
    day.to_string()
}
