//! The JSON Schema of the circuit file, from the reader's own table of keys.
//!
//! It says what can be said of keys and types. What the reader knows beyond it (units, names that exist, walks that join up) it leaves alone,
//! so whatever the reader takes without an error, the schema takes too.

use serde_json::{Map, Value as Json, json};
use stemwise_circuit::{Key, SCHEMA, TABLES, Table, Value};

/// The schema as committed.
pub(crate) fn text() -> String {
    let mut text = serde_json::to_string_pretty(&schema()).unwrap_or_default();
    text.push('\n');
    text
}

fn schema() -> Json {
    let mut schema = Map::new();
    schema.insert("$schema".into(), json!("https://json-schema.org/draft/2020-12/schema"));
    schema.insert("title".into(), json!("Stemwise circuit file"));
    let top = TABLES.iter().find(|table| table.name.is_empty());
    schema.extend(top.map(table).unwrap_or_default());
    Json::Object(schema)
}

fn table(table: &Table) -> Map<String, Json> {
    let required: Vec<&str> =
        table.keys.iter().filter(|key| key.required && key.kinds.is_empty()).map(|key| key.name).collect();
    let properties: Map<String, Json> =
        table.keys.iter().map(|key| (key.name.to_owned(), property(table, key))).collect();
    let mut schema = Map::new();
    schema.insert("description".into(), json!(table.doc));
    schema.insert("type".into(), json!("object"));
    schema.insert("properties".into(), Json::Object(properties));
    schema.insert("required".into(), json!(required));
    schema.insert("additionalProperties".into(), json!(false));
    let rules = kind_rules(table);
    if !rules.is_empty() {
        schema.insert("allOf".into(), Json::Array(rules));
    }
    schema
}

/// One rule for each group of keys that belong to the same kinds.
fn kind_rules(table: &Table) -> Vec<Json> {
    let mut groups: Vec<(&[&str], Vec<&Key>)> = Vec::new();
    for key in table.keys.iter().filter(|key| !key.kinds.is_empty()) {
        match groups.iter_mut().find(|(kinds, _)| *kinds == key.kinds) {
            Some((_, keys)) => keys.push(key),
            None => groups.push((key.kinds, vec![key])),
        }
    }
    groups.into_iter().map(|(kinds, keys)| kind_rule(kinds, &keys)).collect()
}

fn kind_rule(kinds: &[&str], keys: &[&Key]) -> Json {
    let refused: Map<String, Json> = keys.iter().map(|key| (key.name.to_owned(), json!(false))).collect();
    let required: Vec<&str> = keys.iter().filter(|key| key.required).map(|key| key.name).collect();
    let mut rule = json!({
        "if": { "properties": { "kind": { "enum": kinds } }, "required": ["kind"] },
        "else": { "properties": refused },
    });
    if !required.is_empty() {
        rule["then"] = json!({ "required": required });
    }
    rule
}

fn property(table: &Table, key: &Key) -> Json {
    let mut schema = match key.value {
        Value::Number if key.name == "schema" => json!({ "const": SCHEMA }),
        Value::Number => json!({ "type": "number", "exclusiveMinimum": 0 }),
        Value::Text => json!({ "type": "string" }),
        Value::Word(words) => json!({ "enum": words }),
        Value::Quantity(_) => quantity(),
        Value::Range(_) => json!({ "type": "array", "items": quantity(), "minItems": 2, "maxItems": 2 }),
        Value::Flag => json!({ "type": "boolean" }),
        Value::Names => json!({ "type": "array", "items": { "type": "string" }, "minItems": 2 }),
        Value::Table => inner(key.name),
    };
    schema["description"] = json!(description(table, key));
    schema
}

/// Text with a number in it: every quantity has one, in digits.
fn quantity() -> Json {
    json!({ "type": "string", "pattern": "[0-9]" })
}

fn description(table: &Table, key: &Key) -> String {
    let what = match key.value {
        Value::Quantity(what) => format!(" {}, with its unit.", capital(what)),
        Value::Range(what) => format!(" Each is {what}, with its unit; the lower first."),
        _ => String::new(),
    };
    let kinds = if key.kinds.is_empty() {
        String::new()
    } else {
        format!(" Only for a {} of kind: {}.", table.name, key.kinds.join(", "))
    };
    format!("{}{what}{kinds}", key.doc)
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A table in the file: itself, a list of them, or several by name.
fn inner(name: &str) -> Json {
    let Some(found) = TABLES.iter().find(|table| table.name == name) else { return json!({}) };
    let one = Json::Object(table(found));
    match (found.many, name) {
        (false, _) => one,
        (true, "walk") => json!({ "type": "array", "items": one }),
        (true, "place") => json!({ "type": "object", "additionalProperties": one }),
        (true, _) => json!({
            "type": "object",
            "propertyNames": { "minLength": 1, "maxLength": 60, "pattern": "^[^.]*$" },
            "additionalProperties": one,
        }),
    }
}
