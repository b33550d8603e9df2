//! Axes: from properties to the sheet and back, and where the ticks are.

use stemwise_units::{Pressure, SpecificEnergy, SpecificHeat, Temperature, UnitSystem};

use crate::geometry::{Point, Rectangle};
use crate::options::PressureAxis;

/// Which part of the properties is drawn: enthalpy, J/kg, and absolute pressure, Pa.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct View {
    pub(crate) enthalpy: (f64, f64),
    pub(crate) pressure: (f64, f64),
}

/// A view laid on a rectangle of the sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Frame {
    pub(crate) view: View,
    pub(crate) room: Rectangle,
}

impl Frame {
    pub(crate) fn x(&self, enthalpy: f64) -> f64 {
        let (low, high) = self.view.enthalpy;
        self.room.left + (enthalpy - low) / (high - low) * self.room.width()
    }
    pub(crate) fn y(&self, pascal: f64) -> f64 {
        let (low, high) = self.view.pressure;
        let part = libm::log(pascal / low) / libm::log(high / low);
        self.room.bottom - part * self.room.height()
    }
    pub(crate) fn at(&self, enthalpy: f64, pascal: f64) -> Option<Point> {
        let point = Point::new(self.x(enthalpy), self.y(pascal));
        (point.x.is_finite() && point.y.is_finite()).then_some(point)
    }
    /// The view's pressures as the logarithms that curves are followed along.
    pub(crate) fn log_pressures(&self) -> (f64, f64) {
        (libm::log(self.view.pressure.0), libm::log(self.view.pressure.1))
    }
}

/// A tick: where in SI, and what it says.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Tick {
    pub(crate) at: f64,
    pub(crate) value: f64,
}

/// The smallest of 1, 2, 2.5 and 5 times a power of ten that is no less.
pub(crate) fn nice_step(least: f64) -> f64 {
    let size = libm::pow(10.0, libm::floor(libm::log10(least.max(1e-12))));
    [1.0, 2.0, 2.5, 5.0]
        .into_iter()
        .map(|part| part * size)
        .find(|step| *step >= least * 0.999)
        .unwrap_or(10.0 * size)
}

/// Every multiple of a step within a range.
pub(crate) fn multiples(step: f64, (low, high): (f64, f64)) -> Vec<f64> {
    let (first, last) = (libm::ceil(low / step - 1e-9), libm::floor(high / step + 1e-9));
    let count = (last - first).clamp(-1.0, 2000.0) as i32;
    (0..=count).map(|n| (first + f64::from(n)) * step).collect()
}

/// How values are printed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Shown {
    pub(crate) units: UnitSystem,
    pub(crate) axis: PressureAxis,
}

impl Shown {
    const fn ip(self) -> bool {
        matches!(self.units, UnitSystem::Ip)
    }
    pub(crate) const fn temperature_unit(self) -> &'static str {
        if self.ip() { "°F" } else { "°C" }
    }
    pub(crate) const fn enthalpy_unit(self) -> &'static str {
        if self.ip() { "Btu/lb" } else { "kJ/kg" }
    }
    pub(crate) const fn entropy_unit(self) -> &'static str {
        if self.ip() { "Btu/(lb °F)" } else { "kJ/(kg K)" }
    }
    pub(crate) const fn density_unit(self) -> &'static str {
        if self.ip() { "lb/ft³" } else { "kg/m³" }
    }
    pub(crate) const fn pressure_unit(self) -> &'static str {
        match (self.units, self.axis) {
            (UnitSystem::Si, PressureAxis::Absolute) => "bar(a)",
            (UnitSystem::Si, PressureAxis::Gauge(_)) => "bar(g)",
            (UnitSystem::Ip, PressureAxis::Absolute) => "psia",
            (UnitSystem::Ip, PressureAxis::Gauge(_)) => "psig",
        }
    }
    pub(crate) const fn temperature(self, kelvin: f64) -> f64 {
        let it = Temperature::from_k(kelvin);
        if self.ip() { it.as_fahrenheit() } else { it.as_celsius() }
    }
    pub(crate) const fn kelvin(self, shown: f64) -> f64 {
        let it =
            if self.ip() { Temperature::from_fahrenheit(shown) } else { Temperature::from_celsius(shown) };
        it.as_k()
    }
    pub(crate) const fn enthalpy(self, j_per_kg: f64) -> f64 {
        let it = SpecificEnergy::from_j_per_kg(j_per_kg);
        if self.ip() { it.as_btu_per_lb() } else { it.as_kj_per_kg() }
    }
    pub(crate) const fn enthalpy_size(self) -> f64 {
        let it = if self.ip() {
            SpecificEnergy::from_btu_per_lb(1.0)
        } else {
            SpecificEnergy::from_kj_per_kg(1.0)
        };
        it.as_j_per_kg()
    }
    pub(crate) const fn entropy_size(self) -> f64 {
        let it = if self.ip() {
            SpecificHeat::from_btu_per_lb_f(1.0)
        } else {
            SpecificHeat::from_kj_per_kg_k(1.0)
        };
        it.as_j_per_kg_k()
    }
    pub(crate) const fn density_size(self) -> f64 {
        let it = if self.ip() {
            stemwise_units::Density::from_lb_per_ft3(1.0)
        } else {
            stemwise_units::Density::from_kg_per_m3(1.0)
        };
        it.as_kg_per_m3()
    }
    const fn pressure_size(self) -> f64 {
        let it = if self.ip() { Pressure::from_psi(1.0) } else { Pressure::from_bar(1.0) };
        it.as_pa()
    }
    /// What an absolute pressure is called on the axis.
    pub(crate) const fn pressure(self, pascal: f64) -> f64 {
        let zero = match self.axis {
            PressureAxis::Absolute => 0.0,
            PressureAxis::Gauge(atmosphere) => atmosphere.as_pa(),
        };
        (pascal - zero) / self.pressure_size()
    }
    /// The absolute pressure of what the axis says.
    pub(crate) const fn pascal(self, shown: f64) -> f64 {
        let zero = match self.axis {
            PressureAxis::Absolute => 0.0,
            PressureAxis::Gauge(atmosphere) => atmosphere.as_pa(),
        };
        shown * self.pressure_size() + zero
    }

    /// Ticks of the pressure axis: round numbers, the roundest first, wherever there is room.
    pub(crate) fn pressure_ticks(self, frame: &Frame, room: f64) -> Vec<Tick> {
        let (low, high) = (self.pressure(frame.view.pressure.0), self.pressure(frame.view.pressure.1));
        let mut taken: Vec<Tick> = Vec::new();
        for parts in [&[1.0][..], &[5.0], &[2.0], &[3.0], &[1.5, 4.0, 7.0], &[6.0, 8.0], &[2.5, 9.0]] {
            let values =
                (-4..=7).flat_map(|ten| parts.iter().map(move |part| part * libm::pow(10.0, f64::from(ten))));
            let values: Vec<f64> =
                core::iter::once(0.0).chain(values).flat_map(|value| [value, -value]).collect();
            for value in values.into_iter().filter(|value| *value >= low - 1e-9 && *value <= high + 1e-9) {
                let at = self.pascal(value);
                let y = frame.y(at);
                let free = |tick: &Tick| (frame.y(tick.at) - y).abs() >= room;
                if at > 0.0 && y.is_finite() && taken.iter().all(free) {
                    taken.push(Tick { at, value });
                }
            }
        }
        taken.sort_by(|one, other| one.at.total_cmp(&other.at));
        taken
    }

    /// Ticks of the enthalpy axis.
    pub(crate) fn enthalpy_ticks(self, frame: &Frame, room: f64) -> Vec<Tick> {
        let (low, high) = (self.enthalpy(frame.view.enthalpy.0), self.enthalpy(frame.view.enthalpy.1));
        let step = nice_step((high - low) * room / frame.room.width());
        let tick = |value: f64| Tick { at: value * self.enthalpy_size(), value };
        multiples(step, (low, high)).into_iter().map(tick).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_round() {
        for (least, step) in [(0.9, 1.0), (1.0, 1.0), (1.1, 2.0), (2.2, 2.5), (26.0, 50.0), (51.0, 100.0)] {
            assert!((nice_step(least) - step).abs() < 1e-12, "{least}");
        }
        assert_eq!(multiples(5.0, (-7.0, 11.0)), [-5.0, 0.0, 5.0, 10.0]);
        assert!(multiples(5.0, (1.0, 2.0)).is_empty());
    }

    #[test]
    fn gauge_ticks_are_round_gauge_pressures() {
        let room = Rectangle { left: 0.0, top: 0.0, right: 500.0, bottom: 500.0 };
        let frame = Frame { view: View { enthalpy: (1e5, 5e5), pressure: (2e4, 8e6) }, room };
        let shown = Shown { units: UnitSystem::Si, axis: PressureAxis::Gauge(Pressure::from_pa(101_325.0)) };
        let ticks = shown.pressure_ticks(&frame, 24.0);
        assert!(
            ticks.iter().any(|tick| tick.value.abs() < 1e-12 && (tick.at - 101_325.0).abs() < 1e-6),
            "{ticks:?}"
        );
        assert!(
            ticks.iter().any(|tick| tick.value < 0.0)
                && ticks.iter().any(|tick| (tick.value - 50.0).abs() < 1e-9)
        );
        for pair in ticks.windows(2) {
            assert!(frame.y(pair[0].at) - frame.y(pair[1].at) >= 24.0);
        }
    }
}
