//! What the host that runs the wasm may call: the report's address and length, and pieces of work to time.
#![allow(
    unsafe_code,
    reason = "an exported name counts as unsafe; wasm without any binding tool has no other way out"
)]

use std::sync::OnceLock;

static REPORT: OnceLock<String> = OnceLock::new();

fn report() -> &'static str {
    REPORT.get_or_init(crate::smoke)
}

/// Where the report begins in memory.
#[unsafe(no_mangle)]
pub(crate) extern "C" fn report_start() -> *const u8 {
    report().as_ptr()
}

/// How many bytes it has.
#[unsafe(no_mangle)]
pub(crate) extern "C" fn report_length() -> usize {
    report().len()
}

/// A task some rounds long.
#[unsafe(no_mangle)]
pub(crate) extern "C" fn work(task: u32, rounds: u32) -> f64 {
    crate::speed::work(task as usize, rounds)
}
