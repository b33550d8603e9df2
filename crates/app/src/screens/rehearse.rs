//! Rehearse.

use leptos::prelude::*;

use crate::desk::Card;

/// Rehearse.
#[component]
pub(crate) fn Rehearse(card: Card) -> impl IntoView {
    let _ = card;
}
