//! Nothing a client sends makes the service fail: every member of every body is tried with what
//! nobody expects.

use serde_json::{Value, json};

use crate::support::{Ground, House, Operation, on_both_engines};

/// A whole body of a schema, each member with something that reads.
fn sample(document: &Value, schema: &Value) -> Value {
    if let Some(target) = schema["$ref"].as_str() {
        let name = target.rsplit('/').next().unwrap_or_default();
        return sample(document, &document["components"]["schemas"][name]);
    }
    if let Some(parts) = schema["allOf"].as_array() {
        let mut whole = json!({});
        for part in parts {
            let part = sample(document, part);
            let members = part
                .as_object()
                .expect("parts of an object are objects")
                .clone();
            whole.as_object_mut().expect("an object").extend(members);
        }
        return whole;
    }
    let choices = schema["oneOf"]
        .as_array()
        .or_else(|| schema["anyOf"].as_array());
    if let Some(choices) = choices {
        let some = choices.iter().find(|choice| choice["type"] != "null");
        return sample(document, some.expect("something else than null"));
    }
    if let Some(words) = schema["enum"].as_array() {
        return words[0].clone();
    }
    let kind = match &schema["type"] {
        Value::Array(kinds) => kinds
            .iter()
            .find(|kind| **kind != "null")
            .cloned()
            .unwrap_or_default(),
        kind => kind.clone(),
    };
    match (kind.as_str(), schema["format"].as_str()) {
        (Some("integer"), _) => json!(schema["minimum"].as_i64().unwrap_or(1).max(1)),
        (Some("boolean"), _) => json!(true),
        (Some("string"), Some("date-time")) => json!("2031-06-10T08:30:00Z"),
        (Some("string"), Some("date")) => json!("2031-06-10"),
        (Some("string"), _) => json!("text"),
        (Some("array"), _) => json!([sample(document, &schema["items"])]),
        (Some("object"), _) => {
            let members = schema["properties"].as_object().into_iter().flatten();
            members
                .map(|(name, member)| (name.clone(), sample(document, member)))
                .collect()
        }
        other => panic!("say here what a body of {other:?} may be: {schema}"),
    }
}

/// Puts the ids of rows that are there in place of the sample's, and leaves out what only goes with
/// another choice, so that the body as it is would be taken.
fn as_taken(body: &mut Value, ground: &Ground) {
    match body {
        Value::Object(members) => {
            for (name, member) in members {
                match name.as_str() {
                    "person_id" => *member = json!(ground.dear),
                    "material_id" => *member = json!(ground.bags),
                    "tool_id" => *member = json!(ground.drag),
                    "wear_part_id" => *member = json!(ground.brush),
                    "court_id" => *member = json!(ground.courts[0]),
                    "crew_id" => *member = json!(ground.crew),
                    "started_at" | "ended_at" | "until" => *member = Value::Null,
                    "reason" if *member == "text" => *member = Value::Null,
                    _ => as_taken(member, ground),
                }
            }
        }
        Value::Array(items) => items.iter_mut().for_each(|item| as_taken(item, ground)),
        _ => {}
    }
}

/// The JSON pointers of everything in a value.
fn pointers(value: &Value, at: &str, found: &mut Vec<String>) {
    found.push(at.to_owned());
    match value {
        Value::Object(members) => {
            for (name, member) in members {
                pointers(member, &format!("{at}/{name}"), found);
            }
        }
        Value::Array(items) => {
            for (index, item) in items.iter().enumerate() {
                pointers(item, &format!("{at}/{index}"), found);
            }
        }
        _ => {}
    }
}

/// What to put where something stood.
fn surprises(stood: &Value) -> Vec<Value> {
    let mut all = vec![Value::Null];
    all.extend(match stood {
        Value::Number(_) => vec![
            json!(0),
            json!(-1),
            json!(i64::MAX),
            json!(i64::MIN),
            json!(u64::MAX),
            json!(1.5),
        ],
        Value::String(text) if text.ends_with('Z') => vec![
            json!(""),
            json!("0000-01-01T00:00:00Z"),
            json!("9999-12-31T23:59:59Z"),
            json!("+262000-01-01T00:00:00Z"),
            json!("-262000-01-01T00:00:00Z"),
            json!("2031-06-10T08:30:60Z"),
            json!("2031-06-10T08:30:00+14:00"),
        ],
        Value::String(text) if text.starts_with("2031") => vec![
            json!("0000-01-01"),
            json!("9999-12-31"),
            json!("+262000-01-01"),
            json!("-262000-01-01"),
        ],
        Value::String(_) => vec![
            json!(""),
            json!(" "),
            json!("\u{0}"),
            json!("é\u{202e}\u{1f3be}"),
            json!("x".repeat(100_000)),
        ],
        Value::Array(items) => vec![
            json!([]),
            Value::Array(vec![items[0].clone(); 3]),
            json!({}),
        ],
        Value::Object(_) => vec![json!({}), json!([])],
        Value::Bool(_) | Value::Null => vec![json!(1)],
    });
    all
}

fn path_of(house: &House, ground: &Ground, operation: &Operation) -> String {
    operation.path_at(house.set_up.site_id, |name| match name {
        "order_id" => ground.db_issue_plain(house).to_string(),
        _ => "1".to_owned(),
    })
}

on_both_engines! {
    async fn nothing_in_a_body_makes_the_service_fail(house) {
        let ground = Ground::db_lay(house);
        let manager = house.manager().await;
        let document = manager.get("/api/openapi.json").await.expect(200);
        let mut failures = Vec::new();
        let mut asked = 0;
        for operation in Operation::all(&house.nobody()).await {
            let schema = &operation.said["requestBody"]["content"]["application/json"]["schema"];
            if !schema.is_object() {
                continue;
            }
            let mut body = sample(&document, schema);
            as_taken(&mut body, &ground);
            let mut places = Vec::new();
            pointers(&body, "", &mut places);
            for place in places {
                let stood = body.pointer(&place).expect("it stands there");
                for surprise in surprises(stood) {
                    let mut told = body.clone();
                    *told.pointer_mut(&place).expect("it stands there") = surprise;
                    let path = path_of(house, &ground, &operation);
                    let tag = manager.get(&path).await.header("etag").unwrap_or("\"1\"").to_owned();
                    let key = uuid::Uuid::new_v4().to_string();
                    let headers = [("idempotency-key", key.as_str()), ("if-match", tag.as_str())];
                    let answer = manager.send(operation.method.clone(), &path, &headers, Some(&told)).await;
                    asked += 1;
                    if answer.status.is_server_error() {
                        let told: String = told.to_string().chars().take(400).collect();
                        failures.push(format!("{} {place}: {told}: {}", operation.id, answer.text));
                    }
                }
            }
        }
        assert!(failures.is_empty(), "{}", failures.join("\n"));
        assert!(asked > 100, "{asked} requests");
    }
}
