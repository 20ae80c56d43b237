//! JSON mangled at random, as files are that were edited by hand, cut short or written by another program.

use serde_json::{Value, json};

use super::properties::Dice;

/// What no JSON value of this program can hold, put into the text where the value is this one.
const TOKEN: &str = "<token>";

/// Numbers and texts at the edge of JSON and beyond it.
const TOKENS: [&str; 16] = [
    "1e400",
    "-1e400",
    "1e2",
    "2.0",
    "-0",
    "18446744073709551616",
    "-9223372036854775809",
    "01",
    "NaN",
    r#""\ud800""#,
    r#""\udc00\ud800""#,
    r#""\u0000""#,
    r#""\x""#,
    "\"\n\"",
    "",
    "<deep>",
];

/// The JSON pointer of every value in a JSON value, its own first.
fn pointers(value: &Value) -> Vec<String> {
    let mut out = vec![String::new()];
    let mut add = |key: &str, value: &Value| {
        let key = key.replace('~', "~0").replace('/', "~1");
        out.extend(pointers(value).iter().map(|p| format!("/{key}{p}")));
    };
    match value {
        Value::Object(fields) => fields.iter().for_each(|(key, v)| add(key, v)),
        Value::Array(list) => {
            for (i, v) in list.iter().enumerate() {
                add(&i.to_string(), v);
            }
        }
        _ => {}
    }
    out
}

fn strange(d: &mut Dice) -> Value {
    let deep = (0..40).fold(json!(1), |inside, _| json!([inside]));
    d.one_of(&[
        json!(null),
        json!(true),
        json!(-1),
        json!(0),
        json!(1),
        json!(3),
        json!(40),
        json!(1.5),
        json!(1e300),
        json!(9_999_999),
        json!(10_000_001),
        json!(1_000_000_000_000_i64),
        json!(1_000_000_000_001_i64),
        json!(i64::MIN),
        json!(i64::MAX),
        json!(u64::MAX),
        json!(""),
        json!("12"),
        json!("crew ~0/1 \u{202e}\u{0}"),
        json!([]),
        json!([0, 0]),
        json!([9, 2]),
        json!([0, 1_000_000_000_000_i64]),
        json!([[]]),
        json!({}),
        json!({"": 1, "a/b~": [2]}),
        deep,
    ])
}

fn at<'v>(value: &'v mut Value, pointer: &str) -> &'v mut Value {
    value.pointer_mut(pointer).expect("a pointer into it")
}

/// Takes the value at the pointer out of what holds it.
fn take_out(value: &mut Value, pointer: &str) {
    let Some((parent, key)) = pointer.rsplit_once('/') else {
        return;
    };
    let key = key.replace("~1", "/").replace("~0", "~");
    match at(value, parent) {
        Value::Object(fields) => drop(fields.remove(&key)),
        Value::Array(list) => drop(list.remove(key.parse().expect("an index"))),
        _ => {}
    }
}

/// Doubles the value in the list that holds it.
fn double(value: &mut Value, pointer: &str) {
    let copy = at(value, pointer).clone();
    if let Some((parent, _)) = pointer.rsplit_once('/')
        && let Value::Array(list) = at(value, parent)
    {
        list.push(copy);
    }
}

fn mangle(d: &mut Dice, value: &mut Value) {
    let all = pointers(value);
    let (here, there) = (d.one_of(&all), d.one_of(&all));
    let other = at(value, &there).clone();
    match d.up_to(7) {
        0 => take_out(value, &here),
        1 | 2 => *at(value, &here) = strange(d),
        3 => double(value, &here),
        4 => match at(value, &here) {
            Value::Object(fields) => drop(fields.insert("more/~".to_owned(), other)),
            Value::String(text) => text.push_str(d.one_of(&["", " ", "1", "\u{301}"])),
            Value::Number(n) => {
                let off = d.one_of(&[-20, -1, 1, 20]);
                *at(value, &here) = json!(n.as_i64().unwrap_or(0).saturating_add(off));
            }
            _ => {}
        },
        5 => *at(value, &here) = json!(TOKEN),
        6 => *at(value, &here) = other,
        _ if !here.starts_with(&there) && !there.starts_with(&here) => {
            let one = std::mem::take(at(value, &here));
            *at(value, &there) = one;
            *at(value, &here) = other;
        }
        _ => {}
    }
}

/// The value's text, mangled so many times anywhere; it may or may not be JSON.
pub(super) fn mangled(d: &mut Dice, mut value: Value, times: i64) -> String {
    for _ in 0..times {
        mangle(d, &mut value);
    }
    let deep = d.one_of(&[20, 120, 130, 100_000]);
    let deep = "[".repeat(deep) + &"]".repeat(deep);
    let token = d.one_of(&TOKENS).replace("<deep>", &deep);
    let mut text = value.to_string().replace(&json!(TOKEN).to_string(), &token);
    if d.often(6) && !text.is_empty() {
        let all: Vec<usize> = text.char_indices().map(|(i, _)| i).collect();
        let cut = d.one_of(&all);
        match d.up_to(2) {
            0 => text.truncate(cut),
            1 => drop(text.remove(cut)),
            _ => text.insert_str(cut, d.one_of(&[",", "\"", "}", "\u{feff}", "{\"a\":", "9"])),
        }
    }
    text
}

/// Puts numbers at the edge of what the form allows, and a little beyond, in place of so many.
pub(super) fn stretch(d: &mut Dice, value: &mut Value, times: i64) {
    let mut all = pointers(value);
    all.retain(|p| value.pointer(p).is_some_and(Value::is_number));
    if all.is_empty() {
        return;
    }
    for _ in 0..times {
        let most = d.one_of(&[
            10_i64.pow(7),
            10_i64.pow(10),
            10_i64.pow(12),
            10_000,
            1,
            100,
        ]);
        let number = most - d.one_of(&[0, 0, 1, -1, most / 2, most]);
        *at(value, &d.one_of(&all)) = json!(number);
    }
}

/// The pointer names something in the value, or a field that an object or a list of it may have.
pub(super) fn names_a_place(value: &Value, pointer: &str) -> bool {
    let parent = pointer.rsplit_once('/').map(|(parent, _)| parent);
    let holds = |parent: &str| {
        let holder = value.pointer(parent);
        holder.is_some_and(|v| v.is_object() || v.is_array())
    };
    value.pointer(pointer).is_some() || parent.is_some_and(holds)
}
