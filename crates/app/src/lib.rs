//! The app in the browser: shows what the core says, on a phone, a desk or a wall.
//!
//! No rule and no formula lives here; every figure and every sentence of the trade comes from `stemwise-answer`.

#![allow(unreachable_pub, reason = "what a component takes is public by its macro")]

mod ask;
mod chart;
mod desk;
mod diagram;
mod hand;
mod job;
mod page;
mod route;
mod screens;
mod store;
mod words;
mod worker;

use wasm_bindgen::prelude::wasm_bindgen;

/// Shows the app on the page.
#[wasm_bindgen]
pub fn start() {
    console_error_panic_hook::set_once();
    leptos::mount::mount_to_body(page::Page);
}

/// Answers a question of the page, in the worker.
#[wasm_bindgen]
pub fn answer(ask: &str) -> String {
    console_error_panic_hook::set_once();
    ask::answer(ask)
}
