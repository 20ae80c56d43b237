//! What has happened so far, as it is told (`day-record/1`).

use serde::Deserialize;
use serde_json::Value;

use crate::fault::Fault;
use crate::plan::{self, Plan};

/// The value of a record's `format` field.
pub const RECORD_FORMAT: &str = "day-record/1";

/// The last instant of a day, as of a crew's: over a hundred days.
pub(super) const LATEST_S: i64 = 10_000_000;

/// What has happened so far. For what it does not mention, what the plan says up to the moment holds.
///
/// As JSON: `{"format": "day-record/1", "visits": [{"visit": "c05-roll", "state": "running", "crew": "k1",
/// "way": 0, "start_s": 36000, "end_s": 37200, "watering_s": 37200}], "crews": [{"crew": "k2", "place": 3,
/// "free_s": 36900, "breaks_taken": 1}]}`. Only `visit` and `state`, and `crew`, must be there.
#[derive(Clone, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Record {
    /// Visits that went another way than planned.
    #[serde(default)]
    pub visits: Vec<Happened>,
    /// Crews that stand elsewhere than planned.
    #[serde(default)]
    pub crews: Vec<Stands>,
}

/// What became of a visit. What is left out is as planned.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Happened {
    /// Its id.
    pub visit: String,
    /// How far it is.
    pub state: State,
    /// The id of the crew that did it.
    #[serde(default)]
    pub crew: Option<String>,
    /// In which of its ways.
    #[serde(default)]
    pub way: Option<usize>,
    /// When it started, seconds.
    #[serde(default)]
    pub start_s: Option<i64>,
    /// When it ended or is to end, seconds.
    #[serde(default)]
    pub end_s: Option<i64>,
    /// When its watering started or is to start, seconds.
    #[serde(default)]
    pub watering_s: Option<i64>,
}

/// How far a visit is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum State {
    /// It has ended.
    Done,
    /// It has started, and will be finished.
    Running,
    /// It is still to be done, whatever the plan says.
    Waiting,
}

/// Where a crew stands. What is left out follows from the visits and the plan.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stands {
    /// Its id.
    pub crew: String,
    /// Where it comes free.
    #[serde(default)]
    pub place: Option<i64>,
    /// When it comes free, seconds; not before the end of what it is doing.
    #[serde(default)]
    pub free_s: Option<i64>,
    /// How many of its breaks it has had or is having.
    #[serde(default)]
    pub breaks_taken: Option<usize>,
}

impl Record {
    /// Reads a record; faults are named with `/record` in front.
    pub fn from_json(text: &str) -> Result<Self, Vec<Fault>> {
        read_object(text, "/record", RECORD_FORMAT).and_then(|value| read(&value, "/record"))
    }
}

/// Reads the plan that the day was begun with; a fault is named with `/plan` in front.
pub fn plan_from_json(text: &str) -> Result<Plan, Vec<Fault>> {
    let fault = |text: String| Fault {
        pointer: "/plan".to_owned(),
        text,
    };
    let value: Value =
        serde_json::from_str(text).map_err(|e| vec![fault(format!("not JSON: {e}"))])?;
    let plan: Plan = read(&value, "/plan")?;
    if plan.format == plan::FORMAT {
        Ok(plan)
    } else {
        Err(vec![Fault {
            pointer: "/plan/format".to_owned(),
            text: format!("must be \"{}\"", plan::FORMAT),
        }])
    }
}

/// The object of a file of this format, without the format.
pub(super) fn read_object(text: &str, at: &str, format: &str) -> Result<Value, Vec<Fault>> {
    let fault = |pointer: String, text: String| vec![Fault { pointer, text }];
    let mut value: Value =
        serde_json::from_str(text).map_err(|e| fault(at.to_owned(), format!("not JSON: {e}")))?;
    let Some(object) = value.as_object_mut() else {
        return Err(fault(at.to_owned(), "must be an object".to_owned()));
    };
    if object.remove("format").as_ref().and_then(Value::as_str) != Some(format) {
        return Err(fault(
            format!("{at}/format"),
            format!("must be \"{format}\""),
        ));
    }
    Ok(value)
}

/// A field's name as a part of a JSON pointer.
pub(super) fn escaped(field: &str) -> String {
    field.replace('~', "~0").replace('/', "~1")
}

/// Reads a value whose place is `at`.
pub(super) fn read<'de, T: Deserialize<'de>>(value: &'de Value, at: &str) -> Result<T, Vec<Fault>> {
    use serde_path_to_error::Segment;
    serde_path_to_error::deserialize(value).map_err(|e| {
        let mut parts = vec![at.to_owned()];
        for segment in e.path() {
            match segment {
                Segment::Seq { index } => parts.push(index.to_string()),
                Segment::Map { key } => {
                    parts.push(escaped(key));
                }
                Segment::Enum { .. } | Segment::Unknown => {}
            }
        }
        let pointer = parts.join("/");
        let text = e.into_inner().to_string();
        vec![Fault { pointer, text }]
    })
}

/// The fault of a time (or a sum) that is negative or beyond all days.
pub(super) fn time_fault(pointer: &str, at: i64) -> Option<Fault> {
    (!(0..=LATEST_S).contains(&at)).then(|| Fault {
        pointer: pointer.to_owned(),
        text: format!("must be from 0 to {LATEST_S}"),
    })
}
