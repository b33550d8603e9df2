//! What a file can say and a circuit can hardly mean: settings that don't fit each other, flow that would run the wrong way.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use stemwise_thermo::Substance;
use stemwise_units::Pressure;

use super::element::Setting;
use super::problem::Problems;
use super::table::Fields;
use crate::{Graph, Joint, JointId, JointKind, SpaceId, SpaceKind};

/// Design pressures against saturation at the hottest.
pub(super) fn check_design(
    graph: &Graph,
    substance: &Substance,
    setting: &Setting,
    top: &Fields<'_>,
    problems: &mut Problems<'_>,
) {
    for space in &graph.spaces {
        let (Some(design), Some(place)) =
            (space.design, space.place.and_then(|place| setting.places.get(place.index())))
        else {
            continue;
        };
        let Ok(saturation) = substance.saturation_at(place.temperature.high) else { continue };
        let saturation = saturation.bubble.pressure();
        if !design.is_estimate() && saturation > design.value {
            let say = format!(
                "\"{}\" is built for {:.1} bar absolute, but at {:.0} °C in \"{}\" saturation alone is {:.1} bar",
                space.id,
                design.value.as_bar(),
                place.temperature.high.as_celsius(),
                place.id,
                saturation.as_bar()
            );
            let at = top.table("design", problems).map_or(0..0, |fields| fields.at);
            problems.warning(
                &at,
                "design-below-saturation",
                say,
                "look at the design pressures, the places and the refrigerant",
            );
            return;
        }
    }
}

/// Looks at a whole graph; `places` says where in the file each id stands.
pub(super) fn check_sense(
    graph: &Graph,
    atmosphere: Pressure,
    places: &BTreeMap<&str, Range<usize>>,
    problems: &mut Problems<'_>,
) {
    let place = |id: &str| places.get(id).cloned().unwrap_or(0..0);
    let mut compressors = 0;
    for (id, joint) in graph.joints_with_ids() {
        match &joint.kind {
            JointKind::Relief { setting } => {
                let design = graph.space(joint.a).and_then(|space| space.design);
                let lifts = setting.absolute(atmosphere);
                if let Some(design) = design.filter(|design| !design.is_estimate() && lifts > design.value) {
                    let say = format!(
                        "\"{}\" lifts at {:.1} bar absolute, above the {:.1} bar that what it protects is built for",
                        joint.id,
                        lifts.as_bar(),
                        design.value.as_bar()
                    );
                    problems.warning(&place(&joint.id), "relief-above-design", say, "read both plates again");
                }
            }
            JointKind::Compressor(controls) => {
                compressors += 1;
                if let (Some(low), Some(high)) = (controls.low_cut_out, controls.high_cut_out)
                    && low >= high
                {
                    let say = format!(
                        "the low-pressure cut-out of \"{}\" is not below its high-pressure cut-out",
                        joint.id
                    );
                    problems.warning(
                        &place(&joint.id),
                        "cut-outs-crossed",
                        say,
                        "exchange them, or read both controls again",
                    );
                }
                let design =
                    graph.space(joint.b).and_then(|space| space.design).filter(|it| !it.is_estimate());
                let cuts = controls.high_cut_out.map(|cut| cut.absolute(atmosphere));
                if let (Some(design), Some(cuts)) = (design, cuts)
                    && cuts > design.value
                {
                    let say = format!(
                        "the high-pressure control of \"{}\" cuts out at {:.1} bar absolute, above the {:.1} bar that its high side is built for",
                        joint.id,
                        cuts.as_bar(),
                        design.value.as_bar()
                    );
                    problems.warning(
                        &place(&joint.id),
                        "cut-out-above-design",
                        say,
                        "read the control and the plate again",
                    );
                }
                backwards(graph, id, joint, &place, problems);
            }
            _ => {}
        }
    }
    if compressors == 0 {
        let say = "no compressor is in the circuit";
        problems.warning(&(0..0), "no-compressor", say, "add the compressor, if there is one");
    }
}

/// Behind a compressor's discharge a condenser comes before an evaporator, where nothing but open pipe and stems lies between.
fn backwards(
    graph: &Graph,
    own: JointId,
    compressor: &Joint,
    place: &impl Fn(&str) -> Range<usize>,
    problems: &mut Problems<'_>,
) {
    let passes = |joint: &Joint| {
        matches!(
            joint.kind,
            JointKind::Pipe
                | JointKind::ServiceValve { .. }
                | JointKind::LineSetValve { .. }
                | JointKind::HandValve { .. }
        )
    };
    let mut reached: BTreeSet<SpaceId> = BTreeSet::from([compressor.b]);
    let mut left = vec![compressor.b];
    while let Some(here) = left.pop() {
        let kind = graph.space(here).map(|space| space.kind);
        if kind == Some(SpaceKind::Condenser) {
            continue;
        }
        if kind == Some(SpaceKind::Evaporator) {
            let say = format!("the discharge side of \"{}\" leads straight to an evaporator", compressor.id);
            let hint = "a walk names things the way the refrigerant flows: compressor, condenser, metering device, evaporator";
            problems.warning(&place(&compressor.id), "flows-backwards", say, hint);
            return;
        }
        let next =
            graph.joints_with_ids().filter(|(id, joint)| *id != own && joint.touches(here) && passes(joint));
        for (_, joint) in next {
            let other = joint.other(here);
            if reached.insert(other) {
                left.push(other);
            }
        }
    }
}
