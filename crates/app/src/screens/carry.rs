//! What comes next? A job as it is carried out.

use leptos::prelude::*;

use crate::desk::Card;

/// Jobs under way.
#[component]
pub(crate) fn UnderWay() -> impl IntoView {}

/// Begins to carry a procedure out.
#[component]
pub(crate) fn Begin(card: Card, job: String, file: String) -> impl IntoView {
    let _ = (card, job, file);
}

/// Begins with an edited procedure.
#[component]
pub(crate) fn BeginEdited(circuit: StoredValue<String>, text: RwSignal<String>) -> impl IntoView {
    let _ = (circuit, text);
}

/// The job.
#[component]
pub(crate) fn Carry(key: String) -> impl IntoView {
    let _ = key;
}
