//! The form of a problem: every field there, of its type, within its bounds, and every id known.
//!
//! Works on raw JSON values, so that all faults are found in one reading and each is named by its
//! pointer; only the travel times are integers already. Money and time have upper limits beside the
//! contract's lower ones: they are far beyond any working day and keep every sum the planner forms inside
//! 64 bits.

use std::collections::{HashMap, HashSet};

use serde_json::Value;

use crate::circles;
use crate::fault::Fault;
use crate::problem::{FORMAT, Problem, Visit};
use crate::reading::{Object, Travel, integer};

/// No number in a problem may be larger.
pub(crate) const MOST: i64 = 1_000_000_000_000;
/// Rates in cents an hour: a hundred thousand dollars.
const MOST_PER_HOUR: i64 = 10_000_000;
/// Sums in cents: a hundred million dollars.
pub(crate) const MOST_CENTS: i64 = 10_000_000_000;
/// The last instant of a crew: over a hundred days.
const MOST_DUTY_S: i64 = 10_000_000;
/// A hundred times the pay.
const MOST_PERCENT: i64 = 10_000;

/// Every fault of a problem's form, one for each place; the fields are those beside the matrix.
pub(crate) fn faults(fields: &Object, travel: &Travel) -> Vec<Fault> {
    let mut form = Form { faults: Vec::new() };
    form.problem(fields, travel);
    let mut named = HashSet::new();
    form.faults.retain(|f| named.insert(f.pointer.clone()));
    form.faults
}

/// The faults of a visit that is to join a sound problem together with `others`, with `at` in front of each.
pub(crate) fn visit_faults(
    problem: &Problem,
    others: &[&Visit],
    visit: &Visit,
    at: &str,
) -> Vec<Fault> {
    let all = problem.visits.iter().chain(others.iter().copied());
    let names = Names {
        places: problem.travel_s.len(),
        classes: problem.tools.iter().map(|t| t.class.clone()).collect(),
        groups: problem.water.iter().map(|g| g.group.clone()).collect(),
        crews: problem.crews.iter().map(|c| c.id.clone()).collect(),
        visits: all.enumerate().map(|(i, v)| (v.id.clone(), i)).collect(),
    };
    let mut form = Form { faults: Vec::new() };
    match serde_json::to_value(visit) {
        Ok(Value::Object(visit)) => form.visit(&visit, at, &names),
        _ => form.bad(at, "must be an object"),
    }
    form.faults
}

/// A field that is there; `null` is the same as absent.
fn given<'a>(object: &'a Object, key: &str) -> Option<&'a Value> {
    object.get(key).filter(|v| !v.is_null())
}

/// The names that other fields point to.
#[derive(Default)]
struct Names {
    places: usize,
    classes: HashSet<String>,
    groups: HashSet<String>,
    crews: HashSet<String>,
    /// Id of a visit to its first index.
    visits: HashMap<String, usize>,
}

struct Form {
    faults: Vec<Fault>,
}

impl Form {
    fn bad(&mut self, pointer: impl Into<String>, text: impl Into<String>) {
        self.faults.push(Fault {
            pointer: pointer.into(),
            text: text.into(),
        });
    }

    fn object<'a>(&mut self, value: &'a Value, at: &str) -> Option<&'a Object> {
        let object = value.as_object();
        if object.is_none() {
            self.bad(at, "must be an object");
        }
        object
    }

    fn list<'a>(&mut self, object: &'a Object, key: &str, at: &str) -> &'a [Value] {
        if let Some(list) = object.get(key).and_then(Value::as_array) {
            return list;
        }
        self.bad(format!("{at}/{key}"), "must be a list");
        &[]
    }

    /// The integer at this pointer, if it is one and lies within the bounds.
    fn bounded(&mut self, value: Option<&Value>, at: String, low: i64, high: i64) -> Option<i64> {
        self.within(value.and_then(integer), at, low, high)
    }

    fn within(&mut self, x: Option<i64>, at: String, low: i64, high: i64) -> Option<i64> {
        match x {
            None => self.bad(at, "must be an integer"),
            Some(x) if x < low => self.bad(at, format!("must be at least {low}, is {x}")),
            Some(x) if x > high => self.bad(at, format!("must be at most {high}")),
            Some(x) => return Some(x),
        }
        None
    }

    fn number(&mut self, object: &Object, key: &str, at: &str, high: i64) -> Option<i64> {
        self.bounded(object.get(key), format!("{at}/{key}"), 0, high)
    }

    fn text<'a>(&mut self, object: &'a Object, key: &str, at: &str) -> Option<&'a str> {
        let text = object
            .get(key)
            .and_then(Value::as_str)
            .filter(|s| !s.is_empty());
        if text.is_none() {
            self.bad(format!("{at}/{key}"), "must be a non-empty text");
        }
        text
    }

    /// The texts of a list, each with its own index.
    fn texts<'a>(&mut self, object: &'a Object, key: &str, at: &str) -> Vec<(usize, &'a str)> {
        let mut out = Vec::new();
        for (i, value) in self.list(object, key, at).iter().enumerate() {
            match value.as_str().filter(|s| !s.is_empty()) {
                Some(s) => out.push((i, s)),
                None => self.bad(format!("{at}/{key}/{i}"), "must be a non-empty text"),
            }
        }
        out
    }

    fn classes<'a>(
        &mut self,
        object: &'a Object,
        key: &str,
        at: &str,
        names: &Names,
    ) -> Vec<(usize, &'a str)> {
        let texts = self.texts(object, key, at);
        for (k, class) in &texts {
            if !names.classes.contains(*class) {
                self.bad(
                    format!("{at}/{key}/{k}"),
                    format!("unknown tool class {class}"),
                );
            }
        }
        texts
    }

    fn span(&mut self, value: Option<&Value>, at: String) -> Option<[i64; 2]> {
        let pair = value.and_then(Value::as_array).filter(|l| l.len() == 2);
        let Some((from, to)) = pair.and_then(|l| Some((integer(&l[0])?, integer(&l[1])?))) else {
            self.bad(at, "must be two integers");
            return None;
        };
        if from < 0 || to < 0 {
            self.bad(at, "negative time");
        } else if to < from {
            self.bad(at, "ends before it opens");
        } else if to > MOST {
            self.bad(at, format!("must be at most {MOST}"));
        } else {
            return Some([from, to]);
        }
        None
    }

    fn place(&mut self, object: &Object, key: &str, at: &str, names: &Names) {
        if let Some(x) = self.number(object, key, at, MOST) {
            self.known_place(x, format!("{at}/{key}"), names);
        }
    }

    fn known_place(&mut self, x: i64, at: String, names: &Names) {
        let known = usize::try_from(x).is_ok_and(|x| names.places == 0 || x < names.places);
        if !known {
            self.bad(at, format!("unknown place {x} of {}", names.places));
        }
    }

    fn problem(&mut self, p: &Object, travel: &Travel) {
        let mut names = Names::default();
        if p.get("format").and_then(Value::as_str) != Some(FORMAT) {
            self.bad("/format", format!("must be \"{FORMAT}\""));
        }
        names.places = self.travel(travel);
        if given(p, "open_places").is_some() {
            for (i, x) in self.list(p, "open_places", "").iter().enumerate() {
                match integer(x) {
                    None => self.bad(format!("/open_places/{i}"), "must be an integer"),
                    Some(x) => self.known_place(x, format!("/open_places/{i}"), &names),
                }
            }
        }
        self.tools(p, &mut names);
        self.water(p, &mut names);
        for (i, crew) in self.list(p, "crews", "").iter().enumerate() {
            let at = format!("/crews/{i}");
            if let Some(crew) = self.object(crew, &at) {
                self.crew(crew, &at, &mut names);
            }
        }
        let visits = self.list(p, "visits", "");
        for (i, visit) in visits.iter().enumerate() {
            let Some(id) = visit
                .get("id")
                .and_then(Value::as_str)
                .filter(|s| !s.is_empty())
            else {
                continue;
            };
            if names.visits.contains_key(id) {
                self.bad(
                    format!("/visits/{i}/id"),
                    format!("second visit with id {id}"),
                );
            } else {
                names.visits.insert(id.to_owned(), i);
            }
        }
        for (i, visit) in visits.iter().enumerate() {
            let at = format!("/visits/{i}");
            if let Some(visit) = self.object(visit, &at) {
                self.visit(visit, &at, &names);
            }
        }
        for (i, id) in circles::on_circles(visits, &names.visits) {
            self.bad(
                format!("/visits/{i}/after"),
                format!("circle: {id} waits for itself"),
            );
        }
    }

    /// Returns the number of places, 0 where there is no matrix.
    fn travel(&mut self, travel: &Travel) -> usize {
        let n = travel.rows.len();
        if n == 0 {
            self.bad("/travel_s", "must be a non-empty list of rows");
        }
        for (i, row) in travel.rows.iter().enumerate() {
            if row.len() != n {
                self.bad(
                    format!("/travel_s/{i}"),
                    format!("not square: must be a list of {n}"),
                );
                continue;
            }
            for (j, &x) in row.iter().enumerate() {
                let strange = travel.strange.binary_search(&(i, j)).is_ok();
                let sound = (0..=MOST).contains(&x) && (i != j || x == 0);
                if sound && !strange {
                    continue;
                }
                let at = format!("/travel_s/{i}/{j}");
                let x = (!strange).then_some(x);
                if self.within(x, at.clone(), 0, MOST).is_some() {
                    self.bad(at, "diagonal must be zero");
                }
            }
        }
        n
    }

    fn tools(&mut self, p: &Object, names: &mut Names) {
        for (i, tool) in self.list(p, "tools", "").iter().enumerate() {
            let at = format!("/tools/{i}");
            let Some(tool) = self.object(tool, &at) else {
                continue;
            };
            let class = self.text(tool, "class", &at);
            self.number(tool, "count", &at, MOST);
            if let Some(class) = class
                && !names.classes.insert(class.to_owned())
            {
                self.bad(format!("{at}/class"), format!("second tool class {class}"));
            }
        }
    }

    fn water(&mut self, p: &Object, names: &mut Names) {
        for (i, line) in self.list(p, "water", "").iter().enumerate() {
            let at = format!("/water/{i}");
            let Some(line) = self.object(line, &at) else {
                continue;
            };
            let group = self.text(line, "group", &at);
            self.number(line, "capacity_mlps", &at, MOST);
            if given(line, "taken").is_some() {
                for (j, taken) in self.list(line, "taken", &at).iter().enumerate() {
                    let at = format!("{at}/taken/{j}");
                    let Some(taken) = self.object(taken, &at) else {
                        continue;
                    };
                    let from = self.number(taken, "from", &at, MOST);
                    let to = self.number(taken, "to", &at, MOST);
                    if from.zip(to).is_some_and(|(from, to)| to < from) {
                        self.bad(format!("{at}/to"), "ends before it begins");
                    }
                    self.number(taken, "flow_mlps", &at, MOST);
                }
            }
            if let Some(group) = group
                && !names.groups.insert(group.to_owned())
            {
                self.bad(format!("{at}/group"), format!("second water group {group}"));
            }
        }
    }

    fn crew(&mut self, c: &Object, at: &str, names: &mut Names) {
        if let Some(id) = self.text(c, "id", at)
            && !names.crews.insert(id.to_owned())
        {
            self.bad(format!("{at}/id"), format!("second crew with id {id}"));
        }
        self.bounded(c.get("hands"), format!("{at}/hands"), 1, MOST);
        self.texts(c, "skills", at);
        self.place(c, "start_place", at, names);
        self.place(c, "end_place", at, names);
        let shift = self.span(c.get("shift"), format!("{at}/shift"));
        let until = self.number(c, "overtime_until", at, MOST_DUTY_S);
        if shift
            .zip(until)
            .is_some_and(|(shift, until)| until < shift[1])
        {
            self.bad(format!("{at}/overtime_until"), "before the shift's end");
        }
        self.number(c, "cost_per_h", at, MOST_PER_HOUR);
        self.bounded(
            c.get("overtime_pct"),
            format!("{at}/overtime_pct"),
            100,
            MOST_PERCENT,
        );
        self.number(c, "kit_limit", at, MOST);
        self.number(c, "load_limit_g", at, MOST);
        let fair = given(c, "fair_load_s").is_some();
        let over = given(c, "over_load_cost_per_h").is_some();
        if fair {
            self.number(c, "fair_load_s", at, MOST);
        }
        if over {
            self.number(c, "over_load_cost_per_h", at, MOST_PER_HOUR);
        }
        if fair != over {
            self.bad(
                format!("{at}/fair_load_s"),
                "fair_load_s and over_load_cost_per_h go together",
            );
        }
        if given(c, "kit").is_some() {
            let kit = self.classes(c, "kit", at, names);
            let mut seen = HashSet::new();
            for (k, class) in kit {
                if !seen.insert(class) {
                    self.bad(
                        format!("{at}/kit/{k}"),
                        format!("tool class {class} stands twice"),
                    );
                }
            }
        }
        if given(c, "kit_hours").is_some() {
            self.span(c.get("kit_hours"), format!("{at}/kit_hours"));
        }
        for (j, rest) in self.list(c, "breaks", at).iter().enumerate() {
            let at = format!("{at}/breaks/{j}");
            if let Some(rest) = self.object(rest, &at) {
                self.number(rest, "length_s", &at, MOST);
                self.span(rest.get("start_window"), format!("{at}/start_window"));
            }
        }
    }

    fn visit(&mut self, v: &Object, at: &str, names: &Names) {
        self.text(v, "id", at);
        self.place(v, "place", at, names);
        self.span(v.get("window"), format!("{at}/window"));
        self.number(v, "aim_end", at, MOST);
        self.number(v, "late_cost_per_h", at, MOST_PER_HOUR);
        self.number(v, "skip_cost", at, MOST_CENTS);
        self.number(v, "load_g", at, MOST);
        let ways = self.list(v, "ways", at);
        if ways.is_empty() && v.get("ways").is_some_and(Value::is_array) {
            self.bad(format!("{at}/ways"), "no way to do it");
        }
        for (j, way) in ways.iter().enumerate() {
            let at = format!("{at}/ways/{j}");
            if let Some(way) = self.object(way, &at) {
                self.way(way, &at, names);
            }
        }
        for (k, id) in self.texts(v, "after", at) {
            if !names.visits.contains_key(id) {
                self.bad(format!("{at}/after/{k}"), format!("unknown visit {id}"));
            }
        }
        self.prefer_pin_water(v, at, names);
    }

    fn way(&mut self, w: &Object, at: &str, names: &Names) {
        self.classes(w, "tools", at, names);
        if given(w, "window").is_some() {
            self.span(w.get("window"), format!("{at}/window"));
        }
        if given(w, "aim_end").is_some() {
            self.number(w, "aim_end", at, MOST);
        }
        self.texts(w, "skills", at);
        self.bounded(w.get("min_hands"), format!("{at}/min_hands"), 1, MOST);
        self.number(w, "extra_cost", at, MOST_CENTS);
        let service = self.list(w, "service_s", at);
        if service.is_empty() && w.get("service_s").is_some_and(Value::is_array) {
            self.bad(format!("{at}/service_s"), "empty");
        }
        for (k, s) in service.iter().enumerate() {
            self.bounded(Some(s), format!("{at}/service_s/{k}"), 0, MOST);
        }
    }

    fn prefer_pin_water(&mut self, v: &Object, at: &str, names: &Names) {
        for key in ["prefer", "pinned"] {
            let at = format!("{at}/{key}");
            let Some(x) = given(v, key).and_then(|x| self.object(x, &at)) else {
                continue;
            };
            if let Some(crew) = self.text(x, "crew", &at)
                && !names.crews.contains(crew)
            {
                self.bad(format!("{at}/crew"), format!("unknown crew {crew}"));
            }
            if key == "prefer" {
                self.number(x, "change_cost", &at, MOST_CENTS);
            } else if given(x, "start_s").is_some() {
                self.number(x, "start_s", &at, MOST);
            }
        }
        let at = format!("{at}/water");
        let Some(x) = given(v, "water").and_then(|x| self.object(x, &at)) else {
            return;
        };
        if let Some(group) = self.text(x, "group", &at)
            && !names.groups.contains(group)
        {
            self.bad(
                format!("{at}/group"),
                format!("unknown water group {group}"),
            );
        }
        for key in ["flow_mlps", "run_s", "ready_by"] {
            self.number(x, key, &at, MOST);
        }
    }
}
