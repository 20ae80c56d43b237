//! A problem's text, read so far that its form can be judged.
//!
//! The fields are kept as JSON values, all but `travel_s`: as values its entries would take 32 bytes each and
//! more, and of a large day they are most of the text. So its rows are read one at a time, each straight into
//! integers. Read like this a day of 2,000 visits and 802 places took 25 MB at its peak, its text of 4.4 MB
//! included, where it had taken 44; the matrix itself is 5.

use std::fmt;

use serde::de::{Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Value};

use crate::fault::Fault;

/// What an object's keys stand for.
pub(crate) type Object = Map<String, Value>;

/// The field that is read apart.
const TRAVEL: &str = "travel_s";

/// An object read from text, its form not yet judged.
#[derive(Debug, Default)]
pub(crate) struct Raw {
    /// Every field but `travel_s`.
    pub fields: Object,
    pub travel: Travel,
}

/// The rows of `travel_s` as far as they are lists of integers; none where it is no list at all.
#[derive(Debug, Default, PartialEq)]
pub(crate) struct Travel {
    /// A row that is no list is empty, which no row of a matrix is.
    pub rows: Vec<Vec<i64>>,
    /// Row and column, ascending, of what is no integer; a 0 stands there.
    pub strange: Vec<(usize, usize)>,
}

impl Raw {
    /// Reads the text of an object. Anything else is one fault at the root.
    pub fn from_json(text: &str) -> Result<Self, Fault> {
        if let Ok(raw) = serde_json::from_str(text) {
            return Ok(raw);
        }
        // What is wrong with it, a reading of the whole says best. It may also be as little as a matrix that is
        // no list, which is a fault like others.
        match serde_json::from_str(text) {
            Ok(Value::Object(mut fields)) => Ok(Self {
                travel: Travel::of(fields.remove(TRAVEL)),
                fields,
            }),
            Ok(_) => Err(Fault::at_root("must be an object".to_owned())),
            Err(e) => Err(Fault::at_root(format!("not JSON: {e}"))),
        }
    }

    /// The fields with an empty matrix in place of the one read apart, and that one.
    pub fn into_parts(mut self) -> (Value, Vec<Vec<i64>>) {
        self.fields
            .insert(TRAVEL.to_owned(), Value::Array(Vec::new()));
        (Value::Object(self.fields), self.travel.rows)
    }
}

impl Travel {
    /// From a value.
    pub fn of(value: Option<Value>) -> Self {
        let mut travel = Self::default();
        if let Some(Value::Array(rows)) = value {
            for row in rows {
                travel.push(&row);
            }
        }
        travel
    }

    fn push(&mut self, row: &Value) {
        let i = self.rows.len();
        let entries = row.as_array().map_or(&[][..], Vec::as_slice);
        let integers = entries.iter().enumerate().map(|(j, x)| {
            integer(x).unwrap_or_else(|| {
                self.strange.push((i, j));
                0
            })
        });
        self.rows.push(integers.collect());
    }
}

/// The integer that a value is.
pub(crate) fn integer(value: &Value) -> Option<i64> {
    // What is an integer but does not fit is far above every limit.
    value.as_i64().or_else(|| value.as_u64().map(|_| i64::MAX))
}

impl<'de> Deserialize<'de> for Raw {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct Fields;
        impl<'de> Visitor<'de> for Fields {
            type Value = Raw;

            fn expecting(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
                to.write_str("an object")
            }

            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Raw, A::Error> {
                let mut raw = Raw::default();
                // As in any object, of two values with one key the last counts.
                while let Some(key) = map.next_key::<String>()? {
                    if key == TRAVEL {
                        raw.travel = map.next_value()?;
                    } else {
                        raw.fields.insert(key, map.next_value()?);
                    }
                }
                Ok(raw)
            }
        }
        from.deserialize_map(Fields)
    }
}

impl<'de> Deserialize<'de> for Travel {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct Rows;
        impl<'de> Visitor<'de> for Rows {
            type Value = Travel;

            fn expecting(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
                to.write_str("a list of rows")
            }

            fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Travel, A::Error> {
                let mut travel = Travel::default();
                while let Some(row) = seq.next_element()? {
                    travel.push(&row);
                }
                Ok(travel)
            }
        }
        from.deserialize_seq(Rows)
    }
}
