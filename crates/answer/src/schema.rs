//! The JSON Schemas of every shape, by name.

use crate::Error;

/// The names of all schemas.
pub fn schema_names() -> Vec<&'static str> {
    stemwise_wire::schemas().into_iter().map(|(name, _)| name).collect()
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
    let found = stemwise_wire::schemas().into_iter().find(|(known, _)| *known == name.trim());
    let unknown = || Error::UnknownSchema { name: name.chars().take(60).collect(), known: schema_names() };
    let (_, schema) = found.ok_or_else(unknown)?;
    serde_json::to_string_pretty(&schema).map_err(|_| unknown())
}
