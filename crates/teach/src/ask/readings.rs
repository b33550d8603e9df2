//! Questions about numbers: cylinders, superheat, subcooling.

use stemwise_service::cylinder_limit;
use stemwise_units::{GaugePressure, Mass, Pressure, Temperature, TemperatureDifference, UnitSystem};

use super::{Maker, choice, question};
use crate::{Answer, Kind, Quantity, Question, Scene};

/// What a thermometer on a pipe and a gauge together let one tell, K (assumed).
const DEGREES: f64 = 0.6;
/// What a scale lets one tell, as a part (assumed).
const WEIGHT: f64 = 0.02;

impl Maker<'_> {
    const fn ip(&self) -> bool {
        matches!(self.room.units, UnitSystem::Ip)
    }

    /// A temperature as a thermometer shows it: whole degrees.
    fn shown_temperature(&self, kelvin: f64) -> Temperature {
        let temperature = Temperature::from_k(kelvin);
        if self.ip() {
            Temperature::from_fahrenheit(temperature.as_fahrenheit().round())
        } else {
            Temperature::from_celsius(temperature.as_celsius().round())
        }
    }

    /// A pressure as a gauge shows it: to 0.05 bar or 0.5 psi.
    fn shown_pressure(&self, pressure: Pressure) -> Pressure {
        let gauge = pressure.gauge(self.room.atmosphere());
        let shown = if self.ip() {
            GaugePressure::from_psi((gauge.as_psi() * 2.0).round() / 2.0)
        } else {
            GaugePressure::from_bar((gauge.as_bar() * 20.0).round() / 20.0)
        };
        shown.absolute(self.room.atmosphere())
    }

    fn refrigerant(&self) -> String {
        self.room.refrigerant.substance().name()
    }

    fn temperature(&self, temperature: Temperature) -> String {
        self.room.units.temperature(temperature)
    }

    fn site(&self) -> (String, String) {
        ("the atmosphere at the site".into(), self.room.units.absolute_pressure(self.room.atmosphere()))
    }

    /// Dew and bubble point at a pressure.
    fn points(&self, pressure: Pressure) -> Option<(Temperature, Temperature)> {
        let found = self.room.refrigerant.substance().saturation_at_pressure(pressure).ok()?;
        Some((Temperature::from_k(found.dew.raw().t), Temperature::from_k(found.bubble.raw().t)))
    }

    pub(super) fn cylinder_pressure(&mut self) -> Option<Question> {
        let warmer = 2.0 * self.dice.roll(16) as f64;
        let at = self.shown_temperature(283.15 + warmer);
        let found = self.room.refrigerant.substance().saturation_at(at).ok()?;
        let (bubble, dew) = (Pressure::from_pa(found.bubble.raw().p), Pressure::from_pa(found.dew.raw().p));
        let atmosphere = self.room.atmosphere();
        let tolerance = Self::tolerance(bubble);
        let value = Quantity::Gauge(bubble.gauge(atmosphere));
        let mut wrong = vec![(
            Quantity::Gauge(GaugePressure::from_pa(bubble.as_pa())),
            "that is the absolute pressure: a gauge reads zero at the atmosphere".to_owned(),
        )];
        if bubble.as_pa() - dew.as_pa() > 2.0 * tolerance {
            let say =
                "that is the dew point's: over the liquid of a blend stands the bubble point's pressure";
            wrong.push((Quantity::Gauge(dew.gauge(atmosphere)), say.into()));
        }
        let percent = [20, 50, 70].get(self.dice.roll(3)).copied().unwrap_or(50);
        let scene = Scene {
            given: vec![
                ("refrigerant".into(), self.refrigerant()),
                ("temperature".into(), self.temperature(at)),
                ("liquid in the cylinder, by volume".into(), format!("{percent} %")),
                self.site(),
            ],
            ..Scene::default()
        };
        let ask = format!(
            "A cylinder of {} has stood long enough at {}. What does a gauge on it show?",
            self.refrigerant(),
            self.temperature(at)
        );
        let why = format!(
            "While there is liquid the pressure follows from the temperature alone, however full it is: {} absolute, which a gauge shows as {}.",
            self.room.units.absolute_pressure(bubble),
            self.room.gauge(bubble)
        );
        Some(question(Kind::CylinderPressure, scene, ask, Answer::Number { value, tolerance, wrong }, why))
    }

    pub(super) fn cylinder_room(&mut self) -> Option<Question> {
        let sizes: &[f64] = if self.ip() { &[26.2, 47.6, 95.2] } else { &[12.0, 21.6, 26.0] };
        let size = *self.dice.pick(sizes)?;
        let water = if self.ip() { Mass::from_lb(size) } else { Mass::from_kg(size) };
        let limit = cylinder_limit(&self.room.refrigerant, water)?;
        let weight = |mass: Mass| {
            if self.ip() { format!("{:.1} lb", mass.as_lb()) } else { format!("{:.1} kg", mass.as_kg()) }
        };
        let wrong = [
            (water * 0.8, "that is 80 % of the water's mass: refrigerant has another density"),
            (water, "that is the water capacity: it is what water would weigh"),
            (limit / 0.8, "that is brim-full: no room is left for the liquid to expand"),
        ];
        let tolerance = limit.as_kg() * WEIGHT;
        let apart = |mass: &Mass| (mass.as_kg() - limit.as_kg()).abs() > 2.0 * tolerance;
        let wrong = wrong.into_iter().filter(|(mass, _)| apart(mass));
        let wrong = wrong.map(|(mass, why)| (Quantity::Mass(mass), why.to_owned())).collect();
        let scene = Scene {
            given: vec![("refrigerant".into(), self.refrigerant()), ("water capacity".into(), weight(water))],
            ..Scene::default()
        };
        let ask = format!(
            "How much {} may a recovery cylinder with a water capacity of {} hold at most?",
            self.refrigerant(),
            weight(water)
        );
        let why = format!(
            "0.80 × water capacity × specific gravity at 77 °F (AHRI Guideline K), and never so much that liquid fills it at 55 °C: {}.",
            weight(limit)
        );
        let value = Quantity::Mass(limit);
        Some(question(Kind::CylinderRoom, scene, ask, Answer::Number { value, tolerance, wrong }, why))
    }

    pub(super) fn superheat(&mut self) -> Option<Question> {
        let evaporating = 258.15 + self.dice.roll(21) as f64;
        let saturation =
            self.room.refrigerant.substance().saturation_at(Temperature::from_k(evaporating)).ok()?;
        let pressure = self.shown_pressure(Pressure::from_pa(saturation.dew.raw().p));
        let (dew, bubble) = self.points(pressure)?;
        let warmer = 3.0 + self.dice.roll(13) as f64;
        let line = self.shown_temperature(dew.as_k() + warmer);
        let superheat = line - dew;
        let mistakes = [
            (line - bubble, "that is counted from the bubble point: superheat counts from the dew point"),
            (
                self.taken_as_absolute(pressure, line, true)?,
                "the gauge's figure was taken for an absolute pressure",
            ),
        ];
        let why = format!(
            "The dew point at {} is {}; {} less that is {}.",
            self.room.gauge(pressure),
            self.temperature(dew),
            self.temperature(line),
            self.room.units.temperature_difference(superheat)
        );
        let given = [
            ("the suction gauge", self.room.gauge(pressure)),
            ("the suction line there", self.temperature(line)),
        ];
        self.difference(
            Kind::Superheat,
            "How much superheat has the suction vapour?",
            superheat,
            &mistakes,
            given,
            why,
        )
    }

    pub(super) fn subcooling(&mut self) -> Option<Question> {
        let condensing = 303.15 + self.dice.roll(18) as f64;
        let saturation =
            self.room.refrigerant.substance().saturation_at(Temperature::from_k(condensing)).ok()?;
        let pressure = self.shown_pressure(Pressure::from_pa(saturation.bubble.raw().p));
        let (dew, bubble) = self.points(pressure)?;
        let colder = 2.0 + self.dice.roll(9) as f64;
        let line = self.shown_temperature(bubble.as_k() - colder);
        let subcooling = bubble - line;
        let absolute = self.taken_as_absolute(pressure, line, false)?;
        let mistakes = [
            (dew - line, "that is counted from the dew point: subcooling counts from the bubble point"),
            (absolute, "the gauge's figure was taken for an absolute pressure"),
        ];
        let why = format!(
            "The bubble point at {} is {}; less {} that is {}.",
            self.room.gauge(pressure),
            self.temperature(bubble),
            self.temperature(line),
            self.room.units.temperature_difference(subcooling)
        );
        let given = [
            ("the gauge at the liquid line", self.room.gauge(pressure)),
            ("the liquid line there", self.temperature(line)),
        ];
        self.difference(
            Kind::Subcooling,
            "How much subcooling has the liquid?",
            subcooling,
            &mistakes,
            given,
            why,
        )
    }

    /// What comes out where a gauge's figure is taken for an absolute pressure.
    fn taken_as_absolute(
        &self,
        pressure: Pressure,
        line: Temperature,
        dew: bool,
    ) -> Option<TemperatureDifference> {
        let taken = Pressure::from_pa(pressure.gauge(self.room.atmosphere()).as_pa().max(1_000.0));
        let (at_dew, at_bubble) = self.points(taken)?;
        Some(if dew { line - at_dew } else { at_bubble - line })
    }

    fn difference(
        &self,
        kind: Kind,
        ask: &str,
        value: TemperatureDifference,
        mistakes: &[(TemperatureDifference, &str)],
        given: [(&str, String); 2],
        why: String,
    ) -> Option<Question> {
        let apart = |found: &TemperatureDifference| (found.as_k() - value.as_k()).abs() > 2.0 * DEGREES;
        let wrong = mistakes.iter().filter(|(found, _)| apart(found));
        let wrong = wrong.map(|(found, why)| (Quantity::Difference(*found), (*why).to_owned())).collect();
        let mut all = vec![("refrigerant".to_owned(), self.refrigerant())];
        all.extend(given.into_iter().map(|(name, value)| (name.to_owned(), value)));
        all.push(self.site());
        let said: Vec<String> =
            all.iter().skip(1).take(2).map(|(name, value)| format!("{name}: {value}")).collect();
        let ask = format!("{}. {ask}", crate::classroom::capital(&said.join("; ")));
        let scene = Scene { running: true, given: all, ..Scene::default() };
        let answer = Answer::Number { value: Quantity::Difference(value), tolerance: DEGREES, wrong };
        value.is_finite().then(|| question(kind, scene, ask, answer, why))
    }

    /// A wrong choice with its mistake.
    pub(super) fn mistaken(say: String, because: &str) -> crate::Choice {
        choice(say, because)
    }
}
