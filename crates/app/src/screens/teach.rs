//! Teach.

use leptos::prelude::*;

use crate::desk::Card;

/// Teach.
#[component]
pub(crate) fn Teach(card: Card) -> impl IntoView {
    let _ = card;
}
