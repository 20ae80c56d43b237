//! What is answered is what the document says: every member, its type and its words.

use std::collections::BTreeSet;

use reqwest::Method;
use serde_json::Value;

use crate::support::{Operation, db_planned_order, on_both_engines};

/// The schema behind a pointer into the document.
fn resolve<'a>(document: &'a Value, schema: &'a Value) -> &'a Value {
    match schema["$ref"].as_str() {
        Some(target) => {
            let name = target.rsplit('/').next().unwrap_or_default();
            resolve(document, &document["components"]["schemas"][name])
        }
        None => schema,
    }
}

/// The members of an object's schema, those of the schemas it is put together from included.
fn members(document: &Value, schema: &Value) -> Vec<(String, Value)> {
    let schema = resolve(document, schema);
    let own = schema["properties"].as_object().into_iter().flatten();
    let mut all: Vec<_> = own
        .map(|(name, member)| (name.clone(), member.clone()))
        .collect();
    for part in schema["allOf"].as_array().into_iter().flatten() {
        all.extend(members(document, part));
    }
    all
}

/// Where a value is not what its schema says.
fn misfits(document: &Value, schema: &Value, value: &Value, at: &str) -> Vec<String> {
    let schema = resolve(document, schema);
    let choices = schema["oneOf"]
        .as_array()
        .or_else(|| schema["anyOf"].as_array());
    if let Some(choices) = choices {
        let fits = choices
            .iter()
            .any(|choice| misfits(document, choice, value, at).is_empty());
        return if fits {
            Vec::new()
        } else {
            vec![format!("{at}: {value} is none of the choices")]
        };
    }
    if let Some(words) = schema["enum"].as_array() {
        return if words.contains(value) {
            Vec::new()
        } else {
            vec![format!("{at}: {value} is none of {words:?}")]
        };
    }
    let kind = match value {
        Value::Null => "null",
        Value::Bool(_) => "boolean",
        Value::Number(number) if number.is_i64() => "integer",
        Value::Number(_) => "number",
        Value::String(_) => "string",
        Value::Array(_) => "array",
        Value::Object(_) => "object",
    };
    let composed = schema["allOf"].is_array();
    let said = &schema["type"];
    let may_be = said == kind
        || said
            .as_array()
            .is_some_and(|kinds| kinds.iter().any(|k| k == kind));
    let put_together = composed && kind == "object";
    if !may_be && !put_together {
        return vec![format!("{at}: {value} is no {said}")];
    }
    match value {
        Value::Array(items) => items
            .iter()
            .enumerate()
            .flat_map(|(index, item)| {
                misfits(document, &schema["items"], item, &format!("{at}/{index}"))
            })
            .collect(),
        Value::Object(got) if !schema["additionalProperties"].is_null() => {
            let any = &schema["additionalProperties"];
            let of_each = got.iter().filter(|_| any.is_object());
            of_each
                .flat_map(|(name, value)| misfits(document, any, value, &format!("{at}/{name}")))
                .collect()
        }
        Value::Object(got) => {
            let said = members(document, schema);
            let mut wrong: Vec<_> = said
                .iter()
                .filter_map(|(name, member)| Some((name, member, got.get(name)?)))
                .flat_map(|(name, member, value)| {
                    misfits(document, member, value, &format!("{at}/{name}"))
                })
                .collect();
            let names: BTreeSet<_> = said.iter().map(|(name, _)| name).collect();
            let came: BTreeSet<_> = got.keys().collect();
            if names != came {
                wrong.push(format!("{at}: {came:?} came, {names:?} are said"));
            }
            wrong
        }
        _ => Vec::new(),
    }
}

on_both_engines! {
    async fn what_can_be_read_is_as_the_document_says(house) {
        db_planned_order(house);
        let owner = house.owner().await;
        let document = owner.get("/api/openapi.json").await.expect(200);
        let mut wrong = Vec::new();
        let (mut seen, mut rows) = (0, 0);
        for operation in Operation::all(&house.nobody()).await {
            let schema = &operation.said["responses"]["200"]["content"]["application/json"]["schema"];
            if operation.method != Method::GET || !schema.is_object() {
                continue;
            }
            let path = operation.path_at(house.set_up.site_id, |_| "1".to_owned());
            let target = format!("{path}?{}", operation.needed_query_text());
            let answer = owner.get(&target).await;
            if answer.status == 404 {
                continue;
            }
            let body = answer.expect(200);
            seen += 1;
            rows += body["items"].as_array().map_or(0, Vec::len);
            wrong.extend(misfits(&document, schema, &body, &operation.id));
        }
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
        assert!(seen > 10 && rows > 20, "{seen} answers with {rows} rows");
    }
}

#[test]
fn a_wrong_word_type_or_member_is_told_from_a_right_one() {
    let document: Value = serde_json::from_str(
        r#"{ "components": { "schemas": { "Word": { "type": "string", "enum": ["one", "two"] } } } }"#,
    )
    .unwrap();
    let schema: Value = serde_json::from_str(
        r##"{ "type": "object", "properties": {
            "word": { "$ref": "#/components/schemas/Word" },
            "count": { "type": ["integer", "null"] } } }"##,
    )
    .unwrap();
    let faults =
        |text: &str| misfits(&document, &schema, &serde_json::from_str(text).unwrap(), "").len();
    assert_eq!(faults(r#"{ "word": "one", "count": null }"#), 0);
    assert_eq!(faults(r#"{ "word": "three", "count": 1 }"#), 1);
    assert_eq!(faults(r#"{ "word": "one", "count": "1" }"#), 1);
    assert_eq!(faults(r#"{ "word": "one" }"#), 1);
    assert_eq!(faults(r#"{ "word": "one", "count": 1, "more": 1 }"#), 1);
}
