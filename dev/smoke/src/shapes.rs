//! `wire`: the schemas, and a request read and written again.

use stemwise_wire::{PropertyRequest, schemas};

use crate::report::Report;

pub(crate) fn write(report: &mut Report) {
    for (name, schema) in schemas() {
        match serde_json::to_string(&schema) {
            Ok(text) => report.digest(name, &text),
            Err(error) => report.line(&format!("{name}: error: {error}")),
        }
    }
    let line = r#"{"id":7,"fluid":"R-134a","given":{"T":273.15,"rho":14.4280001}}"#;
    let again =
        serde_json::from_str::<PropertyRequest>(line).and_then(|request| serde_json::to_string(&request));
    report.line(&again.unwrap_or_else(|error| format!("error: {error}")));
}
