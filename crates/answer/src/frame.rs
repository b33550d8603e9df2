//! A state as a face draws it.

use stemwise_circuit::{Assembly, JointKind, SpaceId};
use stemwise_service::{Cap, Contents, Done, Finding, Refrigerant};
use stemwise_units::UnitSystem;
use stemwise_wire as wire;

use crate::joined::View;
use crate::words;

/// Below this a space without liquid counts as empty, Pa: a compound gauge shows no difference from a full vacuum there (assumed).
const VACUUM_PA: f64 = 2_000.0;
/// Less liquid than this part of a space is a film that nobody would call liquid (assumed).
const FILM: f64 = 1e-3;
/// Molar masses of dry air and nitrogen, kg/mol (CODATA/CIPM-2007 air; IUPAC nitrogen).
const AIR_KG_PER_MOL: f64 = 0.028_965;
const NITROGEN_KG_PER_MOL: f64 = 0.028_013;

/// A state with its hazards, drawn.
pub(crate) fn frame(
    assembly: &Assembly,
    refrigerant: &Refrigerant,
    done: &Done,
    hazards: &[Finding],
    units: UnitSystem,
) -> wire::Frame {
    let graph = &assembly.graph;
    let state = &done.state;
    let joint = |id| graph.joint(id).map(|joint| joint.id.clone());
    let port = |id| graph.port(id).map(|port| port.id.clone());
    let stems = graph
        .joints_with_ids()
        .filter_map(|(id, found)| {
            state.lineup.position(id).map(|at| (found.id.clone(), words::position(at).to_owned()))
        })
        .collect();
    let hoses =
        state.lineup.attached.iter().filter_map(|on| {
            Some(wire::HoseOn { hose: graph.space(on.hose)?.id.clone(), port: port(on.port)? })
        });
    let cap = |cap: &Cap| match *cap {
        Cap::Port(at) => port(at).map(|id| wire::CapOff { of: "port".into(), id }),
        Cap::Stem(at) => joint(at).map(|id| wire::CapOff { of: "stem".into(), id }),
    };
    let view = View { assembly, done };
    wire::Frame {
        stems,
        running: running(assembly, done),
        held_open: state.lineup.held_open.iter().filter_map(|&id| joint(id)).collect(),
        hoses: hoses.collect(),
        cores_out: state.lineup.cores_out.iter().filter_map(|&id| port(id)).collect(),
        caps_off: state.caps_off.iter().filter_map(cap).collect(),
        nuts_eased: state.nuts_eased.iter().filter_map(|&id| joint(id)).collect(),
        fitted: state.pierced.iter().chain(&state.brazed).filter_map(|&id| port(id)).collect(),
        open_spaces: state.open_spaces.iter().filter_map(|&id| Some(graph.space(id)?.id.clone())).collect(),
        locked_out: state.locked_out,
        spaces: graph
            .spaces_with_ids()
            .filter_map(|(id, _)| space(assembly, refrigerant, done, id))
            .collect(),
        gauges: state.lineup.attached.iter().filter_map(|on| view.gauge(on.port)).collect(),
        hazards: hazards.iter().map(|finding| words::hazard(finding, assembly, units)).collect(),
        left: wire::LeftFrame {
            recovered_kg: state.left.recovered_kg,
            lost_kg: state.left.lost_kg,
            charged_kg: state.left.charged_kg,
            oil_kg: state.left.oil_kg,
        },
    }
}

fn running(assembly: &Assembly, done: &Done) -> Vec<String> {
    let joints = assembly.graph.joints_with_ids();
    let on = joints.filter(|&(id, _)| done.state.lineup.is_active(id));
    on.filter(|(_, joint)| {
        // Without power nothing of the circuit's own runs.
        let own = matches!(joint.kind, JointKind::Compressor(_) | JointKind::Solenoid { .. });
        !(own && done.state.locked_out)
    })
    .map(|(_, joint)| joint.id.clone())
    .collect()
}

fn space(
    assembly: &Assembly,
    refrigerant: &Refrigerant,
    done: &Done,
    id: SpaceId,
) -> Option<wire::SpaceFrame> {
    let held = done.state.held(id)?;
    let pressure = done.settled.pressure(id)?;
    let liquid = done.settled.liquid_fraction(id);
    Some(wire::SpaceFrame {
        space: assembly.graph.space(id)?.id.clone(),
        section: done.settled.sections.of(id)?,
        pressure_pa: pressure.as_pa(),
        temperature_k: held.temperature.as_k(),
        refrigerant_kg: held.refrigerant.as_kg(),
        air_kg: held.air.as_kg(),
        nitrogen_kg: held.nitrogen.as_kg(),
        liquid_fraction: liquid,
        holds: holds(refrigerant, held, pressure.as_pa(), liquid).into(),
    })
}

/// What one would say is in there.
fn holds(refrigerant: &Refrigerant, held: &Contents, pressure_pa: f64, liquid: f64) -> &'static str {
    let refrigerant_mol = held.refrigerant.as_kg() / refrigerant.substance().molar_mass_kg_per_mol();
    let (air, nitrogen) = (held.air.as_kg() / AIR_KG_PER_MOL, held.nitrogen.as_kg() / NITROGEN_KG_PER_MOL);
    if liquid > 1.0 - FILM {
        "liquid"
    } else if liquid > FILM {
        "liquid-and-vapour"
    } else if pressure_pa < VACUUM_PA {
        "vacuum"
    } else if air.max(nitrogen) > refrigerant_mol {
        if air > nitrogen { "air" } else { "nitrogen" }
    } else {
        "vapour"
    }
}
