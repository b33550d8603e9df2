//! The catalogue as data: each kind of job with its words, what of a circuit it is about, and what opening means there.

use stemwise_circuit::{JointKind, SpaceKind};

use super::{JobKind, JudgedBy};

/// What of a circuit a kind of job is about.
#[derive(Clone, Copy)]
pub(crate) enum About {
    /// The circuit as a whole, without any space of its own.
    Nothing,
    /// Every space.
    Whole,
    /// The low side.
    LowSide,
    /// Each space of these kinds.
    Spaces(&'static [SpaceKind]),
    /// Both sides of each joint of a kind.
    Joints(fn(&JointKind) -> bool),
    /// Any part, line, valve or port that is named; too many to be listed.
    Named,
    /// Every space, or the section of what is named.
    WholeOrNamed,
    /// The circuit as a whole, with an amount.
    Amount,
    /// The circuit as a whole, where this tells its charge.
    Judged(JudgedBy),
    /// Each sight glass.
    SightGlasses,
    /// All that each reversing valve joins.
    ReversingValves,
    /// The line set of a split unit.
    LineSet,
    /// Each port with a core on a part or line.
    Cores,
    /// Each line of a circuit without any port, and the compressor's process tube.
    Sealed,
}

/// What is done while the circuit is open; `{it}` stands for the part.
pub(crate) struct Opening {
    /// How it is opened.
    pub(crate) open: &'static str,
    /// How it is closed.
    pub(crate) close: &'static str,
    /// What to bring for it.
    pub(crate) bring: &'static str,
    /// Whether the joints are brazed where they may be: the maker's joints decide, so the brazed case is the one that is planned.
    pub(crate) brazed: bool,
    /// Whether it counts as a major repair (40 CFR 82.152: removal of a compressor, condenser, evaporator or auxiliary coil).
    pub(crate) major: bool,
}

/// A kind of job.
pub(crate) struct Entry {
    pub(crate) kind: JobKind,
    /// As the technician says it.
    pub(crate) words: &'static str,
    /// What else people say.
    pub(crate) also: &'static [&'static str],
    pub(crate) about: About,
    /// The part in a sentence.
    pub(crate) it: &'static str,
    pub(crate) opening: Option<Opening>,
}

const fn closed(
    kind: JobKind,
    words: &'static str,
    also: &'static [&'static str],
    about: About,
    it: &'static str,
) -> Entry {
    Entry { kind, words, also, about, it, opening: None }
}

const fn opened(
    kind: JobKind,
    words: &'static str,
    also: &'static [&'static str],
    about: About,
    it: &'static str,
    opening: Opening,
) -> Entry {
    Entry { kind, words, also, about, it, opening: Some(opening) }
}

const fn part(open: &'static str, close: &'static str, bring: &'static str) -> Opening {
    Opening { open, close, bring, brazed: true, major: false }
}

const fn major(open: &'static str, close: &'static str, bring: &'static str) -> Opening {
    Opening { open, close, bring, brazed: true, major: true }
}

const TAKE_OUT: &str = "Take {it} out; plug every opening at once";
const NEW_LENGTH: &str = "Renew the leaking length or joint";
const TUBE: &str = "tube and fittings of the same size";

/// Every kind, in the order in which they are listed. What is done with a part while it is out is common practice; the maker's
/// instructions come first.
pub(crate) const CATALOGUE: &[Entry] = &[
    closed(
        JobKind::TakeReadings,
        "take readings",
        &["readings", "read pressures", "read gauges"],
        About::Nothing,
        "the system",
    ),
    closed(JobKind::PumpDown, "pump down", &["pump system down", "pumpdown"], About::LowSide, "the low side"),
    closed(
        JobKind::ReturnToService,
        "return to service",
        &["return to service after pump down", "put back into service", "start up after pump down"],
        About::LowSide,
        "the low side",
    ),
    opened(
        JobKind::ReplaceDrier,
        "replace the drier",
        &["replace filter drier", "change drier"],
        About::Spaces(&[SpaceKind::Drier]),
        "the drier",
        part(
            "Cut {it} out (don't unbraze it: heat drives its water back into the system)",
            "Fit the new drier, arrow with the flow, opened only now",
            "the new drier, sealed until it is fitted",
        ),
    ),
    opened(
        JobKind::ReplaceCompressor,
        "replace the compressor",
        &["change compressor"],
        About::Joints(|kind| matches!(kind, JointKind::Compressor(_))),
        "the compressor",
        major(
            "Prove its wiring dead, let its capacitors discharge, mark the leads and take them off; take {it} out; plug every opening at once",
            "Fit the new compressor with the oil that its maker asks for; after a burn-out follow the clean-up procedure and \
             renew the drier",
            "the new compressor, its oil, and plugs for every opening",
        ),
    ),
    opened(
        JobKind::ReplaceMetering,
        "replace the metering device",
        &["replace expansion valve", "replace thermostatic valve", "change metering device"],
        About::Joints(|kind| matches!(kind, JointKind::Metering(_))),
        "the metering device",
        part(
            TAKE_OUT,
            "Fit the new metering device of the same capacity; fasten and insulate the bulb, if it has one",
            "the new metering device of the same capacity, and plugs",
        ),
    ),
    opened(
        JobKind::ReplaceSolenoid,
        "replace the solenoid valve",
        &["replace solenoid", "change solenoid valve"],
        About::Joints(|kind| matches!(kind, JointKind::Solenoid { .. })),
        "the solenoid valve",
        part(
            TAKE_OUT,
            "Fit the new solenoid valve, arrow with the flow, its coil off the body while it is brazed",
            "the new solenoid valve with its coil, and plugs",
        ),
    ),
    opened(
        JobKind::ReplaceEvaporator,
        "replace the evaporator",
        &["change evaporator", "replace evaporator coil"],
        About::Spaces(&[SpaceKind::Evaporator]),
        "the evaporator",
        major(TAKE_OUT, "Fit the new evaporator, its ends opened only now", "the new evaporator, and plugs"),
    ),
    opened(
        JobKind::ReplaceCondenser,
        "replace the condenser",
        &["change condenser", "replace condenser coil"],
        About::Spaces(&[SpaceKind::Condenser]),
        "the condenser",
        major(TAKE_OUT, "Fit the new condenser, its ends opened only now", "the new condenser, and plugs"),
    ),
    opened(
        JobKind::ReplaceCoil,
        "replace the coil",
        &["change coil"],
        About::Spaces(&[SpaceKind::ReversibleCoil]),
        "the coil",
        major(TAKE_OUT, "Fit the new coil, its ends opened only now", "the new coil, and plugs"),
    ),
    opened(
        JobKind::ReplaceReceiver,
        "replace the receiver",
        &["change receiver"],
        About::Spaces(&[SpaceKind::Receiver]),
        "the receiver",
        part(
            TAKE_OUT,
            "Fit the new receiver, built for the same pressure, its relief device of the same setting",
            "the new receiver with its relief device, and plugs",
        ),
    ),
    opened(
        JobKind::ReplaceAccumulator,
        "replace the accumulator",
        &["change accumulator", "replace suction accumulator"],
        About::Spaces(&[SpaceKind::Accumulator]),
        "the accumulator",
        part(
            TAKE_OUT,
            "Fit the new accumulator the right way up, and make up for the oil that stayed in the old one",
            "the new accumulator, oil, and plugs",
        ),
    ),
    opened(
        JobKind::ReplaceOilSeparator,
        "replace the oil separator",
        &["change oil separator"],
        About::Spaces(&[SpaceKind::OilSeparator]),
        "the oil separator",
        part(
            TAKE_OUT,
            "Fit the new oil separator, filled with the oil that its maker asks for before it goes in",
            "the new oil separator, oil, and plugs",
        ),
    ),
    opened(
        JobKind::ReplaceCheck,
        "replace the check valve",
        &["change check valve"],
        About::Joints(|kind| matches!(kind, JointKind::Check)),
        "the check valve",
        part(
            TAKE_OUT,
            "Fit the new check valve, arrow with the flow, kept cool while it is brazed",
            "the new check valve",
        ),
    ),
    opened(
        JobKind::ReplaceRegulator,
        "replace the pressure regulator",
        &["change pressure regulator", "replace regulator"],
        About::Joints(|kind| matches!(kind, JointKind::Regulator { .. })),
        "the pressure regulator",
        part(
            TAKE_OUT,
            "Fit the new regulator, arrow with the flow; its setting is made later, while the system runs",
            "the new pressure regulator, and plugs",
        ),
    ),
    opened(
        JobKind::ReplaceServiceValve,
        "replace the service valve",
        &["change service valve"],
        About::Joints(|kind| matches!(kind, JointKind::ServiceValve { .. })),
        "the service valve",
        part(
            TAKE_OUT,
            "Fit the new service valve, its stem in mid-position while it is brazed and as the old one stood after that",
            "the new service valve with its caps and gasket",
        ),
    ),
    opened(
        JobKind::ReplaceHandValve,
        "replace the hand valve",
        &["change hand valve", "replace ball valve", "replace line-set valve"],
        About::Joints(|kind| matches!(kind, JointKind::HandValve { .. } | JointKind::LineSetValve { .. })),
        "the valve",
        part(
            TAKE_OUT,
            "Fit the new valve, half open and kept cool while it is brazed, and then as the old one stood",
            "the new valve",
        ),
    ),
    opened(
        JobKind::ReplaceRelief,
        "replace the relief valve",
        &["change relief valve"],
        About::Joints(|kind| matches!(kind, JointKind::Relief { .. })),
        "the relief valve",
        Opening {
            open: "Screw {it} out; plug the opening at once",
            close: "Fit the new relief valve, of the same setting and capacity and with its seal unbroken",
            bring: "the new relief valve, of the same setting and capacity",
            brazed: false,
            major: false,
        },
    ),
    opened(
        JobKind::ReplaceReversingValve,
        "replace the reversing valve",
        &["change reversing valve", "replace four way valve", "replace 4 way valve"],
        About::ReversingValves,
        "the reversing valve",
        part(
            "Take the pilot coil off; cut {it} out with its four stubs (don't unbraze it); plug every opening at once",
            "Braze the new reversing valve in by its stubs, its body wrapped wet so that the slide's seals stay cool (the maker says how \
             warm it may get); pilot coil on last, never energised off the valve",
            "the new reversing valve with its coil, heat-absorbing paste or wet rags, and plugs",
        ),
    ),
    opened(
        JobKind::ReplaceSightGlass,
        "replace the sight glass",
        &["change sight glass", "replace moisture indicator"],
        About::SightGlasses,
        "the sight glass",
        part(
            TAKE_OUT,
            "Fit the new sight glass, its body kept cool while it is brazed; its moisture mark tells nothing until the system has run for hours",
            "the new sight glass of the same size, and plugs",
        ),
    ),
    opened(
        JobKind::RepairLiquidLine,
        "repair the liquid line",
        &["repair leak in liquid line", "fix liquid line"],
        About::Spaces(&[SpaceKind::LiquidLine]),
        "the line",
        part("Open {it} at the leak", NEW_LENGTH, TUBE),
    ),
    opened(
        JobKind::RepairSuctionLine,
        "repair the suction line",
        &["repair leak in suction line", "fix suction line"],
        About::Spaces(&[SpaceKind::SuctionLine]),
        "the line",
        part("Open {it} at the leak", NEW_LENGTH, TUBE),
    ),
    opened(
        JobKind::RepairDischargeLine,
        "repair the discharge line",
        &["repair leak in discharge line", "fix discharge line", "repair hot gas line"],
        About::Spaces(&[SpaceKind::DischargeLine]),
        "the line",
        part("Open {it} at the leak", NEW_LENGTH, TUBE),
    ),
    opened(
        JobKind::RepairLine,
        "repair the line",
        &["fix line"],
        About::Spaces(&[SpaceKind::DistributorLine, SpaceKind::ReversibleLine]),
        "the line",
        part("Open {it} at the leak", NEW_LENGTH, TUBE),
    ),
    opened(
        JobKind::RepairLeak,
        "repair the leak",
        &["repair leak at", "repair leak in", "fix leak"],
        About::Named,
        "the part",
        part(
            "Open the circuit at the leak: {it}",
            "Renew what leaks",
            "what leaks, and tube and fittings of the same size",
        ),
    ),
    closed(
        JobKind::RecoverAll,
        "recover all",
        &["recover charge", "recover whole charge", "recover everything"],
        About::Whole,
        "the system",
    ),
    closed(
        JobKind::TestWithNitrogen,
        "test with nitrogen",
        &["nitrogen test", "pressure test"],
        About::WholeOrNamed,
        "the system",
    ),
    closed(
        JobKind::Evacuate,
        "evacuate",
        &["deep evacuation", "pull vacuum"],
        About::WholeOrNamed,
        "the system",
    ),
    closed(
        JobKind::EvacuateThrice,
        "evacuate three times",
        &["triple evacuation", "evacuate thrice"],
        About::WholeOrNamed,
        "the system",
    ),
    closed(
        JobKind::FirstCharge,
        "charge the empty system",
        &["first charge", "charge empty system", "charge system"],
        About::Whole,
        "the system",
    ),
    closed(
        JobKind::TopUp,
        "top up",
        &["add charge", "add refrigerant", "top up charge"],
        About::Amount,
        "the system",
    ),
    closed(
        JobKind::ChargeBySubcooling,
        "charge by subcooling",
        &["charge to subcooling", "set charge by subcooling"],
        About::Judged(JudgedBy::Subcooling),
        "the system",
    ),
    closed(
        JobKind::ChargeBySuperheat,
        "charge by superheat",
        &["charge to superheat", "set charge by superheat"],
        About::Judged(JudgedBy::Superheat),
        "the system",
    ),
    closed(
        JobKind::ReleaseCharge,
        "release the factory charge",
        &["release charge into line set", "open line set valves"],
        About::LineSet,
        "the line set",
    ),
    closed(
        JobKind::MoveOut,
        "pump down into the outdoor unit",
        &["move outdoor unit", "pump down to move unit"],
        About::LineSet,
        "the line set",
    ),
    closed(JobKind::SwapCore, "swap the core", &["replace core", "change core"], About::Cores, "the core"),
    closed(
        JobKind::AddOil,
        "add oil",
        &["put oil in", "top up oil"],
        About::Joints(|kind| matches!(kind, JointKind::Compressor(_))),
        "the compressor",
    ),
    opened(
        JobKind::ChangeOil,
        "change the oil",
        &["drain oil", "drain and refill oil"],
        About::Joints(|kind| matches!(kind, JointKind::Compressor(_))),
        "the compressor",
        Opening {
            open: "Open the drain of {it}, or its oil plug, and let the oil run into a measured can",
            close: "Fill as much new oil of the maker's kind in as came out, from a can opened only now; renew the gasket and close",
            bring: "new oil of the maker's kind in a closed can, a measured can, gaskets",
            brazed: false,
            major: false,
        },
    ),
    opened(
        JobKind::FitAccess,
        "fit an access valve",
        &["fit access valve", "open sealed system", "fit piercing valve"],
        About::Sealed,
        "the tube",
        part(
            "Take the piercing valve off {it}",
            "Clean the tube bright and braze the access valve on, over the hole, its core out while it is hot",
            "a bolt-on piercing valve for the tube's size, and a braze-on access valve with its core and cap",
        ),
    ),
    closed(
        JobKind::Decommission,
        "decommission",
        &["take out of use", "decommission system"],
        About::Whole,
        "the system",
    ),
];

/// The entry of a kind.
pub(crate) fn entry(kind: JobKind) -> Option<&'static Entry> {
    CATALOGUE.iter().find(|entry| entry.kind == kind)
}
