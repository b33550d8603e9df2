//! The keys of a drill file: the reader and the page about it work from this table.

/// A key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Key {
    /// The table that it stands in; empty: the top of the file.
    pub table: &'static str,
    /// Its name.
    pub name: &'static str,
    /// Whether it must be there.
    pub required: bool,
    /// What it holds.
    pub value: &'static str,
    /// What it means.
    pub doc: &'static str,
}

const fn key(
    table: &'static str,
    name: &'static str,
    required: bool,
    value: &'static str,
    doc: &'static str,
) -> Key {
    Key { table, name, required, value, doc }
}

/// Every key.
pub const KEYS: &[Key] = &[
    key("", "schema", true, "1", "The version of the format."),
    key("", "name", true, "text", "What people call the drill."),
    key("", "note", false, "text", "What it is for, for those who hand it out; say here if it is invented."),
    key("", "brief", true, "text", "What the trainee is told at the start; not the faults."),
    key("", "circuit", false, "text", "The circuit: `example:NAME`."),
    key(
        "",
        "circuit-text",
        false,
        "text",
        "Or the whole circuit file, between `'''`. One of the two must be there.",
    ),
    key("", "units", false, "\"si\" or \"ip\"", "The units of its sentences; `si` if left out."),
    key("", "start", false, "\"running\" or \"standing\"", "How the system is found; `running` if left out."),
    key(
        "",
        "turned",
        false,
        "a list of texts",
        "Stems that visibly stand otherwise than in normal running: `\"king=front-seated\"`.",
    ),
    key(
        "",
        "without",
        false,
        "a list of texts",
        "What is not at hand: `recovery-machine`, `cylinder`, `vacuum-pump`, `nitrogen`, `core-tool`.",
    ),
    key("", "pass", false, "a number", "So many marks of 100 pass; 80 if left out."),
    key("", "fault", false, "tables", "What is wrong and not told: one `[[fault]]` each."),
    key("", "goal", true, "a table", "What is to be reached: `[goal]`."),
    key("fault", "kind", true, "a word", "What is wrong; below."),
    key("fault", "at", false, "a name", "Where: a name of the circuit file."),
    key(
        "fault",
        "size",
        false,
        "text",
        "How large: a part (`\"20 %\"`), a mass (`\"300 g\"`), a difference of temperatures (`\"8 K\"`), a position or a refrigerant, as the kind wants.",
    ),
    key(
        "goal",
        "job",
        false,
        "text",
        "A job, as `stemwise list` prints it: it has to be done from the state with its faults.",
    ),
    key("goal", "questions", false, "a number", "Or so many questions about the circuit, to be answered."),
    key("goal", "kinds", false, "a list of words", "Of which kinds they are; all kinds if left out."),
    key(
        "goal",
        "seed",
        false,
        "a whole number",
        "From which seed they are made; the same seed makes the same questions. 1 if left out.",
    ),
];
