//! Opening the circuit: what comes out, what goes in, and what the refrigerant asks for.

use stemwise_circuit::SpaceId;
use stemwise_units::{Mass, Temperature};

use crate::hazard::{Finding, Look, Severity};
use crate::{Action, Refrigerant, required_level_of};

/// Within this part of the atmosphere a gauge shows 0.
const ZERO: f64 = 0.03;
/// Losses of hoses and residual vapour below this are a caution only (de minimis), kg.
const DE_MINIMIS: f64 = 0.010;
const MUCH: f64 = 0.100;

fn opened<'a>(look: &Look<'a>) -> Option<&'a [SpaceId]> {
    match look.action {
        Some(Action::OpenUp { spaces, .. }) => Some(spaces),
        _ => None,
    }
}

pub(crate) fn pressure_opened(look: &Look<'_>, found: &mut Vec<Finding>) {
    let spaces = opened(look).unwrap_or(&[]);
    let over = spaces.iter().find(|space| look.pressure_before(**space) > (1.0 + ZERO) * look.atmosphere());
    if let Some(&space) = over {
        let pressure = look.pressure_before(space);
        // Up to the stop pressure of a pump-down a joint may be cracked slowly; above it parts fly.
        let severity = if pressure > 1.2 * look.atmosphere() { Severity::Danger } else { Severity::Warning };
        found.push(Finding::new("pressure-opened", severity).space(space).pressure(pressure));
    }
}

/// Whether what is opened holds no more refrigerant than it may at the required level (40 CFR 82.156(a)): in a large system that little
/// is kilograms, and no rule asks for more.
fn recovered_first(look: &Look<'_>) -> bool {
    let level = required_level_of(look.assembly, look.refrigerant);
    let sections = &look.before.settled.sections;
    let drawn: Vec<SpaceId>;
    let spaces = match (opened(look), look.action) {
        (Some(spaces), _) => spaces,
        // What is swept out with nitrogen, or pulled out, before the opening would have gone with it.
        (None, Some(Action::ReleaseNitrogen { .. } | Action::Evacuate { .. })) => {
            let centre = sections.of(look.assembly.rigged.centre_hose);
            let upstream = centre.map_or_else(Vec::new, |centre| sections.upstream(centre, true));
            drawn = upstream.iter().flat_map(|&section| sections.members(section)).copied().collect();
            &drawn
        }
        _ => return false,
    };
    let opened = sections.iter().filter(|members| spaces.iter().any(|space| members.contains(space)));
    let (mut held, mut allowed) = (0.0, 0.0);
    for &space in opened.flatten() {
        let volume = look.assembly.graph.space(space).map_or(0.0, |space| space.volume.value.as_m3());
        let Some(contents) = look.before.state.held(space) else { continue };
        held += contents.refrigerant.as_kg();
        allowed += volume * look.refrigerant.thin(contents.temperature.as_k(), level.as_pa());
    }
    // Temperatures even out while a section is emptied: a twentieth of tolerance.
    held <= 1.05 * allowed
}

pub(crate) fn vented(look: &Look<'_>, found: &mut Vec<Finding>) {
    let kg = look.after.state.left.lost_kg - look.before.state.left.lost_kg;
    // A hose always loses the little that is in it; the account has it.
    let hose = matches!(look.action, Some(Action::DetachHose { .. }));
    if hose && kg <= DE_MINIMIS {
        return;
    }
    let severity = match kg {
        _ if kg > MUCH && !recovered_first(look) => Severity::Danger,
        _ if kg > DE_MINIMIS => Severity::Warning,
        // Traces in the test gas and before the vacuum pump are nothing to mind.
        _ if kg > 1e-4 && opened(look).is_some() => Severity::Caution,
        _ => return,
    };
    let mut finding = Finding::new("refrigerant-vented", severity);
    finding.mass = Some(Mass::from_kg(kg));
    found.push(finding);
}

pub(crate) fn air_drawn_in(look: &Look<'_>, found: &mut Vec<Finding>) {
    let spaces = opened(look).unwrap_or(&[]);
    let under = spaces.iter().find(|space| look.pressure_before(**space) < (1.0 - ZERO) * look.atmosphere());
    if let Some(&space) = under {
        found.push(
            Finding::new("air-drawn-in", Severity::Danger).space(space).pressure(look.pressure_before(space)),
        );
    }
}

pub(crate) fn heat(look: &Look<'_>, found: &mut Vec<Finding>) {
    let spaces = match look.action {
        Some(Action::OpenUp { spaces, with_heat: true } | Action::CloseUp { spaces, with_heat: true }) => {
            spaces
        }
        _ => return,
    };
    for &space in spaces {
        let refrigerant = look.before.state.held(space).map_or(0.0, |held| held.refrigerant.as_kg());
        let vented = look.before.state.open_spaces.contains(&space);
        if refrigerant > 1e-6 || !vented {
            let finding = Finding::new("heat-on-refrigerant", Severity::Danger);
            found.push(finding.space(space).pressure(look.pressure_before(space)));
            return;
        }
    }
}

pub(crate) fn not_locked_out(look: &Look<'_>, found: &mut Vec<Finding>) {
    if let (Some([first, ..]), false) = (opened(look), look.before.state.locked_out) {
        found.push(Finding::new("not-locked-out", Severity::Danger).space(*first));
    }
}

/// Actions at which the refrigerant's own dangers matter.
fn handles_refrigerant(look: &Look<'_>) -> bool {
    matches!(
        look.action,
        Some(
            Action::OpenUp { .. }
                | Action::CloseUp { .. }
                | Action::AttachHose { .. }
                | Action::Charge { .. }
                | Action::ChargeThrottled { .. }
        )
    )
}

fn class_of(refrigerant: &Refrigerant) -> &str {
    refrigerant.substance().safety_class().unwrap_or_default()
}

/// Whether a refrigerant burns: classes 2L, 2 and 3 of ANSI/ASHRAE Standard 34.
pub fn is_flammable(refrigerant: &Refrigerant) -> bool {
    let class = class_of(refrigerant);
    class.contains('2') || class.contains('3')
}

pub(crate) fn flammable(look: &Look<'_>, found: &mut Vec<Finding>) {
    if handles_refrigerant(look) && is_flammable(look.refrigerant) {
        found.push(Finding::new("flammable-refrigerant", Severity::Caution));
    }
}

pub(crate) fn toxic(look: &Look<'_>, found: &mut Vec<Finding>) {
    if handles_refrigerant(look) && class_of(look.refrigerant).starts_with('B') {
        found.push(Finding::new("toxic-refrigerant", Severity::Caution));
    }
}

/// Above 355 psia at 104 °F, or a critical temperature below that (40 CFR 82.152).
pub(crate) fn very_high_pressure(look: &Look<'_>, found: &mut Vec<Finding>) {
    if !handles_refrigerant(look)
        || crate::level::PressureClass::of(look.refrigerant) != crate::level::PressureClass::VeryHigh
    {
        return;
    }
    let hot = Temperature::from_fahrenheit(104.0);
    let pressure = look
        .refrigerant
        .sat(hot.as_k())
        .map_or(look.refrigerant.substance().critical_pressure().as_pa(), |sat| sat.p);
    let mut finding = Finding::new("very-high-pressure", Severity::Caution).pressure(pressure);
    finding.temperature = Some(hot);
    found.push(finding);
}
