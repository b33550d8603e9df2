//! What each kind of part, line and valve is, for the page. A test holds these lists against the reader's.

/// Kinds of parts.
pub(crate) const PARTS: &[(&str, &str)] = &[
    (
        "compressor",
        "With its shell on the suction side and a discharge side of its own. The walk enters at suction and leaves at discharge.",
    ),
    ("condenser", "Gives off heat; always the condenser."),
    ("evaporator", "Takes up heat; always the evaporator."),
    ("reversible-coil", "Condenser or evaporator, as the reversing valve stands."),
    ("receiver", "Holds liquid behind the condenser; has a fill limit."),
    ("accumulator", "Catches liquid before the compressor."),
    ("drier", "The filter drier."),
    ("oil-separator", "Catches oil behind the compressor."),
    ("sight-glass", "Stands in a liquid line and counts as part of it."),
    ("vessel", "Any other vessel; can have a fill limit."),
];

/// Kinds of lines.
pub(crate) const LINES: &[(&str, &str)] = &[
    ("discharge", "From the compressor to the condenser."),
    ("liquid", "Liquid, up to the metering device."),
    ("distributor", "Behind the metering device, up to the evaporator."),
    ("suction", "From the evaporator to the compressor."),
    ("reversible", "Carries either, as the reversing valve stands."),
];

/// Kinds of valves and devices.
pub(crate) const VALVES: &[(&str, &str)] = &[
    (
        "service-valve",
        "Three connections: line, body and port. Back-seated, cracked, mid-seated, front-seated.",
    ),
    ("line-set-valve", "On a split unit. Open or shut; its port is always joined to the line-set side."),
    ("ball-valve", "Open or shut with a quarter turn."),
    ("hand-valve", "Open or shut with several turns."),
    ("check-valve", "Lets through in the walk's direction only."),
    ("solenoid-valve", "Opens or shuts with its coil; some can be held open by hand."),
    ("thermostatic-valve", "Metering device; some bleed when shut."),
    ("electronic-valve", "Metering device with a motor."),
    ("orifice", "Metering device with a fixed bore."),
    ("capillary", "Metering device: a capillary tube."),
    ("evaporator-pressure-regulator", "Holds the evaporator's pressure up; shuts below its setting."),
    (
        "crankcase-pressure-regulator",
        "Holds the compressor's suction pressure down; shuts above its setting.",
    ),
    ("head-pressure-regulator", "Holds the condenser's pressure up; shuts below its setting."),
    ("relief-valve", "Lifts at its setting into what follows it, or into the open air."),
    (
        "reversing-valve",
        "Four ends: discharge, suction, indoor, outdoor. Cooling joins discharge with outdoor and indoor with suction; heating discharge with indoor and outdoor with suction.",
    ),
];
