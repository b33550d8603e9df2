//! What one section comes to at rest: one pressure, liquid where it is coldest and lowest, mass kept.

use crate::props::{AIR, GAS_CONSTANT, NITROGEN, Refrigerant, Sat};

/// One space of a section, in SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Cell {
    /// m³.
    pub(crate) volume: f64,
    /// K.
    pub(crate) kelvin: f64,
    /// m; liquid settles where it is lowest.
    pub(crate) height: f64,
}

/// What a section holds, kg.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Load {
    pub(crate) refrigerant: f64,
    pub(crate) air: f64,
    pub(crate) nitrogen: f64,
}

impl Load {
    pub(crate) fn moles_of_gas(&self) -> f64 {
        self.air / AIR + self.nitrogen / NITROGEN
    }
    pub(crate) fn add(&mut self, other: Self) {
        self.refrigerant += other.refrigerant;
        self.air += other.air;
        self.nitrogen += other.nitrogen;
    }
}

/// A space of a section at rest.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Held {
    /// Refrigerant, kg.
    pub(crate) refrigerant: f64,
    /// The part of the volume that liquid fills.
    pub(crate) liquid: f64,
}

/// A section at rest.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct AtRest {
    /// Total pressure, Pa.
    pub(crate) pressure: f64,
    /// What each space holds, in the order given.
    pub(crate) held: Vec<Held>,
    /// How the pressure came about.
    pub(crate) full_of_liquid: bool,
}

/// Spaces of one temperature.
struct Group {
    kelvin: f64,
    volume: f64,
    sat: Option<Sat>,
    members: Vec<usize>,
}

/// Settles one section.
pub(crate) fn at_rest(cells: &[Cell], load: &Load, refrigerant: &Refrigerant) -> AtRest {
    let groups = groups(cells, refrigerant);
    let mass = load.refrigerant.max(0.0);
    let (p, filled) = pressure(&groups, mass, refrigerant);
    let mut held = vec![Held::default(); cells.len()];
    let mut left = mass;
    for (at, group) in groups.iter().enumerate() {
        let two_phase = at == filled.liquid_groups && filled.two_phase;
        let liquid_only = at < filled.liquid_groups;
        let share = match (two_phase, groups.as_slice()) {
            (true, _) => None,
            (false, [only]) if !liquid_only && only.volume > 0.0 => Some(mass / only.volume),
            (false, _) => Some(density(group, p, liquid_only, refrigerant)),
        };
        for &member in &group.members {
            let (Some(cell), Some(slot)) = (cells.get(member), held.get_mut(member)) else { continue };
            if let Some(rho) = share {
                slot.refrigerant = rho * cell.volume;
                slot.liquid = if liquid_only { 1.0 } else { 0.0 };
                left -= slot.refrigerant;
            }
        }
    }
    if let (true, Some(group)) = (filled.two_phase, groups.get(filled.liquid_groups)) {
        lay(group, cells, left, &mut held);
    }
    even_out(&mut held, mass);
    let vapour: f64 =
        cells.iter().zip(&held).map(|(cell, held)| cell.volume * (1.0 - held.liquid) / cell.kelvin).sum();
    let gas = if vapour > 0.0 { load.moles_of_gas() * GAS_CONSTANT / vapour } else { 0.0 };
    AtRest {
        pressure: p + gas,
        held,
        full_of_liquid: filled.liquid_groups >= groups.len() && !groups.is_empty(),
    }
}

/// Rounding is put where most is, so that no mass is made or lost.
fn even_out(held: &mut [Held], mass: f64) {
    let sum: f64 = held.iter().map(|held| held.refrigerant).sum();
    let largest = held.iter_mut().max_by(|a, b| a.refrigerant.total_cmp(&b.refrigerant));
    if let Some(largest) = largest {
        largest.refrigerant = (largest.refrigerant + mass - sum).max(0.0);
    }
}

fn groups(cells: &[Cell], refrigerant: &Refrigerant) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for (at, cell) in cells.iter().enumerate() {
        match groups.iter_mut().find(|group| group.kelvin.to_bits() == cell.kelvin.to_bits()) {
            Some(group) => {
                group.volume += cell.volume;
                group.members.push(at);
            }
            None => groups.push(Group {
                kelvin: cell.kelvin,
                volume: cell.volume,
                sat: refrigerant.sat(cell.kelvin),
                members: vec![at],
            }),
        }
    }
    groups.sort_by(|a, b| a.kelvin.total_cmp(&b.kelvin));
    groups
}

/// How many of the coldest groups hold liquid only, and whether the next holds both.
struct Filled {
    liquid_groups: usize,
    two_phase: bool,
}

fn density(group: &Group, p: f64, liquid: bool, refrigerant: &Refrigerant) -> f64 {
    if liquid { refrigerant.dense(group.kelvin, p) } else { refrigerant.thin(group.kelvin, p) }
}

/// The mass that the groups hold at a pressure, the first `liquid` of them full of liquid.
fn mass_at(groups: &[Group], p: f64, liquid: usize, refrigerant: &Refrigerant) -> f64 {
    let each = groups.iter().enumerate();
    each.map(|(at, group)| group.volume * density(group, p, at < liquid, refrigerant)).sum()
}

/// The refrigerant's pressure. The mass rises with the pressure and jumps where a group condenses; the jump that spans the mass is where
/// liquid and vapour are together.
fn pressure(groups: &[Group], mass: f64, refrigerant: &Refrigerant) -> (f64, Filled) {
    let volume: f64 = groups.iter().map(|group| group.volume).sum();
    if mass <= 0.0 || volume <= 0.0 {
        return (0.0, Filled { liquid_groups: 0, two_phase: false });
    }
    let mut below = 0.0;
    for (at, group) in groups.iter().enumerate() {
        let Some(sat) = group.sat else { break };
        let rest: f64 = mass_at(groups, sat.p, at, refrigerant) - group.volume * sat.vapour;
        if let ([only], true) = (groups, mass <= group.volume * sat.vapour) {
            // All at one temperature: its density is known, and so is its pressure.
            let p = refrigerant.pressure_of_thin(only.kelvin, mass / volume);
            return (p, Filled { liquid_groups: 0, two_phase: false });
        }
        if mass <= rest + group.volume * sat.vapour {
            let p = solve(groups, mass, at, below, sat.p, refrigerant);
            return (p, Filled { liquid_groups: at, two_phase: false });
        }
        if mass <= rest + group.volume * sat.liquid {
            return (sat.p, Filled { liquid_groups: at, two_phase: true });
        }
        below = sat.p;
    }
    let liquid = groups.iter().take_while(|group| group.sat.is_some()).count();
    if liquid == groups.len()
        && let [only] = groups
    {
        let p = refrigerant.liquid_full_pressure(only.kelvin, mass / only.volume);
        return (p, Filled { liquid_groups: 1, two_phase: false });
    }
    let p = solve(groups, mass, liquid, below, HIGHEST, refrigerant);
    (p, Filled { liquid_groups: liquid, two_phase: false })
}

/// Above this nothing holds: 2000 bar.
pub(crate) const HIGHEST: f64 = 2e8;

/// The pressure between two limits at which the groups hold the mass: false position with halving, on a rising function.
fn solve(groups: &[Group], mass: f64, liquid: usize, low: f64, high: f64, refrigerant: &Refrigerant) -> f64 {
    let off = |p: f64| mass_at(groups, p, liquid, refrigerant) - mass;
    let (mut a, mut b) = (low, high);
    let (mut fa, mut fb) = (if low > 0.0 { off(low) } else { -mass }, off(high));
    if fb <= 0.0 {
        return high;
    }
    if fa >= 0.0 {
        return low;
    }
    for round in 0..80 {
        let straight = a + (b - a) * (-fa) / (fb - fa);
        let p = if round % 4 == 3 { 0.5 * (a + b) } else { straight };
        let f = off(p);
        if f.abs() <= 1e-13 * mass || (b - a) <= 1e-13 * b {
            return p;
        }
        if f > 0.0 {
            (b, fb) = (p, f);
            fa *= 0.5;
        } else {
            (a, fa) = (p, f);
            fb *= 0.5;
        }
    }
    0.5 * (a + b)
}

/// Lays the liquid of a two-phase group: lowest space first.
fn lay(group: &Group, cells: &[Cell], mass: f64, held: &mut [Held]) {
    let Some(sat) = group.sat else { return };
    let mut liquid = ((mass - sat.vapour * group.volume) / (sat.liquid - sat.vapour)).max(0.0);
    let mut order = group.members.clone();
    let height = |at: &usize| cells.get(*at).map_or(0.0, |cell| cell.height);
    order.sort_by(|a, b| height(a).total_cmp(&height(b)).then(a.cmp(b)));
    for at in order {
        let (Some(cell), Some(slot)) = (cells.get(at), held.get_mut(at)) else { continue };
        let part = liquid.min(cell.volume);
        liquid -= part;
        slot.liquid = if cell.volume > 0.0 { part / cell.volume } else { 0.0 };
        slot.refrigerant = part * sat.liquid + (cell.volume - part) * sat.vapour;
    }
}
