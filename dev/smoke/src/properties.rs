//! `thermo`: every fluid over a grid of states, by each pair of given values.

use stemwise_thermo::{
    Draw, Error, Fill, Fluid, Given, RawState, StateTable, Substance, Until, Vessel, blends, coverage,
    fluids, transport,
};
use stemwise_units::{Density, Pressure, SpecificEnergy, Temperature, Volume};

use crate::report::{Checksum, Report};

const STEPS: u32 = 6;

pub(crate) fn write(report: &mut Report) {
    for name in fluids() {
        match Fluid::named(name) {
            Ok(fluid) => write_fluid(report, fluid),
            Err(error) => report.line(&format!("{name}: error: {error}")),
        }
    }
    for blend in blends() {
        match Substance::named(blend.name()) {
            Ok(substance) => write_blend(report, &substance),
            Err(error) => report.line(&format!("{}: error: {error}", blend.name())),
        }
    }
    for name in ["R-134a", "R-404A", "R-455A"] {
        match Substance::named(name).and_then(|substance| whole_surface(report, name, substance)) {
            Ok(()) => {}
            Err(error) => report.line(&format!("{name}: error: {error}")),
        }
    }
    report.digest("coverage", &format!("{:?}", coverage()));
}

/// Bubble and dew points, a state in the dome and a vapour by several pairs, and the transport properties of that vapour.
fn write_blend(report: &mut Report, substance: &Substance) {
    let (mut sum, mut found) = (Checksum::default(), 0);
    let mut take = |given| {
        let state = substance.state(given);
        found += u32::from(state.is_ok());
        sum.bytes(format!("{state:?}").as_bytes());
        state.ok()
    };
    let critical = substance.critical_temperature().as_k();
    for share in [0.6, 0.75, 0.9] {
        let t = Temperature::from_k(share * critical);
        for q in [0.0, 0.4, 1.0] {
            take(Given::TemperatureQuality(t, q));
        }
    }
    let (t, p) =
        (Temperature::from_k(0.9 * critical), Pressure::from_pa(0.1 * substance.critical_pressure().as_pa()));
    if let Some(state) = take(Given::TemperaturePressure(t, p)) {
        take(Given::PressureEnthalpy(p, state.enthalpy()));
        take(Given::DensityEnergy(state.density(), state.energy()));
        take(Given::EnthalpyEntropy(state.enthalpy(), state.entropy()));
        if let Some(mixture) = substance.mixture() {
            let flows = transport::mixture_viscosity(mixture, t, state.density());
            let conducts = transport::mixture_thermal_conductivity(mixture, t, state.density());
            sum.bytes(format!("{flows:?} {conducts:?}").as_bytes());
        }
    }
    report.line(&format!("{}: {found} states, {}", substance.name(), sum.hex()));
}

/// The phase envelope, a leak until half is gone, and tables by density and energy.
fn whole_surface(report: &mut Report, name: &str, substance: Substance) -> Result<(), Error> {
    let envelope = substance.envelope()?;
    report.digest(&format!("{name}, envelope of {} points", envelope.points.len()), &format!("{envelope:?}"));
    let fill = Fill::VolumeLiquid(Volume::from_l(10.0), 0.8);
    let leak = Vessel::new(&substance, Temperature::from_celsius(25.0), fill)
        .and_then(|mut vessel| vessel.draw(Draw::Vapour, Until::PartLeft(0.5), &[0.75]));
    report.digest(&format!("{name}, leak"), &format!("{leak:?}"));
    let table = StateTable::of(substance)?;
    let mut sum = Checksum::default();
    for density in [0.001, 1.0, 30.0, 400.0, 1100.0] {
        for energy in [210e3, 250e3, 330e3, 400e3] {
            sum.bytes(format!("{:?}", table.look_up_detail(density, energy)).as_bytes());
        }
    }
    report.line(&format!("{name}, tables of {} patches: {}", table.patches(), sum.hex()));
    Ok(())
}

fn write_fluid(report: &mut Report, fluid: &Fluid) {
    let mut grid = Grid::default();
    let (low, high) = (fluid.lowest_temperature().as_k(), fluid.highest_temperature().as_k());
    for step in 0..STEPS {
        let share = f64::from(step) / f64::from(STEPS);
        // From the triple point to just below the critical one, and then the whole range of single states.
        let below = low + share * (0.999 * fluid.critical_temperature().as_k() - low);
        grid.saturation(fluid, below);
        grid.single(fluid, low + share * (high - low));
    }
    let vapour = Temperature::from_k(0.9 * fluid.critical_temperature().as_k());
    let flows = fluid.saturation_at(vapour).map(|at| {
        let rho = at.vapour.density();
        (transport::viscosity(fluid, vapour, rho), transport::thermal_conductivity(fluid, vapour, rho))
    });
    grid.sum.bytes(format!("{flows:?} {:?}", transport::surface_tension(fluid, vapour)).as_bytes());
    let refused = grid.refused.map_or_else(String::new, |error| format!(", first refusal: {error}"));
    report.line(&format!(
        "{}: {} of {} states, {}{refused}",
        fluid.name(),
        grid.found,
        grid.asked,
        grid.sum.hex()
    ));
}

/// What was asked of a fluid and what came out.
#[derive(Default)]
struct Grid {
    asked: u32,
    found: u32,
    sum: Checksum,
    refused: Option<Error>,
}

impl Grid {
    fn saturation(&mut self, fluid: &Fluid, kelvin: f64) {
        self.asked += 1;
        match fluid.saturation_at(Temperature::from_k(kelvin)) {
            Ok(saturation) => {
                self.found += 1;
                self.state(saturation.liquid.raw());
                self.state(saturation.vapour.raw());
            }
            Err(error) => self.refuse(error),
        }
    }

    /// A state by temperature and pressure, and back by the other pairs.
    fn single(&mut self, fluid: &Fluid, kelvin: f64) {
        let temperature = Temperature::from_k(kelvin);
        for share in [0.002, 0.3, 1.5] {
            let pressure = Pressure::from_pa(share * fluid.critical_pressure().as_pa());
            let Some(state) = self.given(fluid, Given::TemperaturePressure(temperature, pressure)) else {
                continue;
            };
            let (density, energy) =
                (Density::from_kg_per_m3(state.rho), SpecificEnergy::from_j_per_kg(state.u));
            self.given(fluid, Given::TemperatureDensity(temperature, density));
            self.given(fluid, Given::PressureEnthalpy(pressure, SpecificEnergy::from_j_per_kg(state.h)));
            self.given(fluid, Given::DensityEnergy(density, energy));
        }
    }

    fn given(&mut self, fluid: &Fluid, given: Given) -> Option<RawState> {
        self.asked += 1;
        match fluid.raw_state(given) {
            Ok(state) => {
                self.found += 1;
                self.state(&state);
                Some(state)
            }
            Err(error) => {
                self.refuse(error);
                None
            }
        }
    }

    fn state(&mut self, state: &RawState) {
        for value in [state.t, state.p, state.rho, state.h, state.s, state.u] {
            self.sum.number(value);
        }
        for value in [state.cp, state.cv, state.w, state.q].into_iter().flatten() {
            self.sum.number(value);
        }
    }

    /// A state outside a fluid's range is refused; which ones are is part of what must agree.
    fn refuse(&mut self, error: Error) {
        self.sum.bytes(error.to_string().as_bytes());
        self.refused.get_or_insert(error);
    }
}
