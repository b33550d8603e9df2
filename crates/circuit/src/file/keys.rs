//! Every key of the circuit file: the reader refuses what is not here, the schema and the documentation are made from it.

/// What a key's value is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Value {
    /// Text.
    Text,
    /// One of these words.
    Word(&'static [&'static str]),
    /// A quantity typed with its unit.
    Quantity(&'static str),
    /// Two quantities: the lower and the upper end of a range.
    Range(&'static str),
    /// true or false.
    Flag,
    /// A number.
    Number,
    /// A list of names.
    Names,
    /// A table of its own.
    Table,
}

/// A key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Key {
    /// As written.
    pub name: &'static str,
    /// What its value is.
    pub value: Value,
    /// Whether it must be there, wherever it may be there.
    pub required: bool,
    /// For which kinds it may be there; all if empty.
    pub kinds: &'static [&'static str],
    /// What it means.
    pub doc: &'static str,
}

/// A table and its keys.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Table {
    /// As written: "part" for `[part.NAME]`.
    pub name: &'static str,
    /// Whether there are several, each with a name (or, for walks, in a list).
    pub many: bool,
    /// What it is for.
    pub doc: &'static str,
    /// Its keys.
    pub keys: &'static [Key],
}

const fn key(name: &'static str, value: Value, doc: &'static str) -> Key {
    Key { name, value, required: false, kinds: &[], doc }
}
const fn must(name: &'static str, value: Value, doc: &'static str) -> Key {
    Key { name, value, required: true, kinds: &[], doc }
}
const fn only(name: &'static str, value: Value, kinds: &'static [&'static str], doc: &'static str) -> Key {
    Key { name, value, required: false, kinds, doc }
}
const fn must_for(
    name: &'static str,
    value: Value,
    kinds: &'static [&'static str],
    doc: &'static str,
) -> Key {
    Key { name, value, required: true, kinds, doc }
}

/// The kinds of parts.
pub const PART_KINDS: &[&str] = &[
    "compressor",
    "condenser",
    "evaporator",
    "reversible-coil",
    "receiver",
    "accumulator",
    "drier",
    "oil-separator",
    "sight-glass",
    "vessel",
];
/// The kinds of lines.
pub const LINE_KINDS: &[&str] = &["discharge", "liquid", "distributor", "suction", "reversible"];
/// The kinds of valves and other devices.
pub const VALVE_KINDS: &[&str] = &[
    "service-valve",
    "line-set-valve",
    "ball-valve",
    "hand-valve",
    "check-valve",
    "solenoid-valve",
    "thermostatic-valve",
    "electronic-valve",
    "orifice",
    "capillary",
    "evaporator-pressure-regulator",
    "crankcase-pressure-regulator",
    "head-pressure-regulator",
    "relief-valve",
    "reversing-valve",
];
/// Those with a stem that a wrench or a hand turns.
pub const STEM_KINDS: &[&str] = &["service-valve", "line-set-valve", "ball-valve", "hand-valve"];
const WITH_SETTING: &[&str] = &[
    "evaporator-pressure-regulator",
    "crankcase-pressure-regulator",
    "head-pressure-regulator",
    "relief-valve",
];
const WITH_OPENER: &[&str] = &[
    "solenoid-valve",
    "evaporator-pressure-regulator",
    "crankcase-pressure-regulator",
    "head-pressure-regulator",
];
const COILS: &[&str] = &["condenser", "evaporator", "reversible-coil"];

/// Every table of the file. The first is the top of the file.
pub const TABLES: &[Table] = &[
    Table {
        name: "",
        many: false,
        doc: "The top of the file.",
        keys: &[
            must("schema", Value::Number, "The version of this format: 1."),
            must("name", Value::Text, "What people call the system."),
            key("note", Value::Text, "A remark."),
            must(
                "refrigerant",
                Value::Text,
                "The refrigerant: \"R-134a\", \"R-410A\", or components with their parts by mass: \"R-32/R-125 50/50\".",
            ),
            key(
                "charge",
                Value::Quantity("a mass"),
                "The charge; left out, it is estimated from the volumes, with a wide range.",
            ),
            key(
                "capacity",
                Value::Quantity("a power"),
                "The refrigerating capacity; volumes that are left out are estimated from it.",
            ),
            key(
                "altitude",
                Value::Quantity("a length"),
                "The height of the site above the sea; 0 m if left out.",
            ),
            key(
                "barometer",
                Value::Quantity("an absolute pressure"),
                "The atmosphere's pressure at the site, instead of the altitude.",
            ),
            key("design", Value::Table, "The design pressures."),
            key("oil", Value::Table, "The oil."),
            key(
                "line-set",
                Value::Table,
                "How the charge of a split unit goes with the length of its line set.",
            ),
            key("place", Value::Table, "Places, by name."),
            key("part", Value::Table, "Parts, by name."),
            key("line", Value::Table, "Lines, by name."),
            key("valve", Value::Table, "Valves and other devices, by name."),
            key("port", Value::Table, "Access ports, by name."),
            must("walk", Value::Table, "Walks along the pipe."),
        ],
    },
    Table {
        name: "design",
        many: false,
        doc: "The pressures that the two sides are built for.",
        keys: &[
            key("high", Value::Quantity("a pressure"), "High side."),
            key("low", Value::Quantity("a pressure"), "Low side."),
        ],
    },
    Table {
        name: "oil",
        many: false,
        doc: "The oil in the system.",
        keys: &[
            must("kind", Value::Text, "As printed on the can."),
            key("mass", Value::Quantity("a mass"), "How much."),
        ],
    },
    Table {
        name: "line-set",
        many: false,
        doc: "What the line set adds to the charge that a split unit comes with; the charge at the top of the file has it in.",
        keys: &[
            must("length", Value::Quantity("a length"), "How long the line set is, one way."),
            must("covers", Value::Quantity("a length"), "The length that the unit's own charge covers."),
            key(
                "allowance",
                Value::Quantity("a mass"),
                "What the maker asks for beyond that, for each metre or each \"per\"; left out, it is what the liquid line holds.",
            ),
            key("per", Value::Quantity("a length"), "The length that the allowance is for; 1 m if left out."),
        ],
    },
    Table {
        name: "place",
        many: true,
        doc: "Somewhere parts stand. The first place is where everything stands that names none.",
        keys: &[
            key("name", Value::Text, "What people call it."),
            key("temperature", Value::Quantity("a temperature"), "The usual temperature there."),
            key("range", Value::Range("a temperature"), "The coldest and the hottest that it may come to."),
        ],
    },
    Table {
        name: "part",
        many: true,
        doc: "A component.",
        keys: &[
            must("kind", Value::Word(PART_KINDS), "What it is."),
            key("name", Value::Text, "What people call it."),
            key("place", Value::Text, "Where it stands."),
            key(
                "volume",
                Value::Quantity("a volume"),
                "What refrigerant can fill in it; estimated if left out.",
            ),
            key(
                "design",
                Value::Quantity("a pressure"),
                "Its own design pressure, where it differs from its side's.",
            ),
            key("height", Value::Quantity("a length"), "Its height above the lowest point of the system."),
            only(
                "approach",
                Value::Quantity("a temperature difference"),
                COILS,
                "How far saturation lies from the air while running.",
            ),
            only(
                "fill-limit",
                Value::Quantity("a fraction"),
                &["receiver", "vessel"],
                "The part that liquid may fill: \"80 %\" or \"0.8\"; 90 % for a receiver if left out.",
            ),
            only(
                "low-cut-out",
                Value::Quantity("a pressure"),
                &["compressor"],
                "Where the low-pressure control stops it.",
            ),
            only(
                "high-cut-out",
                Value::Quantity("a pressure"),
                &["compressor"],
                "Where the high-pressure control stops it.",
            ),
            only(
                "head-volume",
                Value::Quantity("a volume"),
                &["compressor"],
                "The volume on its discharge side.",
            ),
            only(
                "hermetic",
                Value::Flag,
                &["compressor"],
                "Whether the motor is in the refrigerant; true if left out.",
            ),
            only(
                "leaks-back",
                Value::Flag,
                &["compressor"],
                "Whether its valves leak back while it stands; true if left out.",
            ),
            only(
                "crankcase-heater",
                Value::Quantity("a power"),
                &["compressor"],
                "What its crankcase heater takes; it is on while the compressor stands. No heater if left out.",
            ),
            only(
                "restart-delay",
                Value::Quantity("a duration"),
                &["compressor"],
                "How long after a stop its controls keep it from starting again, to spare motor and oil; none if left out.",
            ),
            only(
                "runs",
                Value::Flag,
                &["compressor"],
                "Whether it runs in normal operation; true if left out.",
            ),
        ],
    },
    Table {
        name: "line",
        many: true,
        doc: "Tubing; a line may be named in several walks, where they meet.",
        keys: &[
            must("kind", Value::Word(LINE_KINDS), "What it carries."),
            key("name", Value::Text, "What people call it."),
            key("place", Value::Text, "Where it runs."),
            key("size", Value::Text, "The tube's size as printed: \"3/8 in\", \"10 mm\"."),
            key("length", Value::Quantity("a length"), "Its length."),
            key("volume", Value::Quantity("a volume"), "Its volume, instead of size and length."),
            key("design", Value::Quantity("a pressure"), "Its own design pressure."),
            key("height", Value::Quantity("a length"), "Its height above the lowest point of the system."),
        ],
    },
    Table {
        name: "valve",
        many: true,
        doc: "A valve or another device between two spaces; walks name it in the direction of flow.",
        keys: &[
            must("kind", Value::Word(VALVE_KINDS), "What it is."),
            key("name", Value::Text, "What people call it."),
            only(
                "on",
                Value::Text,
                &["service-valve", "line-set-valve", "relief-valve"],
                "The part that it is fitted to: the body side of a service valve, the unit side of a line-set valve, what a relief valve protects.",
            ),
            only(
                "port",
                Value::Text,
                &["service-valve", "line-set-valve"],
                "The port's connection, or \"none\"; \"1/4 in flare\" if left out.",
            ),
            only(
                "port-stays-with",
                Value::Word(&["line", "body"]),
                &["service-valve"],
                "Which side the port stays with when the valve is front-seated; if left out, the body on a compressor's valves, else the line. Makes differ.",
            ),
            only(
                "port-core",
                Value::Flag,
                &["service-valve", "line-set-valve"],
                "Whether the port has a spring core; if left out, line-set valves have one, service valves not.",
            ),
            only(
                "normal",
                Value::Word(&["back-seated", "cracked", "mid-seated", "front-seated", "open", "shut"]),
                STEM_KINDS,
                "Where its stem belongs in normal running: one of the first four on a service valve, \"open\" or \"shut\" on the others; \"back-seated\" or \"open\" if left out.",
            ),
            only(
                "packing-nut",
                Value::Flag,
                STEM_KINDS,
                "Whether it has a packing nut; if left out, service valves and hand valves have one.",
            ),
            only(
                "cap",
                Value::Flag,
                STEM_KINDS,
                "Whether a cap covers its stem; if left out, all but hand valves have one.",
            ),
            only(
                "wrench",
                Value::Word(&["square", "hex-key", "hand"]),
                STEM_KINDS,
                "What turns it; if left out, a square wrench on a service valve, a hex key on a line-set valve, the hand on the others.",
            ),
            only(
                "turns",
                Value::Number,
                STEM_KINDS,
                "Turns from one seat to the other; above 0. Estimated if left out.",
            ),
            only(
                "reachable",
                Value::Flag,
                STEM_KINDS,
                "Whether anybody can get at its stem; true if left out.",
            ),
            only(
                "opens",
                Value::Word(&["energised", "de-energised"]),
                &["solenoid-valve"],
                "When it is open; \"energised\" if left out.",
            ),
            only(
                "minimum-opening",
                Value::Quantity("a pressure"),
                &["solenoid-valve"],
                "The pressure difference that it needs to open; none if left out.",
            ),
            only(
                "manual-opener",
                Value::Flag,
                WITH_OPENER,
                "Whether it can be held open by hand; false if left out.",
            ),
            only(
                "normally-energised",
                Value::Flag,
                &["solenoid-valve"],
                "Whether its coil is energised in normal running; true if left out.",
            ),
            only(
                "bleed",
                Value::Flag,
                &["thermostatic-valve"],
                "Whether pressures equalise through it when it is shut; false if left out.",
            ),
            must_for(
                "setting",
                Value::Quantity("a pressure"),
                WITH_SETTING,
                "What it holds, or where it lifts.",
            ),
        ],
    },
    Table {
        name: "port",
        many: true,
        doc: "An access port on a part or a line.",
        keys: &[
            must("on", Value::Text, "The part or line."),
            key("name", Value::Text, "What people call it."),
            key(
                "core",
                Value::Flag,
                "Whether a spring core shuts it; true if left out, except on a piercing valve.",
            ),
            key("cap", Value::Flag, "Whether a cap covers it; true if left out."),
            key(
                "fitted",
                Value::Word(&["factory", "brazed", "piercing"]),
                "How it was fitted; \"factory\" if left out. A bolt-on piercing valve has a needle that opens and shuts under the port's own name; its port is called NAME-port.",
            ),
            key("size", Value::Text, "The connection; \"1/4 in flare\" if left out."),
        ],
    },
    Table {
        name: "walk",
        many: true,
        doc: "A walk along the pipe in the direction of flow.",
        keys: &[must(
            "along",
            Value::Names,
            "What one passes, in order. A compressor is entered on its suction side and left on its discharge side; a reversing valve is named with its end: NAME.discharge, NAME.suction, NAME.indoor, NAME.outdoor.",
        )],
    },
];
