//! Every kind of problem that reading a file can find, for the documentation and for whoever handles them by id.

use super::problem::Severity;
use Severity::{Error, Warning};

/// A kind of problem.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ProblemKind {
    /// Stable, kebab-case; [`Problem::id`](super::Problem::id).
    pub id: &'static str,
    /// How bad it is.
    pub severity: Severity,
    /// When it is found.
    pub doc: &'static str,
}

const fn error(id: &'static str, doc: &'static str) -> ProblemKind {
    ProblemKind { id, severity: Error, doc }
}
const fn warning(id: &'static str, doc: &'static str) -> ProblemKind {
    ProblemKind { id, severity: Warning, doc }
}

/// Every kind of problem: those of the file as a whole first, then of keys and values, of names, of the walks, of the whole circuit.
pub const PROBLEMS: &[ProblemKind] = &[
    error("file-too-large", "The file is far larger than any circuit."),
    error("not-text", "The file is not UTF-8 text."),
    error("too-deep", "Brackets are nested deeper than any circuit needs."),
    error("syntax", "A line is not TOML. What can be read of the rest is still checked."),
    error("many-problems", "There are so many problems that the rest is only counted."),
    error("unknown-schema", "The file is written for another version of this format."),
    error("missing-key", "A key that must be there is not."),
    error("unknown-key", "A key that this table doesn't have."),
    error("key-not-for-this-kind", "A key that other kinds have, but not this one."),
    error("wrong-type", "A value of another type than the key wants; a quantity stands in quotes."),
    error("unknown-word", "A word that is not among those the key allows."),
    error("bad-quantity", "A quantity that can't be read: its number, its unit or what it measures."),
    error(
        "bad-range",
        "A range that is not two values, the lower first, or that leaves out the usual value.",
    ),
    error("not-positive", "A value that must be above 0."),
    error("unknown-refrigerant", "A refrigerant that the program has no properties of."),
    error("bad-altitude", "A height above the sea outside the standard atmosphere's range."),
    error("bad-barometer", "A barometer reading that is not an absolute pressure of the open air."),
    error("missing-volume", "No volume, and nothing to compute or estimate it from."),
    error("bad-name", "A name that can't be used: empty, longer than 60 bytes, or with a dot."),
    error("duplicate-name", "One name for two things."),
    error("unknown-place", "A part or line stands in a place that the file doesn't have."),
    error("unknown-name", "A walk, or a valve's \"on\", names something that the file doesn't have."),
    error("port-on-nothing", "A port is on something that is no part or line of the file."),
    error(
        "unknown-end",
        "An end of a reversing valve is missing or wrong, or something else is named with an end.",
    ),
    error("walk-too-short", "A walk that names fewer than two things."),
    error("joined-to-itself", "A walk that leads from a thing to itself."),
    error("connection-in-use", "Two pipes on one connection."),
    error("dangling-valve", "A valve that no walk passes, or with nothing on one of its sides."),
    error("not-joined", "A part or line that no walk passes."),
    error("two-circuits", "Parts that don't hang together with the rest."),
    error("body-side-unknown", "A valve with a port whose body side can't be told from its neighbours."),
    error("charge-too-large", "More charge than the volumes can hold at the hottest place."),
    warning("charge-large", "The charge fills more than 80 % of the volumes at the hottest place."),
    warning(
        "design-below-saturation",
        "A design pressure below saturation at the hottest its place may come to.",
    ),
    warning("relief-above-design", "A relief valve that lifts above what it protects is built for."),
    warning(
        "cut-out-above-design",
        "A high-pressure control that cuts out above what the high side is built for.",
    ),
    warning("cut-outs-crossed", "A low-pressure cut-out that is not below the high-pressure one."),
    warning("flows-backwards", "A discharge side that leads straight to an evaporator."),
    warning("no-compressor", "A circuit without a compressor."),
    warning("stem-out-of-reach", "A valve whose stem nobody can reach: no plan turns it."),
    warning("piercing-valve", "A piercing valve is still on."),
];
