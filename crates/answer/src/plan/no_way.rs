//! What is missing where there is no safe way.

use stemwise_service::JobKind;
use stemwise_service::plan::Missing;
use stemwise_wire as wire;

use super::Telling;

impl Telling<'_> {
    pub(super) fn because(&self, missing: &Missing) -> wire::Because {
        let graph = &self.assembly.graph;
        let space = |id| graph.space(id).map_or("section", |space| space.name.as_str());
        let (say, would_help) = match *missing {
            Missing::NoPort => (
                "The circuit has no port to connect to.".to_owned(),
                "An access valve with a core on a part or a line.".to_owned(),
            ),
            Missing::Sealed(kind) => sealed(kind),
            Missing::Recovery => (
                "Refrigerant has to come out, and there is no recovery machine or no usable cylinder at hand.".into(),
                "A recovery machine and a cylinder with room.".into(),
            ),
            Missing::VacuumPump => (
                "What is opened has to be evacuated, and there is no vacuum pump at hand.".into(),
                "A vacuum pump with a vacuum gauge.".into(),
            ),
            Missing::CylinderRoom => (
                "The cylinder can't take what has to come out: too small, too full, out of date, or it holds another refrigerant.".into(),
                "An empty cylinder in date, large enough for the charge.".into(),
            ),
            Missing::Room => (
                "The receiver or condenser can't take what a pump-down brings, or liquid would be shut in.".into(),
                "Recovering part of the charge first, or a larger receiver.".into(),
            ),
            Missing::PortAt(at) => (
                format!("No port reaches the {} once it is isolated.", space(at)),
                format!("An access valve with a core on the {}.", space(at)),
            ),
            Missing::ValveAt(at) => {
                let joint = graph.joint(at);
                let name = joint.map_or("joint", |joint| joint.name.as_str());
                let ends = joint.map_or(("one side", "the other"), |joint| (space(joint.a), space(joint.b)));
                (
                    format!("No valve parts the {} from the {}.", ends.0, ends.1),
                    format!("A hand valve at the {name}."),
                )
            }
            Missing::NothingToPumpInto => (
                "The system can't pump itself down: no compressor, or nothing that shuts its liquid supply off.".into(),
                "Recovering the charge instead.".into(),
            ),
            Missing::Nitrogen => (
                "The test needs dry nitrogen, and there is none at hand.".into(),
                "A nitrogen cylinder with a regulator and its relief valve.".into(),
            ),
            Missing::CoreTool => (
                "A core under pressure comes out only behind its tool, and there is none at hand.".into(),
                "A core removal tool; or the section emptied first.".into(),
            ),
            Missing::NoTarget => (
                "The published table gives no target superheat at these temperatures: liquid could reach the compressor.".into(),
                "Weighing the charge in; or the maker's own target, after the colon.".into(),
            ),
            Missing::TooCold(boils) => (
                "It stands below the atmosphere while its evaporator is cold: a hose would draw air in.".into(),
                format!(
                    "Letting the cold part warm up first, door open and defrosted, well above {}.",
                    self.units.temperature(boils)
                ),
            ),
            Missing::Unknown => (
                "No single change that was tried makes it safe.".into(),
                "See why each way that was tried does not go; more than one thing has to change.".into(),
            ),
        };
        wire::Because { say, would_help }
    }
}

/// What is not done on a sealed circuit, and what is done instead.
fn sealed(kind: JobKind) -> (String, String) {
    let (say, would_help) = match kind {
        JobKind::TakeReadings => (
            "The circuit is sealed, and a piercing valve only to read it would leave a leak behind.",
            "Temperatures, the current and where the frost ends tell most without a gauge; gauges go on with a repair: plan \"take readings\" with \"fit an \
             access valve\" on the same visit.",
        ),
        JobKind::TopUp => (
            "The circuit is sealed: what is missing has leaked out, and so would what is added.",
            "Finding the leak: plan \"repair the leak\" there. The circuit is emptied, repaired, given an access valve, and the whole charge is weighed in.",
        ),
        JobKind::AddOil => (
            "The circuit is sealed: no port leads to the compressor's oil.",
            "Plan \"change the oil\", which opens the circuit; oil goes in before it is closed and evacuated.",
        ),
        _ => (
            "The circuit is sealed: no valve shuts its liquid supply off, so nothing was pumped down that could be let back.",
            "Nothing: after a repair its plan ends with the charge weighed in and the system running.",
        ),
    };
    (say.to_owned(), would_help.to_owned())
}
