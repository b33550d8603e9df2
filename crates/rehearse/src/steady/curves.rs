//! Refrigerant properties for the steady balance: both ends of the dome and the vapour above it over the logarithm of the pressure, made once
//! from the full model, for pure fluids and blends alike. Energies have the IIR reference state.

use stemwise_thermo::{Error, Given, RawState, Substance};
use stemwise_units::{Pressure, Temperature};

/// Nodes over the logarithm of the pressure, and over the temperature.
const NODES: usize = 56;
const WARMTHS: usize = 96;
/// Superheats at which vapour is known, K.
const ABOVE: [f64; 7] = [0.0, 2.0, 8.0, 20.0, 42.0, 80.0, 135.0];
/// Enthalpy, logarithm of density and entropy at the dew point, and divided differences of how fast each grows from there on, over the warped
/// superheats: near the critical pressure a vapour's heat falls steeply at first, and the mean of it from the dew point on far less so.
const VAPOUR: usize = 3 * ABOVE.len();
/// Bubble and dew temperature, logarithms of both densities, liquid's enthalpy and heat, vapour's exponent; then the vapour.
const COLUMNS: usize = 7 + VAPOUR;
/// The curves reach up to this part of the critical pressure.
const HIGHEST: f64 = 0.94;

/// Both phases at a pressure; SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Edges {
    /// Bubble and dew temperature, K.
    pub(super) bubble: f64,
    pub(super) dew: f64,
    pub(super) rho_l: f64,
    pub(super) rho_v: f64,
    pub(super) h_l: f64,
    pub(super) h_v: f64,
    /// Isobaric heat of the liquid, J/(kg K).
    pub(super) cp_l: f64,
    /// Isentropic exponent of the vapour.
    pub(super) kappa: f64,
    vapour: [f64; VAPOUR],
}

/// Vapour; SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Vapour {
    pub(super) t: f64,
    pub(super) h: f64,
    pub(super) rho: f64,
    pub(super) s: f64,
}

/// The curves of one refrigerant.
#[derive(Clone, Debug)]
pub(super) struct Curves {
    nodes: Vec<[f64; COLUMNS]>,
    low: f64,
    per_log: f64,
    /// Logarithms of bubble and dew pressure at equal steps of temperature.
    warmth: Vec<[f64; 2]>,
    cold: f64,
    per_kelvin: f64,
    pub(super) highest_pa: f64,
    pub(super) lowest_pa: f64,
}

impl Curves {
    pub(super) fn new(substance: &Substance) -> Result<Self, Error> {
        let highest_pa = HIGHEST * substance.critical_pressure().as_pa();
        let critical = substance.critical_temperature().as_k();
        let cold = substance.lowest_temperature().as_k().max(0.56 * critical) + 1.0;
        let lowest_pa = substance.saturation_raw(cold)?.dew;
        let (low, high) = (libm::log(lowest_pa), libm::log(highest_pa));
        let step = (high - low) / (NODES - 1) as f64;
        let nodes: Vec<_> = (0..NODES)
            .map(|at| node(substance, libm::exp(low + step * at as f64)))
            .collect::<Result<_, _>>()?;
        let mut curves = Self {
            nodes,
            low,
            per_log: 1.0 / step,
            warmth: Vec::new(),
            cold,
            per_kelvin: 1.0,
            highest_pa,
            lowest_pa,
        };
        curves.invert();
        Ok(curves)
    }

    /// Pressures over the temperature, from the curves themselves.
    fn invert(&mut self) {
        let (cold, hot) = (self.at(self.lowest_pa).bubble, self.at(self.highest_pa).dew);
        let step = (hot - cold) / (WARMTHS - 1) as f64;
        let find = |t: f64, pick: fn(&Edges) -> f64| {
            let (mut low, mut high) = (self.low, self.low + (NODES - 1) as f64 / self.per_log);
            for _ in 0..48 {
                let middle = 0.5 * (low + high);
                if pick(&self.at(libm::exp(middle))) < t { low = middle } else { high = middle }
            }
            0.5 * (low + high)
        };
        self.warmth = (0..WARMTHS)
            .map(|at| {
                let t = cold + step * at as f64;
                [find(t, |edges| edges.bubble), find(t, |edges| edges.dew)]
            })
            .collect();
        (self.cold, self.per_kelvin) = (cold, 1.0 / step);
    }

    /// Both phases at a pressure, Pa; beyond the curves' ends their ends.
    pub(super) fn at(&self, pascal: f64) -> Edges {
        let along = (libm::log(pascal.max(1.0)) - self.low) * self.per_log;
        let found = cubic(&self.nodes, along);
        let mut vapour = [0.0; VAPOUR];
        vapour.copy_from_slice(&found[7..]);
        Edges {
            bubble: found[0],
            dew: found[1],
            rho_l: libm::exp(found[2]),
            rho_v: libm::exp(found[3]),
            h_l: found[4],
            cp_l: found[5],
            kappa: found[6],
            h_v: found[7],
            vapour,
        }
    }

    /// Bubble and dew pressure at a temperature, Pa.
    pub(super) fn pressures(&self, kelvin: f64) -> (f64, f64) {
        let along = (kelvin - self.cold) * self.per_kelvin;
        let [bubble, dew] = cubic(&self.warmth, along);
        (libm::exp(bubble), libm::exp(dew))
    }
}

impl Edges {
    /// Vapour that much above the dew point, K.
    pub(super) fn vapour(&self, superheat: f64) -> Vapour {
        let superheat = superheat.clamp(0.0, 260.0);
        let column = |from: usize| {
            let terms = &self.vapour[from * ABOVE.len()..(from + 1) * ABOVE.len()];
            terms[0] + superheat * growth(terms, superheat).0
        };
        Vapour { t: self.dew + superheat, h: column(0), rho: libm::exp(column(1)), s: column(2) }
    }

    /// Superheat of vapour with that enthalpy, J/kg; 0 for wet vapour.
    pub(super) fn superheat(&self, h: f64) -> f64 {
        self.seek(0, h)
    }

    /// Superheat of vapour with that entropy, J/(kg K); 0 for wet vapour.
    pub(super) fn superheat_by_entropy(&self, s: f64) -> f64 {
        self.seek(2, s)
    }

    fn seek(&self, column: usize, wanted: f64) -> f64 {
        let start = column * ABOVE.len();
        let terms = &self.vapour[start..start + ABOVE.len()];
        if wanted <= terms[0] {
            return 0.0;
        }
        let mut at = ((wanted - terms[0]) / terms[1]).min(240.0);
        for _ in 0..12 {
            let (mean, bend) = growth(terms, at);
            let (value, slope) = (terms[0] + at * mean, mean + at * bend);
            let next = (at - (value - wanted) / slope).clamp(0.0, 260.0);
            let moved = (next - at).abs();
            at = next;
            if moved < 1e-7 {
                break;
            }
        }
        at
    }

    /// Vapour's part of the mass at an enthalpy: below 0 for subcooled liquid, above 1 for superheated vapour.
    pub(super) fn quality(&self, h: f64) -> f64 {
        (h - self.h_l) / (self.h_v - self.h_l)
    }

    /// Temperature in the dome at a quality.
    pub(super) fn wet_kelvin(&self, quality: f64) -> f64 {
        self.bubble + quality.clamp(0.0, 1.0) * (self.dew - self.bubble)
    }

    /// Mean density between two qualities that change evenly along a coil: void fraction by S. M. Zivi (J. Heat Transfer 86 (1964) 247), slip
    /// (rho_l/rho_v)^(1/3).
    pub(super) fn mean_density(&self, one: f64, other: f64) -> f64 {
        let (low, high) = (one.min(other).clamp(0.0, 1.0), one.max(other).clamp(0.0, 1.0));
        let ratio = self.rho_v / self.rho_l;
        let slip = libm::cbrt(ratio) * libm::cbrt(ratio);
        let void = if high - low < 1e-6 {
            low / (low + (1.0 - low) * slip)
        } else {
            let rest = 1.0 - slip;
            let primitive = |x: f64| x / rest - slip / (rest * rest) * libm::log(slip + rest * x);
            (primitive(high) - primitive(low)) / (high - low)
        };
        void * self.rho_v + (1.0 - void) * self.rho_l
    }
}

/// One node by the full model.
fn node(substance: &Substance, pascal: f64) -> Result<[f64; COLUMNS], Error> {
    let p = Pressure::from_pa(pascal);
    let at = |quality| substance.raw_state(Given::PressureQuality(p, quality));
    let (liquid, dew) = (at(0.0)?, at(1.0)?);
    let mut vapour: Vec<RawState> = vec![dew];
    for above in ABOVE.iter().skip(1) {
        vapour.push(substance.raw_state(Given::TemperaturePressure(Temperature::from_k(dew.t + above), p))?);
    }
    // Colder liquid, for its heat: the bubble point's own belongs to no pressure beside it in a mixture.
    let cold = substance.raw_state(Given::TemperaturePressure(Temperature::from_k(liquid.t - 5.0), p))?;
    let near = vapour.get(1).and_then(|state| state.w.map(|w| w * w * state.rho / pascal)).unwrap_or(1.1);
    let mut found = [0.0; COLUMNS];
    found[..7].copy_from_slice(&[
        liquid.t,
        dew.t,
        libm::log(liquid.rho),
        libm::log(dew.rho),
        liquid.h,
        (liquid.h - cold.h) / 5.0,
        near,
    ]);
    let columns: [fn(&RawState) -> f64; 3] = [|state| state.h, |state| libm::log(state.rho), |state| state.s];
    for (place, column) in found[7..].chunks_mut(ABOVE.len()).zip(columns) {
        let values: Vec<f64> = vapour.iter().map(column).collect();
        place.copy_from_slice(&divided(&values));
    }
    Ok(found)
}

/// Superheats from none to endless between 0 and 1.
const fn warp(superheat: f64) -> f64 {
    superheat / (superheat + 25.0)
}

/// By how much a value has grown for each kelvin above the dew point, and how that changes with the superheat.
fn growth(terms: &[f64], superheat: f64) -> (f64, f64) {
    let y = warp(superheat);
    let terms = terms.iter().zip(ABOVE).skip(1).rev();
    let (mean, slope) = terms.fold((0.0, 0.0), |(mean, slope), (term, above)| {
        let away = y - warp(above);
        (mean * away + term, slope * away + mean)
    });
    (mean, slope * 25.0 / ((superheat + 25.0) * (superheat + 25.0)))
}

/// The value at the dew point, then Newton's divided differences of its growth over [`ABOVE`].
fn divided(values: &[f64]) -> [f64; ABOVE.len()] {
    let mut table = [0.0; ABOVE.len()];
    table.iter_mut().zip(values).for_each(|(place, value)| *place = *value);
    for at in 1..ABOVE.len() {
        table[at] = (table[at] - table[0]) / ABOVE[at];
    }
    for order in 1..ABOVE.len() - 1 {
        for at in (order + 1..ABOVE.len()).rev() {
            table[at] = (table[at] - table[at - 1]) / (warp(ABOVE[at]) - warp(ABOVE[at - order]));
        }
    }
    table
}

/// Cubic through the four nearest nodes; the ends beyond them.
fn cubic<const N: usize>(nodes: &[[f64; N]], along: f64) -> [f64; N] {
    let last = nodes.len() - 1;
    let along = along.clamp(0.0, last as f64);
    let at = (along as usize).clamp(1, last - 2);
    let x = along - at as f64;
    let (below, above, further) = (x + 1.0, 1.0 - x, 2.0 - x);
    let weights = [
        -x * above * further / 6.0,
        below * above * further / 2.0,
        below * x * further / 2.0,
        -below * x * above / 6.0,
    ];
    let mut value = [0.0; N];
    for (node, weight) in nodes[at - 1..at + 3].iter().zip(weights) {
        for (slot, part) in value.iter_mut().zip(node) {
            *slot += weight * part;
        }
    }
    value
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]
    use super::*;
    use stemwise_units::{SpecificEnergy, SpecificHeat};

    /// The curves against the full model between their nodes, to 0.1 K of a vapour's temperature and 0.3 % of a density.
    #[test]
    fn curves_are_close_to_the_full_model() {
        for name in ["R-134a", "R-32", "R-600a", "R-410A", "R-407C"] {
            let substance = Substance::named(name).unwrap();
            let curves = Curves::new(&substance).unwrap();
            for part in [0.03, 0.11, 0.33, 0.6, 0.85] {
                let p = curves.lowest_pa.max(part * curves.highest_pa);
                let edges = curves.at(p);
                let whole = |given| substance.raw_state(given).unwrap();
                let dew = whole(Given::PressureQuality(Pressure::from_pa(p), 1.0));
                assert!(
                    (edges.dew - dew.t).abs() < 0.02 && (edges.rho_v / dew.rho - 1.0).abs() < 3e-3,
                    "{name} {p}"
                );
                for superheat in [1.0, 9.0, 33.0, 70.0] {
                    let found = edges.vapour(superheat);
                    let h = whole(Given::PressureEnthalpy(
                        Pressure::from_pa(p),
                        SpecificEnergy::from_j_per_kg(found.h),
                    ));
                    assert!((h.t - found.t).abs() < 0.1, "{name} {p} {superheat}: {} {}", h.t, found.t);
                    assert!((h.rho / found.rho - 1.0).abs() < 3e-3, "{name} {p} {superheat}");
                    let s = whole(Given::PressureEntropy(
                        Pressure::from_pa(p),
                        SpecificHeat::from_j_per_kg_k(found.s),
                    ));
                    assert!((s.t - found.t).abs() < 0.1, "{name} {p} {superheat}: {} {}", s.t, found.t);
                    assert!((edges.superheat(found.h) - superheat).abs() < 1e-5);
                }
                let (bubble, dew) = curves.pressures(edges.dew);
                assert!((dew / p - 1.0).abs() < 1e-4 && bubble >= dew * (1.0 - 1e-6), "{name} {p}: {dew}");
            }
        }
    }
}
