//! What is different from what the problem says, as it is told (`day-changes/1`).

use serde::Deserialize;
use serde_json::Value;

use super::record::{escaped, read, read_object, time_fault};
use crate::fault::Fault;
use crate::form;
use crate::problem::{Problem, Span, Visit};

/// The value of the `format` field of a file of changes.
pub const CHANGES_FORMAT: &str = "day-changes/1";

/// One change. As JSON an object with its `kind` in snake case and the fields below:
/// `{"kind": "rain", "from": 38400, "to": 41400}`. Times are seconds.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum Change {
    /// No work meanwhile.
    Rain {
        /// First second of it.
        from: i64,
        /// First second after it.
        to: i64,
        /// Where; everywhere, if it does not say.
        #[serde(default)]
        places: Option<Vec<i64>>,
    },
    /// A crew goes home: it must be there by then.
    CrewGone {
        /// Its id.
        crew: String,
        /// When.
        from: i64,
    },
    /// A crew starts later.
    CrewLate {
        /// Its id.
        crew: String,
        /// When.
        from: i64,
    },
    /// No work at a place meanwhile.
    PlaceClosed {
        /// Its index.
        place: i64,
        /// First second of it.
        from: i64,
        /// First second after it.
        to: i64,
    },
    /// Tools of a class are no more.
    ToolBroken {
        /// The class.
        class: String,
        /// How many.
        how_many: i64,
        /// The id of the crew that held it. Without it a tool that no crew holds is meant, or else that of
        /// the crew that has the least left to do with it.
        #[serde(default)]
        crew: Option<String>,
    },
    /// A visit has another window.
    WindowChanged {
        /// Its id.
        visit: String,
        /// The new window. Ways with a window of their own are cut to it, but where `way` says otherwise.
        window: Span,
        /// The way whose own window it becomes; the visit's, if it does not say.
        #[serde(default)]
        way: Option<usize>,
    },
    /// There is more to do.
    NewVisit {
        /// What.
        visit: Box<Visit>,
    },
    /// There is less to do.
    VisitDropped {
        /// The visit's id.
        visit: String,
    },
    /// A supply line carries another flow.
    WaterCut {
        /// Its name.
        group: String,
        /// The flow, ml/s.
        capacity_mlps: i64,
    },
}

/// Reads `{"format": "day-changes/1", "changes": […]}`; each change that cannot be read is named by its pointer.
pub fn changes_from_json(text: &str) -> Result<Vec<Change>, Vec<Fault>> {
    let value = read_object(text, "", CHANGES_FORMAT)?;
    let fault = |pointer: &str, text: &str| Fault {
        pointer: pointer.to_owned(),
        text: text.to_owned(),
    };
    let unknown = value.as_object().into_iter().flatten();
    let mut faults: Vec<Fault> = unknown
        .filter(|(key, _)| *key != "changes")
        .map(|(key, _)| fault(&format!("/{}", escaped(key)), "unknown field"))
        .collect();
    let mut changes = Vec::new();
    match value.get("changes").and_then(Value::as_array) {
        Some(list) => {
            for (i, value) in list.iter().enumerate() {
                match read(value, &format!("/changes/{i}")) {
                    Ok(change) => changes.push(change),
                    Err(more) => faults.extend(more),
                }
            }
        }
        None => faults.push(fault("/changes", "must be a list")),
    }
    if faults.is_empty() {
        Ok(changes)
    } else {
        Err(faults)
    }
}

/// The faults of changes to this day. Circles of new visits come out with the rest's problem.
pub(super) fn faults(day: &Problem, changes: &[Change]) -> Vec<Fault> {
    let mut all = Faults {
        day,
        at: String::new(),
        out: Vec::new(),
    };
    let mut ids: Vec<&str> = day.visits.iter().map(|v| v.id.as_str()).collect();
    let new_visits: Vec<&Visit> = changes
        .iter()
        .filter_map(|change| match change {
            Change::NewVisit { visit } => Some(&**visit),
            _ => None,
        })
        .collect();
    for (i, change) in changes.iter().enumerate() {
        all.at = format!("/changes/{i}");
        match change {
            Change::Rain { from, to, places } => {
                all.span("from", "to", [*from, *to]);
                for (k, &place) in places.iter().flatten().enumerate() {
                    all.place(&format!("places/{k}"), place);
                }
            }
            Change::CrewGone { crew, from } | Change::CrewLate { crew, from } => {
                all.crew(crew);
                all.time("from", *from);
            }
            Change::PlaceClosed { place, from, to } => {
                all.place("place", *place);
                all.span("from", "to", [*from, *to]);
            }
            Change::ToolBroken {
                class,
                how_many,
                crew,
            } => {
                let known = day.tools.iter().any(|t| t.class == *class);
                all.unless(known, "class", "unknown tool class");
                all.time("how_many", *how_many);
                if let Some(crew) = crew {
                    all.crew(crew);
                }
            }
            Change::WindowChanged { visit, window, way } => {
                all.span("window/0", "window/1", *window);
                let found = day.visits.iter().find(|v| v.id == *visit);
                all.unless(found.is_some(), "visit", "unknown visit");
                let has = found.is_none_or(|v| way.is_none_or(|w| w < v.ways.len()));
                all.unless(has, "way", "unknown way");
            }
            Change::NewVisit { visit } => {
                let at = format!("{}/visit", all.at);
                all.out
                    .extend(form::visit_faults(day, &new_visits, visit, &at));
                let new = !ids.contains(&visit.id.as_str());
                all.unless(new, "visit/id", "second visit of this id");
                ids.push(&visit.id);
            }
            Change::VisitDropped { visit } => {
                all.unless(ids.contains(&visit.as_str()), "visit", "unknown visit");
            }
            Change::WaterCut {
                group,
                capacity_mlps,
            } => {
                let known = day.water.iter().any(|g| g.group == *group);
                all.unless(known, "group", "unknown water group");
                all.time("capacity_mlps", *capacity_mlps);
            }
        }
    }
    all.out
}

struct Faults<'a> {
    day: &'a Problem,
    at: String,
    out: Vec<Fault>,
}

impl Faults<'_> {
    fn unless(&mut self, sound: bool, field: &str, text: &str) {
        if !sound {
            self.out.push(Fault {
                pointer: format!("{}/{field}", self.at),
                text: text.to_owned(),
            });
        }
    }

    fn crew(&mut self, id: &str) {
        let known = self.day.crews.iter().any(|c| c.id == id);
        self.unless(known, "crew", "unknown crew");
    }

    fn place(&mut self, field: &str, place: i64) {
        let known = usize::try_from(place).is_ok_and(|p| p < self.day.travel_s.len());
        self.unless(known, field, "unknown place");
    }

    fn time(&mut self, field: &str, at: i64) {
        self.out
            .extend(time_fault(&format!("{}/{field}", self.at), at));
    }

    fn span(&mut self, from: &str, to: &str, span: Span) {
        let before = self.out.len();
        self.time(from, span[0]);
        self.time(to, span[1]);
        if self.out.len() == before {
            self.unless(span[0] <= span[1], to, "ends before it begins");
        }
    }
}
