//! Flow to the pump: hoses and cores from viscous through transition to molecular flow, and the pump behind them.

use stemwise_units::{Length, Pressure, Temperature, VolumeFlow};

use crate::leak::{AIR, AIR_VISCOSITY, GAS_CONSTANT};
use crate::uncertain::square;

/// Air through a hole flows no faster than this much volume a second and square metre (choked flow of air at 20 °C, m/s).
const CHOKED: f64 = 200.0;

/// A hose, a length of tube, or a core taken as a short tube.
#[derive(Clone, Debug, PartialEq)]
pub struct Element {
    /// What it is.
    pub name: String,
    /// Inside diameter.
    pub bore: Length,
    /// Length.
    pub length: Length,
}

impl Element {
    /// A hose or tube.
    pub fn tube(name: impl Into<String>, bore: Length, length: Length) -> Self {
        Self { name: name.into(), bore, length }
    }

    /// A valve core in its place: taken as a tube of 2 mm by 20 mm; common practice says its open area is 2 to 4 mm², no standard does.
    pub fn core() -> Self {
        Self::tube("valve core", Length::from_mm(2.0), Length::from_mm(20.0))
    }

    /// Its conductance for air at a mean pressure: Poiseuille's for a gas and Knudsen's together (S. Dushman, Scientific Foundations of Vacuum
    /// Technique, from memory): `C = pi d^4 p / (128 eta L) + (pi c d^3 / (12 L)) (1 + x) / (1 + 1.24 x)`, `x = d p sqrt(M / (R T)) / eta`.
    ///
    /// ```
    /// use stemwise_readings::Element;
    /// use stemwise_units::{Length, Pressure, Temperature};
    /// let hose = Element::tube("hose", Length::from_mm(4.8), Length::from_ft(5.0));
    /// let at = hose.conductance(Pressure::from_micron(500.0), Temperature::from_celsius(20.0));
    /// assert!((at.as_cfm() - 0.081).abs() < 0.002); // facts.md 4.3
    /// ```
    pub fn conductance(&self, mean: Pressure, temperature: Temperature) -> VolumeFlow {
        let (viscous, molecular) = self.parts(mean.as_pa(), temperature.as_k());
        VolumeFlow::from_m3_per_s(viscous * mean.as_pa() + molecular)
    }

    /// The viscous conductance by pascal of mean pressure, and the molecular one with its transition factor; m³/(s Pa), m³/s.
    fn parts(&self, pascal: f64, kelvin: f64) -> (f64, f64) {
        let (d, length) = (self.bore.as_m(), self.length.as_m().max(1e-3));
        let pi = core::f64::consts::PI;
        let viscosity = AIR_VISCOSITY * (kelvin / 293.15).sqrt();
        let viscous = pi * square(square(d)) / (128.0 * viscosity * length);
        let speed = (8.0 * GAS_CONSTANT * kelvin / (pi * AIR)).sqrt();
        let x = d * pascal * (AIR / (GAS_CONSTANT * kelvin)).sqrt() / viscosity;
        let molecular = pi * speed * d * square(d) / (12.0 * length) * (1.0 + x) / (1.0 + 1.24 * x);
        (viscous, molecular)
    }

    /// The pressure behind it when so much gas flows in at this pressure; none where it can't flow so much.
    fn behind(&self, inside: f64, flow: f64, kelvin: f64) -> Option<f64> {
        let area = core::f64::consts::FRAC_PI_4 * self.bore.as_m() * self.bore.as_m();
        if flow > CHOKED * area * inside {
            return None;
        }
        let (a, b) = self.parts(inside, kelvin);
        // flow = a (inside² - p²) / 2 + b (inside - p)
        let rest = a * inside * inside / 2.0 + b * inside - flow;
        (rest >= 0.0).then(|| 2.0 * rest / (b + (b * b + 2.0 * a * rest).sqrt()))
    }
}

/// Elements one behind the other.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// From the system to the pump.
    pub elements: Vec<Element>,
    /// How many such lines there are side by side; at least 1.
    pub count: u32,
}

/// A vacuum pump.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pump {
    /// Its speed at the atmosphere's pressure.
    pub speed: VolumeFlow,
    /// The lowest pressure that it comes to with its inlet shut.
    pub ultimate: Pressure,
}

/// All the way from the system to the pump.
#[derive(Clone, Debug, PartialEq)]
pub struct Path {
    /// Lines side by side, each kind once.
    pub lines: Vec<Line>,
    /// The pump.
    pub pump: Pump,
    /// How warm the gas is.
    pub temperature: Temperature,
}

/// What a part of the way takes of the pressure that drives the gas.
#[derive(Clone, Debug, PartialEq)]
pub struct Stage {
    /// Which part.
    pub name: String,
    /// Its part of the whole resistance, from 0 to 1.
    pub part: f64,
}

impl Path {
    /// The gas that flows out of the system at a pressure there, Pa m³/s.
    pub(crate) fn flow(&self, pascal: f64) -> f64 {
        let (speed, ultimate) = (self.pump.speed.as_m3_per_s(), self.pump.ultimate.as_pa());
        if pascal <= ultimate {
            return 0.0;
        }
        // The pump's inlet pressure at which what comes through the lines is what it takes away.
        let (mut low, mut high) = (ultimate, pascal);
        for _ in 0..50 {
            let inlet = (low + high) / 2.0;
            if self.through(pascal, inlet) > speed * (inlet - ultimate) { low = inlet } else { high = inlet }
        }
        speed * ((low + high) / 2.0 - ultimate)
    }

    /// The effective speed at the system.
    pub fn effective_speed(&self, pressure: Pressure) -> VolumeFlow {
        VolumeFlow::from_m3_per_s(self.flow(pressure.as_pa()) / pressure.as_pa())
    }

    /// What all lines let through between two pressures.
    fn through(&self, inside: f64, outside: f64) -> f64 {
        if self.lines.iter().all(|line| line.elements.is_empty()) {
            return f64::INFINITY;
        }
        let lines =
            self.lines.iter().map(|line| f64::from(line.count.max(1)) * self.one_line(line, inside, outside));
        lines.sum()
    }

    fn one_line(&self, line: &Line, inside: f64, outside: f64) -> f64 {
        let kelvin = self.temperature.as_k();
        let end =
            |flow: f64| line.elements.iter().try_fold(inside, |p, element| element.behind(p, flow, kelvin));
        let (mut low, mut high) = (0.0, self.pump.speed.as_m3_per_s() * inside + 1e-12);
        for _ in 0..50 {
            let flow = (low + high) / 2.0;
            if end(flow).is_some_and(|p| p > outside) { low = flow } else { high = flow }
        }
        (low + high) / 2.0
    }

    /// How the resistance is shared at a pressure in the system: each element of the line that carries most, and the pump.
    pub fn stages(&self, pressure: Pressure) -> Vec<Stage> {
        let (inside, kelvin) = (pressure.as_pa(), self.temperature.as_k());
        let flow = self.flow(inside);
        let inlet = flow / self.pump.speed.as_m3_per_s() + self.pump.ultimate.as_pa();
        let carries = |line: &&Line| self.one_line(line, inside, inlet);
        let best = self.lines.iter().max_by(|a, b| carries(a).total_cmp(&carries(b)));
        let mut stages = Vec::new();
        let mut p = inside;
        if let Some(line) = best {
            let each = self.one_line(line, inside, inlet);
            for element in &line.elements {
                let next = element.behind(p, each, kelvin).unwrap_or(inlet).max(inlet.min(p));
                stages.push(Stage { name: element.name.clone(), part: (p - next) / inside });
                p = next;
            }
        }
        stages.push(Stage { name: "pump".into(), part: p / inside });
        stages
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cfm(value: f64) -> VolumeFlow {
        VolumeFlow::from_cfm(value)
    }

    fn hose(bore_mm: f64, feet: f64) -> Element {
        Element::tube("hose", Length::from_mm(bore_mm), Length::from_ft(feet))
    }

    fn path(elements: Vec<Element>, speed: VolumeFlow, ultimate: f64) -> Path {
        Path {
            lines: vec![Line { elements, count: 1 }],
            pump: Pump { speed, ultimate: Pressure::from_pa(ultimate) },
            temperature: Temperature::from_celsius(20.0),
        }
    }

    #[test]
    fn the_formulas_limits() {
        let room = Temperature::from_celsius(20.0);
        // facts.md 4.3, F1: 121.2 d³/L (m³/s) in molecular flow; worked example d 0.07 m, L 2.47 m at c = 471 m/s: 0.017123 m³/s (16.8 at 20 °C).
        let long = Element::tube("line", Length::from_m(0.07), Length::from_m(2.47));
        let molecular = long.conductance(Pressure::from_pa(1e-6), room).as_m3_per_s();
        assert!((molecular / (121.2 * (0.07 * 0.07 * 0.07) / 2.47) - 1.0).abs() < 0.002, "{molecular}");
        // The example's mean speed of 471 m/s is that of air at 27 to 28 °C.
        let warm = Temperature::from_k(core::f64::consts::PI * AIR * 471.0 * 471.0 / (8.0 * GAS_CONSTANT));
        assert!(
            (long.conductance(Pressure::from_pa(1e-6), warm).as_m3_per_s() / 0.017_123 - 1.0).abs() < 0.002
        );
        // F2: 135 d⁴ p/L, L/s with cm and mbar, in viscous flow.
        let thin = Element::tube("line", Length::from_mm(10.0), Length::from_m(1.0));
        let viscous = thin.conductance(Pressure::from_bar(0.1), room).as_l_per_s();
        assert!((viscous / (135.0 * 100.0 / 100.0) - 1.0).abs() < 0.02, "{viscous}");
        // A 5 cm by 100 cm pipe for air: 15.1 L/s (a vacuum textbook's worked example).
        let pipe = Element::tube("pipe", Length::from_mm(50.0), Length::from_m(1.0));
        assert!((pipe.conductance(Pressure::from_pa(1e-6), room).as_l_per_s() - 15.1).abs() < 0.1);
    }

    #[test]
    fn hoses_against_the_table() {
        // facts.md 4.3: C and S_eff = S C / (S + C) in cfm with a 5 cfm pump, at 5000, 1000 and 500 micron.
        let room = Temperature::from_celsius(20.0);
        for (bore, feet, rows) in [
            (4.8, 5.0, [(5000.0, 0.68, 0.60), (1000.0, 0.148, 0.144), (500.0, 0.081, 0.080)]),
            (8.0, 5.0, [(5000.0, 5.2, 2.5), (1000.0, 1.09, 0.90), (500.0, 0.58, 0.52)]),
            (12.7, 5.0, [(5000.0, 33.0, 4.3), (1000.0, 6.8, 2.9), (500.0, 3.5, 2.1)]),
            (4.8, 3.0, [(5000.0, 1.13, 0.92), (1000.0, 0.246, 0.235), (500.0, 0.136, 0.132)]),
        ] {
            for (micron, conductance, effective) in rows {
                let c = hose(bore, feet).conductance(Pressure::from_micron(micron), room).as_cfm();
                assert!((c / conductance - 1.0).abs() < 0.03, "{bore} {micron}: {c}");
                assert!((5.0 * c / (5.0 + c) / effective - 1.0).abs() < 0.03, "{bore} {micron}");
            }
        }
    }

    #[test]
    fn series_and_pump() {
        // In molecular flow conductances in series and the pump add as resistances: S_eff = S C / (S + C), facts.md 4.3 (0.010864 m³/s).
        let it = path(
            vec![Element::tube("line", Length::from_m(0.07), Length::from_m(2.47))],
            VolumeFlow::from_m3_per_s(0.029_722),
            0.0,
        );
        let speed = it.effective_speed(Pressure::from_pa(1e-4)).as_m3_per_s();
        let c: f64 = 121.2 * (0.07 * 0.07 * 0.07) / 2.47;
        assert!((speed / (0.029_722 * c / (0.029_722 + c)) - 1.0).abs() < 0.003, "{speed}");
        // A thin hose takes nearly all of the resistance at 500 micron; at 5000 micron S_eff < S C / (S + C), as the hose's mean pressure is lower.
        let thin = path(vec![hose(4.8, 5.0), Element::core()], cfm(5.0), 0.5);
        let stages = thin.stages(Pressure::from_micron(500.0));
        assert!(stages.first().is_some_and(|stage| stage.part > 0.6), "{stages:?}");
        assert!((stages.iter().map(|stage| stage.part).sum::<f64>() - 1.0).abs() < 1e-6, "{stages:?}");
        let two = Path { lines: vec![Line { elements: vec![hose(4.8, 5.0)], count: 2 }], ..thin.clone() };
        let one = Path { lines: vec![Line { elements: vec![hose(4.8, 5.0)], count: 1 }], ..thin };
        let at = Pressure::from_micron(500.0);
        assert!((two.effective_speed(at).as_cfm() / one.effective_speed(at).as_cfm() - 2.0).abs() < 0.1);
        // Below its ultimate pressure a pump takes nothing away.
        assert!(one.flow(0.4).abs() < 1e-12);
    }
}
