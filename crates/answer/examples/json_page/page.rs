//! The page about JSON shapes, from their schemas.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use serde_json::{Map, Value};

const INTRODUCTION: &str = "\
# The JSON that stemwise reads and writes

<!-- Made from the schemas by `cargo run -p stemwise-answer --example json_page > docs/json.md`; a test compares them. -->

Every command takes `--json` and then prints one object on one line. Values are in SI units (K, Pa, kg, m³), pressures absolute
unless the field says gauge; text is UTF-8; numbers are printed with as many digits as it takes to read the same number again.
Fields may be added; those that are here stay. `stemwise schema NAME` prints the JSON Schema of a shape.

Where there is no answer, a `FailureAnswer` is printed instead, and the exit code is not 0 (see [command-line.md](command-line.md)).
A wrong option is reported as text on standard error.

## Properties in batch

`stemwise properties --batch` reads one `PropertyRequest` a line from standard input and writes one `PropertyAnswer` a line to standard
output, in the same order. Every line gets exactly one line: a line that is empty, not UTF-8, not JSON, not a request, or longer than
1 MiB gets an error line and the next goes on. `id` can be any JSON value and comes back letter for letter; it is `null` where it could
not be read. What is answered is written before more input is waited for. The exit code is 0 when every line was answered (errors
included) and 2 when the stream itself could not be read.

```json
{\"id\": 1, \"fluid\": \"R-134a\", \"given\": {\"T\": 300, \"rho\": 20}}
{\"id\": \"b\", \"fluid\": \"r290\", \"given\": {\"T\": 278.15, \"q\": 1}}
{\"id\": 3, \"mixture\": {\"R-32\": 0.689, \"R-1234yf\": 0.311}, \"basis\": \"mass\", \"given\": {\"p\": 1e6, \"h\": 450000}}
```

`given` holds two of `T`, `p`, `rho`, `h`, `s`, `u`, or one of `T` and `p` with `q`. Every pair is answered but for h with u, which fixes no
state of a thin gas (`unsupported-pair`). Of two states with the same temperature and enthalpy (or energy) the thinner one is meant. A
catalogued blend goes by its name as a fluid; a `mixture` of several components needs its `basis`, \"mass\" or \"mole\". Fractions sum to 1.
Enthalpy is 200 kJ/kg and entropy 1 kJ/(kg K) for the saturated liquid at 273.15 K, for a blend the liquid at its bubble point (fluids that
have none there: at 101325 Pa).
";

/// What prints or reads each shape.
const USED_BY: &[(&str, &str)] = &[
    ("check", "printed by `check --json`"),
    ("coverage", "printed by `coverage --json`"),
    (
        "evidence",
        "printed by `readings`, `faults`, `standing-test`, `vacuum`, `charge`, `air` and `recovery` with `--json`",
    ),
    ("envelope", "printed by `envelope --json`"),
    ("draw", "printed by `draw --json`"),
    ("drill", "printed by `drills FILE --json`"),
    ("drill-score", "printed by `drills FILE --run WAY --json`"),
    ("drills", "printed by `drills --json`"),
    ("examples", "printed by `examples --json`"),
    ("failure", "printed by every command with `--json` when there is no answer"),
    ("fluids", "printed by `properties --fluids --json`"),
    ("grades", "printed by `questions --reply --json` and `drills FILE --reply --json`"),
    ("job", "printed by `record --json`"),
    ("job-event", "one line of a job file; [job-file.md](job-file.md)"),
    ("joined", "printed by `joined --json`"),
    ("list", "printed by `list --json`"),
    ("plan", "printed by `plan --json`"),
    ("property-request", "read by `properties --batch`"),
    ("property-answer", "printed by `properties --batch`; its state also by `properties --json`"),
    ("questions", "printed by `questions --json`"),
    ("saturation", "printed by `saturation --at --json`"),
    ("saturation-table", "printed by `saturation --from --to --step --json`"),
    ("shift", "printed by `shift --json`"),
    ("slips", "printed by `slips --json`"),
    ("verify", "printed by `verify --json`"),
    ("why", "printed by `why --json`"),
];

pub(crate) fn page() -> String {
    let mut page = INTRODUCTION.to_owned();
    let mut shapes: BTreeMap<String, Value> = BTreeMap::new();
    page.push_str("\n## The shapes by name\n\n| name | shape | |\n| --- | --- | --- |\n");
    // The circuit file is no answer: docs/circuit-file.md is about it.
    for name in stemwise_answer::schema_names().into_iter().filter(|name| *name != "circuit") {
        let schema = stemwise_answer::schema(name).ok().and_then(|text| serde_json::from_str(&text).ok());
        let Some(Value::Object(mut schema)) = schema else { continue };
        let title = text(&schema, "title").to_owned();
        let used = USED_BY.iter().find(|(shape, _)| *shape == name).map_or("", |(_, used)| used);
        let _ = writeln!(page, "| `{name}` | {} | {used} |", link(&title));
        if let Some(Value::Object(inner)) = schema.remove("$defs") {
            shapes.extend(inner);
        }
        shapes.insert(title, Value::Object(schema));
    }
    page.push_str("\n## The shapes\n");
    for (name, schema) in &shapes {
        shape(&mut page, name, schema);
    }
    page
}

fn shape(page: &mut String, name: &str, schema: &Value) {
    let Some(schema) = schema.as_object() else { return };
    let _ = writeln!(page, "\n### {name}\n\n{}", text(schema, "description"));
    let one_of = schema.get("anyOf").or_else(|| schema.get("oneOf")).and_then(Value::as_array);
    if let Some(choices) = one_of {
        page.push_str("\nOne of:\n\n");
        for choice in choices.iter().filter_map(Value::as_object) {
            let fields = choice.get("properties").and_then(Value::as_object);
            let kind = match fields {
                Some(fields) => {
                    let names: Vec<String> =
                        sorted(fields).keys().map(|field| format!("`{field}`")).collect();
                    format!("an object with {}", names.join(", "))
                }
                None => kind(choice),
            };
            let _ = writeln!(page, "- {kind}: {}", text(choice, "description"));
        }
    }
    let Some(fields) = schema.get("properties").and_then(Value::as_object) else { return };
    let required: Vec<&str> = schema
        .get("required")
        .and_then(Value::as_array)
        .into_iter()
        .flatten()
        .filter_map(Value::as_str)
        .collect();
    page.push_str("\n| field | type | always there | |\n| --- | --- | --- | --- |\n");
    for (field, what) in sorted(fields) {
        let Some(what) = what.as_object() else { continue };
        let has_default = what.get("default").is_some_and(|default| !default.is_null());
        let always = required.contains(&field.as_str()) || has_default;
        // A field that may be null is left out instead.
        let kind = if always { kind(what) } else { kind(what).replace(" or null", "") };
        let always = if always { "yes" } else { "no" };
        let _ = writeln!(page, "| `{field}` | {kind} | {always} | {} |", text(what, "description"));
    }
}

/// By name: other crates of one build may have JSON objects keep the order in which they were written.
fn sorted(fields: &Map<String, Value>) -> BTreeMap<&String, &Value> {
    fields.iter().collect()
}

fn kind(schema: &Map<String, Value>) -> String {
    if let Some(name) = schema.get("$ref").and_then(Value::as_str) {
        return link(name.rsplit('/').next().unwrap_or(name));
    }
    if let Some(constant) = schema.get("const") {
        return format!("`{constant}`");
    }
    if let Some(choices) = schema.get("anyOf").and_then(Value::as_array) {
        let kinds: Vec<String> = choices.iter().filter_map(Value::as_object).map(kind).collect();
        return kinds.join(" or ");
    }
    match schema.get("type") {
        Some(Value::String(one)) => simple(one, schema),
        Some(Value::Array(several)) => {
            let kinds: Vec<String> =
                several.iter().filter_map(Value::as_str).map(|one| simple(one, schema)).collect();
            kinds.join(" or ")
        }
        _ => "anything".into(),
    }
}

fn simple(name: &str, schema: &Map<String, Value>) -> String {
    let inner =
        |key: &str| schema.get(key).and_then(Value::as_object).map_or_else(|| "anything".into(), kind);
    match name {
        "array" => format!("list of {}", inner("items")),
        "object" => format!("object of {}", inner("additionalProperties")),
        "string" => "text".into(),
        "boolean" => "true or false".into(),
        other => other.into(),
    }
}

fn text<'a>(schema: &'a Map<String, Value>, key: &str) -> &'a str {
    schema.get(key).and_then(Value::as_str).unwrap_or("").trim()
}

fn link(name: &str) -> String {
    format!("[{name}](#{})", name.to_lowercase())
}
