//! How a word of the trade's lists reads in the API's document: the ground floor knows nothing of it.

use utoipa::openapi::ObjectBuilder;
use utoipa::openapi::schema::{Object, SchemaType, Type};

/// One of these words, or null, with what it says.
pub fn word_or_null(says: &str, words: impl IntoIterator<Item = &'static str>) -> Object {
    let words = words.into_iter().map(serde_json::Value::from);
    ObjectBuilder::new()
        .schema_type(SchemaType::from_iter([Type::String, Type::Null]))
        .description(Some(says))
        .enum_values(Some(words.chain([serde_json::Value::Null])))
        .build()
}

/// One of these words, with what it says.
pub fn word(says: &str, words: impl IntoIterator<Item = &'static str>) -> Object {
    ObjectBuilder::new()
        .schema_type(Type::String)
        .description(Some(says))
        .enum_values(Some(words))
        .build()
}
