//! The circuit drawn, and a valve cut open.

use std::collections::BTreeSet;

use leptos::prelude::*;
use stemwise_wire as wire;

/// Something in the drawing that was touched.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Touched {
    /// A space.
    Space(String),
    /// A valve, a compressor or a machine.
    Valve(String),
    /// A port.
    Port(String),
}

/// The circuit drawn.
#[component]
pub(crate) fn Diagram(
    file: String,
    #[prop(into)] frame: Signal<wire::Frame>,
    touched: RwSignal<Option<Touched>>,
    #[prop(into)] lit: Signal<BTreeSet<String>>,
) -> impl IntoView {
    let _ = (file, frame, touched, lit);
    view! { <div class="diagram"></div> }
}

/// A valve cut open.
#[component]
pub(crate) fn Cutaway(
    kind: String,
    #[prop(into)] position: Signal<String>,
    #[prop(into)] frame: Signal<wire::Frame>,
    between: [String; 2],
) -> impl IntoView {
    let _ = (kind, position, frame, between);
    view! { <div class="cutaway"></div> }
}

/// A picture of a kind of piece, to choose by.
#[component]
pub(crate) fn Picture(table: String, kind: String) -> impl IntoView {
    let _ = (table, kind);
}
