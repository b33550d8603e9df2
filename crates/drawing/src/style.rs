//! The style sheet of a drawing that stands by itself, and its patterns.

use crate::markup::Element;
use crate::{Fill, LETTERS};

/// Colours tell high from low; what a pipe carries is told by how it is drawn: liquid filled, vapour hollow, both in dashes.
pub(crate) fn sheet() -> String {
    format!(
        "svg{{background:#fff}}\
text{{font:{LETTERS}px \"Segoe UI\",Roboto,\"Helvetica Neue\",Arial,\"Noto Sans\",sans-serif;fill:#1b2733}}\
.region{{fill:#eef2f5;stroke:none}}.region.odd{{fill:#e3edf6}}.region.third{{fill:#f1efe6}}\
.region-name{{fill:#4a5a68;font-style:italic}}\
path,polyline{{fill:none;stroke-linejoin:round;stroke-linecap:round}}\
.body{{fill:#fff;stroke:#1b2733;stroke-width:1.8}}\
.line{{stroke:#1b2733;stroke-width:1.8}}.thin{{stroke:#1b2733;stroke-width:1.1}}\
.solid{{fill:#1b2733;stroke:none}}.stem{{fill:#1b2733;stroke:#1b2733;stroke-width:.8}}\
.shut{{fill:#1b2733;stroke:#1b2733;stroke-width:1.2}}.wet{{fill:#b9cfe2;stroke:none}}\
.pipe .outer{{stroke:#1b2733;stroke-width:3}}.pipe .inner{{stroke:none}}\
.discharge .outer{{stroke:#b3261e;stroke-width:6}}.discharge .inner{{stroke:#fff;stroke-width:2.8}}\
.liquid .outer{{stroke:#b3261e;stroke-width:5}}\
.mixture .outer{{stroke:#1d5fa8;stroke-width:6}}.mixture .inner{{stroke:#fff;stroke-width:2.8;stroke-dasharray:7 6}}\
.suction .outer{{stroke:#1d5fa8;stroke-width:6}}.suction .inner{{stroke:#fff;stroke-width:2.8}}\
.reversible .outer{{stroke:#5b4a9c;stroke-width:6}}.reversible .inner{{stroke:#fff;stroke-width:2.8;stroke-dasharray:14 4}}\
.hose .outer{{stroke:#8a6a00;stroke-width:5}}.hose .inner{{stroke:#fff;stroke-width:1.6;stroke-dasharray:3 5}}\
.header .outer{{stroke-width:9}}.header .inner{{stroke-width:4.6}}\
.tee{{fill:#1b2733;stroke:none}}.arrow{{fill:#1b2733;stroke:#fff;stroke-width:1}}\
.part-line{{stroke:#1b2733;stroke-width:1.6}}.metal{{fill:#c9d1d8;stroke:#1b2733;stroke-width:1.6}}\
.moving{{fill:#8796a3;stroke:#1b2733;stroke-width:1.6}}.seal{{fill:#4c3b2a;stroke:#1b2733;stroke-width:1}}\
.cap{{fill:#e6d9a8;stroke:#1b2733;stroke-width:1.6}}\
.passage{{stroke:none}}.hollow{{fill:#fff;stroke:#1b2733;stroke-width:1.6}}.leader{{stroke:#4a5a68;stroke-width:1}}\
.held{{font-weight:600;paint-order:stroke;stroke:#fff;stroke-width:4px;stroke-linejoin:round}}\
@media print{{.region,.region.odd,.region.third{{fill:none;stroke:#888;stroke-width:.6}}}}"
    )
}

/// The patterns of what a space holds.
pub(crate) fn patterns() -> Element {
    Element::new("defs").all(Fill::ALL.map(pattern))
}

fn pattern(fill: Fill) -> Element {
    let tile = Element::new("pattern")
        .with("id", fill.pattern())
        .with("width", "12")
        .with("height", "12")
        .with("patternUnits", "userSpaceOnUse");
    let ground = |colour| Element::new("rect").with("width", "12").with("height", "12").with("fill", colour);
    let lines = |d: &str, colour: &str, width: &str| {
        Element::new("path")
            .with("d", d)
            .with("fill", "none")
            .with("stroke", colour)
            .with("stroke-width", width)
    };
    let dot = |x: &str, y: &str, r: &str, colour: &str| {
        Element::new("circle").with("cx", x).with("cy", y).with("r", r).with("fill", colour)
    };
    match fill {
        Fill::Liquid => tile.child(ground("#8fb4d8")).child(lines(
            "M0 3C2 1 4 1 6 3S10 5 12 3M0 9C2 7 4 7 6 9S10 11 12 9",
            "#1f4e7d",
            "1.3",
        )),
        Fill::Vapour => tile
            .child(ground("#f4f7fa"))
            .child(dot("3", "3", "1.2", "#47637d"))
            .child(dot("9", "9", "1.2", "#47637d")),
        Fill::Both => tile
            .child(ground("#c6d8ea"))
            .child(lines("M0 9C2 7 4 7 6 9S10 11 12 9", "#1f4e7d", "1.3"))
            .child(dot("4", "3", "1.6", "#f4f7fa"))
            .child(dot("10", "3.5", "1.2", "#47637d")),
        Fill::Vacuum => tile.child(ground("#fff")).child(lines("M0 12L12 0", "#9aa7b2", "0.8")),
        Fill::Air => {
            tile.child(ground("#fbfaf3")).child(lines("M3 1V5M1 3H5M9 7V11M7 9H11", "#7a7458", "0.9"))
        }
        Fill::Nitrogen => {
            tile.child(ground("#eef5ea")).child(lines("M0 0L12 12M0 12L12 0", "#4b7a3a", "0.9"))
        }
        Fill::Oil => tile.child(ground("#e8cf9a")).child(lines("M0 6H12", "#8a6a1c", "1.2")),
    }
}
