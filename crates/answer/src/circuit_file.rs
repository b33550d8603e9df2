//! The circuit file's JSON Schema and the page about its keys, both made from the table of keys that the reader works with.

use serde_json::{Map, Value as Json, json};
use stemwise_circuit::{Key, SCHEMA, TABLES, Table, Value};

/// The JSON Schema (2020-12) of the circuit file, as the data that its TOML stands for.
pub fn circuit_schema() -> Json {
    let mut top = table_schema(top_table());
    if let Some(schema) = top.as_object_mut() {
        schema.insert("$schema".into(), json!("https://json-schema.org/draft/2020-12/schema"));
        schema.insert("title".into(), json!("Stemwise circuit file"));
        schema.insert(
            "description".into(),
            json!(format!("Version {SCHEMA}. Quantities are text with their unit.")),
        );
    }
    top
}

fn top_table() -> &'static Table {
    TABLES.iter().find(|table| table.name.is_empty()).unwrap_or(&TABLES[0])
}

fn table_schema(table: &Table) -> Json {
    let mut properties = Map::new();
    for key in table.keys {
        let mut schema = value_schema(key);
        if let Some(object) = schema.as_object_mut() {
            object.insert("description".into(), json!(describe(key)));
        }
        properties.insert(key.name.into(), schema);
    }
    let required: Vec<&str> = table.keys.iter().filter(|key| key.required).map(|key| key.name).collect();
    json!({
        "type": "object",
        "description": table.doc,
        "properties": properties,
        "required": required,
        "additionalProperties": false,
    })
}

fn value_schema(key: &Key) -> Json {
    match key.value {
        Value::Text | Value::Quantity(_) => json!({"type": "string"}),
        Value::Word(words) => json!({"type": "string", "enum": words}),
        Value::Range(_) => {
            json!({"type": "array", "items": {"type": "string"}, "minItems": 2, "maxItems": 2})
        }
        Value::Flag => json!({"type": "boolean"}),
        Value::Number if key.name == "schema" => json!({"const": SCHEMA}),
        Value::Number => json!({"type": "number"}),
        Value::Names => json!({"type": "array", "items": {"type": "string"}, "minItems": 2}),
        Value::Table => inner_schema(key.name),
    }
}

/// A table inside the top of the file: one, several by name, or a list.
fn inner_schema(name: &str) -> Json {
    let Some(table) = TABLES.iter().find(|table| table.name == name) else {
        return json!({"type": "object"});
    };
    let schema = table_schema(table);
    match (table.many, name) {
        (false, _) => schema,
        (true, "walk") => json!({"type": "array", "items": schema}),
        (true, _) => json!({"type": "object", "additionalProperties": schema}),
    }
}

fn describe(key: &Key) -> String {
    let kinds = if key.kinds.is_empty() { String::new() } else { format!(" For: {}.", key.kinds.join(", ")) };
    let what = match key.value {
        Value::Quantity(what) => format!(" {what}, with its unit.").replacen(" a", " A", 1),
        Value::Range(what) => format!(" Two of: {what}, with its unit."),
        _ => String::new(),
    };
    format!("{}{what}{kinds}", key.doc)
}

/// The tables of keys of `docs/circuit-file.md`.
pub fn circuit_keys_page() -> String {
    let mut page = String::new();
    for table in TABLES {
        let head = match (table.name, table.many) {
            ("", _) => "The top of the file".to_owned(),
            ("walk", _) => "`[[walk]]`".to_owned(),
            (name, true) => format!("`[{name}.NAME]`"),
            (name, false) => format!("`[{name}]`"),
        };
        page.push_str(&format!(
            "### {head}\n\n{}\n\n| key | value | meaning |\n| --- | --- | --- |\n",
            table.doc
        ));
        for key in table.keys {
            let must = if key.required { " (must be there)" } else { "" };
            let kinds =
                if key.kinds.is_empty() { String::new() } else { format!(" For: {}.", key.kinds.join(", ")) };
            page.push_str(&format!(
                "| `{}`{must} | {} | {}{kinds} |\n",
                key.name,
                value_words(key.value),
                key.doc
            ));
        }
        page.push('\n');
    }
    page
}

fn value_words(value: Value) -> String {
    match value {
        Value::Text => "text".into(),
        Value::Word(words) => words.join(", "),
        Value::Quantity(what) => what.into(),
        Value::Range(what) => format!("two values: {what}"),
        Value::Flag => "true or false".into(),
        Value::Number => "a number".into(),
        Value::Names => "a list of names".into(),
        Value::Table => "a table".into(),
    }
}
