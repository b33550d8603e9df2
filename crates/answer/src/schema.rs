//! The JSON Schemas of every shape, by name.

use crate::Error;

/// The name of the circuit file's schema.
const CIRCUIT: &str = "circuit";

/// The names of all schemas: of the circuit file, and of every shape that goes in or out as JSON.
pub fn schema_names() -> Vec<&'static str> {
    let shapes = stemwise_wire::schemas().into_iter().map(|(name, _)| name);
    core::iter::once(CIRCUIT).chain(shapes).collect()
}

/// A schema, as JSON text.
///
/// # Errors
/// [`Error::UnknownSchema`] with the names there are.
///
/// ```
/// assert!(stemwise_answer::schema("plan")?.contains("hold_point"));
/// assert!(stemwise_answer::schema("planet").is_err());
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn schema(name: &str) -> Result<String, Error> {
    if name.trim() == CIRCUIT {
        return serde_json::to_string_pretty(&crate::circuit_schema()).map_err(|_| unknown(name));
    }
    let found = stemwise_wire::schemas().into_iter().find(|(known, _)| *known == name.trim());
    let (_, schema) = found.ok_or_else(|| unknown(name))?;
    serde_json::to_string_pretty(&schema).map_err(|_| unknown(name))
}

fn unknown(name: &str) -> Error {
    Error::UnknownSchema { name: name.chars().take(60).collect(), known: schema_names() }
}
