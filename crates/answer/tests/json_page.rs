//! docs/json.md is what the schemas say.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

#[path = "../examples/json_page/page.rs"]
mod page;

#[test]
fn the_page_is_fresh() {
    let made = page::page();
    assert_eq!(
        made,
        include_str!("../../../docs/json.md"),
        "run: cargo run -p stemwise-answer --example json_page > docs/json.md"
    );
    assert!(!made.contains("| |  |"), "a shape has no user");
    for field in ["hold_point", "pressure_gauge_pa", "liquid_fraction", "rho_l", "refrigerant_lost_kg"] {
        assert!(made.contains(&format!("| `{field}` |")), "{field}");
    }
}
