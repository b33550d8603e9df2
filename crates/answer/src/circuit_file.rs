//! The circuit file's JSON Schema and the page about its keys, both made from the table of keys that the reader works with.

use serde_json::{Map, Value as Json, json};
use stemwise_circuit::{Key, SCHEMA, TABLES, Table, Value};

/// The JSON Schema (2020-12) of the circuit file, as the data that its TOML stands for.
///
/// It says what can be said of keys, kinds and types. What the reader knows beyond it (units, names that exist, walks that join up) it leaves
/// alone: what the reader takes without an error, the schema takes too.
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
    let required: Vec<&str> =
        table.keys.iter().filter(|key| key.required && key.kinds.is_empty()).map(|key| key.name).collect();
    let mut schema = json!({
        "type": "object",
        "description": table.doc,
        "properties": properties,
        "required": required,
        "additionalProperties": false,
    });
    let rules = kind_rules(table);
    if let (Some(schema), false) = (schema.as_object_mut(), rules.is_empty()) {
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
    json!({
        "if": {"properties": {"kind": {"enum": kinds}}, "required": ["kind"]},
        "then": {"required": required},
        "else": {"properties": refused},
    })
}

fn value_schema(key: &Key) -> Json {
    match key.value {
        Value::Text => json!({"type": "string"}),
        Value::Quantity(_) => quantity(),
        Value::Word(words) => json!({"type": "string", "enum": words}),
        Value::Range(_) => {
            json!({"type": "array", "items": quantity(), "minItems": 2, "maxItems": 2})
        }
        Value::Flag => json!({"type": "boolean"}),
        Value::Number if key.name == "schema" => json!({"const": SCHEMA}),
        Value::Number => json!({"type": "number", "exclusiveMinimum": 0}),
        Value::Names => json!({"type": "array", "items": {"type": "string"}, "minItems": 2}),
        Value::Table => inner_schema(key.name),
    }
}

/// Text with a number in it: every quantity has one, in digits.
fn quantity() -> Json {
    json!({"type": "string", "pattern": "[0-9]"})
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
        (true, "place") => json!({"type": "object", "additionalProperties": schema}),
        (true, _) => json!({
            "type": "object",
            "propertyNames": {"minLength": 1, "maxLength": 60, "pattern": "^[^.]*$"},
            "additionalProperties": schema,
        }),
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
        let doc = if table.name.is_empty() { String::new() } else { format!("{}\n\n", table.doc) };
        page.push_str(&format!("### {head}\n\n{doc}| key | value | meaning |\n| --- | --- | --- |\n"));
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
        Value::Table => "below".into(),
    }
}
