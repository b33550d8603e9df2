//! What the tests of tables share.

use crate::random::Random;
use stemwise_thermo::{Given, MixtureState, State, StateTable, Substance};
use stemwise_units::{Density, Temperature};

/// A random state of a substance as a simulation meets them: a third of them in two phases, densities down to vacuum.
pub(crate) fn random_table_state(substance: &Substance, random: &mut Random) -> Option<MixtureState> {
    let critical = substance.critical_temperature().as_k();
    let cold = substance.lowest_temperature().as_k().max((0.55 * critical).min(200.0)) * 1.0001;
    let given = if random.next() < 0.35 {
        let t = cold + random.next() * (0.98 * critical - cold);
        Given::TemperatureQuality(Temperature::from_k(t), random.next())
    } else {
        let t = cold + random.next() * ((1.3 * critical).max(465.0) - cold);
        let rho = libm::exp(-9.7 + 17.0 * random.next());
        Given::TemperatureDensity(Temperature::from_k(t), Density::from_kg_per_m3(rho))
    };
    substance.state(given).ok().filter(|state| state.raw().p < 29.9e6)
}

/// What came of asking a table.
#[derive(Debug)]
pub(crate) struct Asked {
    pub(crate) missing: u32,
    pub(crate) two_phase: u32,
}

/// A table against the full model at random states: within the bounds that its page states.
#[track_caller]
pub(crate) fn table_gaps(table: &StateTable, count: u32, seed: u64) -> Asked {
    let name = table.substance().name();
    let mut random = Random(seed);
    let (mut seen, mut asked) = (0, Asked { missing: 0, two_phase: 0 });
    while seen < count {
        let Some(state) = random_table_state(table.substance(), &mut random) else { continue };
        let full = state.raw();
        seen += 1;
        let Some(found) = table.look_up_detail(full.rho, full.u) else {
            asked.missing += 1;
            continue;
        };
        let off = (found.pascal - full.p).abs();
        // What an error of the pressure means as one of the density: that of a liquid is stiff.
        let stands_for = full.w.map_or(f64::INFINITY, |w| off / (full.rho * w * w));
        assert!((found.kelvin / full.t - 1.0).abs() < 3e-6, "{name}: {found:?}, {full:?}");
        assert!(off < 1e-5 * full.p || stands_for < 1e-6, "{name}: {found:?}, {full:?}");
        assert!((found.entropy - full.s).abs() < 0.05, "{name}: {found:?}, {full:?}");
        let plain = table.look_up(full.rho, full.u).unwrap();
        assert!((plain.kelvin, plain.pascal) == (found.kelvin, found.pascal), "{name}: {plain:?} {found:?}");
        if let (Some(phases), Some(liquid), Some(vapour)) = (found.phases, full.rho_l, full.rho_v) {
            asked.two_phase += 1;
            assert!((phases.liquid_density / liquid - 1.0).abs() < 1e-5, "{name}: {phases:?}, {full:?}");
            assert!((phases.vapour_density / vapour - 1.0).abs() < 1e-5, "{name}: {phases:?}, {full:?}");
            if let Substance::Pure(fluid) = table.substance() {
                let at = fluid.saturation_at(Temperature::from_k(full.t)).unwrap();
                let off = |ours: f64, state: &State| (ours - state.enthalpy().as_j_per_kg()).abs();
                let worst =
                    off(phases.liquid_enthalpy, &at.liquid).max(off(phases.vapour_enthalpy, &at.vapour));
                assert!(worst < 5.0, "{name}: {phases:?}, {at:?}");
            }
        }
    }
    asked
}
