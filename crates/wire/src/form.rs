//! A form for a piece of evidence: what can be filled in, for a face that shows it.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

/// What was filled in: a field's id and its texts, as typed. Fields that are empty count as left out.
pub type Filled = BTreeMap<String, Vec<String>>;

/// A form.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct EvidenceForm {
    /// As in [`EvidenceAnswer::kind`](crate::EvidenceAnswer::kind).
    pub kind: String,
    /// The question that it answers.
    pub question: String,
    /// How the measurement is made, in a sentence or two.
    pub how: String,
    /// Its parts, in the order in which they are filled in.
    pub parts: Vec<FormPart>,
    /// The columns that a log may bring; empty where none is taken.
    pub columns: Vec<FormColumn>,
}

/// A part of a form.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct FormPart {
    /// Its heading.
    pub title: String,
    /// Whether it is seldom needed.
    pub seldom: bool,
    /// Its fields.
    pub fields: Vec<FormField>,
}

/// A field.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct FormField {
    /// Its id in [`Filled`].
    pub id: String,
    /// What it is called.
    pub label: String,
    /// How it is filled in.
    pub entry: FormEntry,
    /// What could stand there, in the units of whoever asked.
    pub example: String,
}

/// How a field is filled in.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FormEntry {
    /// One text.
    Text,
    /// One of these, or nothing.
    Choice(Vec<FormChoice>),
    /// Readings over time, each text "TIME=VALUE".
    Series,
}

/// One of several.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct FormChoice {
    /// What stands in the field then.
    pub id: String,
    /// What it is called.
    pub label: String,
}

/// A column that a log may bring. In [`Filled`] `column.ID` names the header and `unit.ID` the unit where the header does not.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct FormColumn {
    /// Its id.
    pub id: String,
    /// What it is called.
    pub label: String,
    /// A unit that such a column may have, in the units of whoever asked.
    pub unit: String,
}
