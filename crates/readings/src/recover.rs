//! Recovery: how far to go, how far it has come, how long it will take, and whether the cylinder has room.

use stemwise_service::{
    LEVEL_RULE, Machine, PressureClass, Refrigerant, SMALL_LEVEL_RULE, cylinder_limit, required_level_by,
    small_level,
};
use stemwise_thermo::Substance;
use stemwise_units::{Mass, Pressure, Temperature, Time, Volume};

use crate::fit::{Mean, line, thin};
use crate::uncertain::{Input, Uncertain, propagate, rectangular};

/// A small appliance, factory-sealed with at most 5 lb: 40 CFR 82.156(b).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum SmallAppliance {
    /// Its compressor works.
    CompressorWorks,
    /// Its compressor does not.
    CompressorFails,
}

/// What is recovered from what.
#[derive(Debug)]
pub struct RecoveryAsk<'a> {
    /// The refrigerant.
    pub refrigerant: &'a Refrigerant,
    /// The full charge.
    pub charge: Mass,
    /// The atmosphere.
    pub atmosphere: Pressure,
    /// When the machine was made.
    pub machine: Machine,
    /// Whether it is a small appliance.
    pub small: Option<SmallAppliance>,
    /// The volume that is emptied.
    pub volume: Option<Volume>,
    /// By which part the volume may be off.
    pub volume_within: f64,
    /// The pressure in there now, absolute, Pa.
    pub pressure: Option<Input>,
    /// How warm it is in there, K.
    pub temperature: Input,
    /// What the scale says has come out, kg.
    pub recovered: Option<Input>,
    /// The cylinder: water capacity, and what it holds already.
    pub cylinder: Option<(Mass, Mass)>,
    /// Absolute pressure over time: seconds, Pa.
    pub log: Option<(&'a [f64], &'a [f64])>,
}

/// Which level is required.
#[derive(Clone, Debug, PartialEq)]
pub struct Required {
    /// The class of the refrigerant's pressure.
    pub class: PressureClass,
    /// Absolute pressure to come down to.
    pub level: Pressure,
    /// For a small appliance, the part of the charge that is enough instead.
    pub part: Option<f64>,
    /// The rule.
    pub source: &'static str,
}

/// What is still in there.
#[derive(Clone, Debug, PartialEq)]
pub struct StillThere {
    /// By pressure, temperature and volume, kg: all of it where it is vapour, the vapour alone where there may be liquid.
    pub by_pressure: Option<Uncertain>,
    /// The pressure is that of saturation: there may be liquid, and any amount of it.
    pub maybe_liquid: bool,
    /// By the scale: charge less what came out, kg.
    pub by_scale: Option<Uncertain>,
}

/// What recovery has come to.
#[derive(Clone, Debug, PartialEq)]
pub struct Recovery {
    /// What is required.
    pub required: Required,
    /// Whether the level is reached, the gauge's uncertainty counted in; none without a pressure.
    pub reached: Option<crate::Outcome>,
    /// What is still in there.
    pub still: StillThere,
    /// From the log: how long it will take to come to the level.
    pub left: Option<Uncertain>,
    /// What the cylinder may still take.
    pub room: Option<Mass>,
    /// What the cylinder holds beyond what it may; none where it does not.
    pub overfilled: Option<Mass>,
    /// Whether what is still in there fits; all of the charge, where nothing says how much that is.
    pub fits: Option<bool>,
}

impl RecoveryAsk<'_> {
    /// The level that is required.
    pub fn required(&self) -> Required {
        let class = PressureClass::of(self.refrigerant);
        let Some(small) = self.small else {
            let level = required_level_by(class, self.charge, self.atmosphere, self.machine);
            return Required { class, level, part: None, source: LEVEL_RULE };
        };
        let part = match (self.machine, small) {
            (Machine::Newer, SmallAppliance::CompressorWorks) => 0.9,
            _ => 0.8,
        };
        let level = small_level(self.atmosphere);
        Required { class, level, part: Some(part), source: SMALL_LEVEL_RULE }
    }

    /// Everything.
    pub fn judge(&self) -> Recovery {
        let required = self.required();
        let still = self.still();
        let room = self.room();
        let amount = still.by_scale.as_ref().or(still.by_pressure.as_ref().filter(|_| !still.maybe_liquid));
        let amount = amount.map_or(self.charge.as_kg(), |amount| amount.value);
        Recovery {
            reached: self.reached(&required),
            left: self.left(required.level.as_pa()),
            fits: room.map(|room| amount <= room.as_kg()),
            overfilled: self
                .to_spare()
                .filter(|spare| spare.as_kg() < 0.0)
                .map(|spare| Mass::from_kg(-spare.as_kg())),
            room,
            still,
            required,
        }
    }

    fn reached(&self, required: &Required) -> Option<crate::Outcome> {
        if let (Some(part), Some(recovered)) = (required.part, &self.recovered) {
            let out = recovered.value - 2.0 * recovered.standard;
            if out >= part * self.charge.as_kg() {
                return Some(crate::Outcome::Met);
            }
        }
        let pressure = self.pressure.as_ref()?;
        let over = Uncertain::plain(pressure.value, pressure.standard).above(required.level.as_pa());
        Some(if over < 0.05 {
            crate::Outcome::Met
        } else if over > 0.95 {
            crate::Outcome::NotYet
        } else {
            crate::Outcome::CantTell
        })
    }

    fn still(&self) -> StillThere {
        let substance = self.refrigerant.substance();
        let by_pressure = self.pressure.as_ref().zip(self.volume).and_then(|(pressure, volume)| {
            let v = volume.as_m3();
            let inputs = [
                pressure.clone(),
                self.temperature.clone(),
                Input::new("volume", v, rectangular(self.volume_within * v)),
            ];
            propagate(&inputs, |x| Some(vapour_density(substance, *x.get(1)?, *x.first()?)? * x.get(2)?))
        });
        let dew = substance.saturation_raw(self.temperature.value).ok().map(|it| it.dew);
        let maybe_liquid = self
            .pressure
            .as_ref()
            .zip(dew)
            .is_some_and(|(pressure, dew)| pressure.value + 2.0 * pressure.standard > 0.95 * dew);
        let charge = self.charge.as_kg();
        let by_scale = self
            .recovered
            .as_ref()
            .and_then(|recovered| propagate(core::slice::from_ref(recovered), |x| Some(charge - x.first()?)));
        StillThere { by_pressure, maybe_liquid, by_scale }
    }

    /// What the cylinder may still take, at 55 °C and by weight.
    fn room(&self) -> Option<Mass> {
        Some(self.to_spare()?.max(Mass::from_kg(0.0)))
    }

    /// The limit less what it holds: below nothing where it is overfilled.
    fn to_spare(&self) -> Option<Mass> {
        let (water, holds) = self.cylinder?;
        Some(cylinder_limit(self.refrigerant, water)? - holds)
    }

    /// The pressure falls by the same part in the same time once the liquid is gone: a straight line of its logarithm over the last half of the
    /// log, s.
    fn left(&self, level: f64) -> Option<Uncertain> {
        let (seconds, pascal) = self.log?;
        let logs: Vec<f64> = pascal.iter().map(|p| if *p > 0.0 { libm::log(*p) } else { f64::NAN }).collect();
        let means = thin(seconds, &logs, 200);
        let late: Vec<Mean> = means.get(means.len() / 2..)?.to_vec();
        let fit = line(&late)?;
        let now = late.last()?;
        let to_go = now.y - libm::log(level);
        if to_go <= 0.0 {
            return Some(Uncertain::plain(0.0, 0.0));
        }
        let inputs = [Input::new("log", fit.slope, fit.slope_standard)];
        propagate(&inputs, |x| {
            let slope = *x.first()?;
            (slope < 0.0).then(|| -to_go / slope)
        })
        .filter(|left| left.value < Time::from_h(100.0).as_s())
    }
}

/// Density of vapour, up to the dew point, kg/m³.
fn vapour_density(substance: &Substance, kelvin: f64, pascal: f64) -> Option<f64> {
    match substance.saturation_raw(kelvin) {
        Ok(at) if pascal >= at.dew => Some(at.vapour),
        Ok(at) => substance.vapour_density_raw(kelvin, pascal, at.vapour),
        Err(_) => substance.density_kg_per_m3(kelvin, pascal).ok(),
    }
}

/// The vapour alone that a volume holds; where the temperature has saturation, no more than that.
pub fn vapour_mass(
    substance: &Substance,
    volume: Volume,
    temperature: Temperature,
    pressure: Pressure,
) -> Option<Mass> {
    vapour_density(substance, temperature.as_k(), pressure.as_pa())
        .map(|density| Mass::from_kg(density * volume.as_m3()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Outcome;

    fn ask(refrigerant: &Refrigerant, lb: f64, machine: Machine) -> RecoveryAsk<'_> {
        RecoveryAsk {
            refrigerant,
            charge: Mass::from_lb(lb),
            atmosphere: Pressure::from_pa(101_325.0),
            machine,
            small: None,
            volume: Some(Volume::from_l(20.0)),
            volume_within: 0.1,
            pressure: None,
            temperature: Input::new("parts", 293.15, 1.0),
            recovered: None,
            cylinder: None,
            log: None,
        }
    }

    #[test]
    fn required_levels() {
        // facts.md 1.1 (40 CFR 82.156 Table 1), inHg of vacuum: before / on or after 15 November 1993.
        for (fluid, lb, older, newer) in [
            ("R-744", 10.0, 0.0, 0.0),
            ("R-410A", 100.0, 0.0, 0.0),
            ("R-22", 250.0, 4.0, 10.0),
            ("R-134a", 100.0, 4.0, 10.0),
            ("R-134a", 250.0, 4.0, 15.0),
        ] {
            let refrigerant = Refrigerant::named(fluid).unwrap();
            for (machine, inches) in [(Machine::Older, older), (Machine::Newer, newer)] {
                let level = ask(&refrigerant, lb, machine).required().level;
                let vacuum = -level.gauge(Pressure::from_pa(101_325.0)).as_inhg();
                assert!((vacuum - inches).abs() < 1e-6, "{fluid} {lb} lb: {vacuum}");
            }
        }
        let low = Refrigerant::named("R-123").unwrap();
        for machine in [Machine::Older, Machine::Newer] {
            assert!((ask(&low, 500.0, machine).required().level.as_micron() - 25_000.0).abs() < 1.0);
        }
        // E10: small appliances.
        let refrigerant = Refrigerant::named("R-134a").unwrap();
        let part = |machine, small| {
            RecoveryAsk { small: Some(small), ..ask(&refrigerant, 1.0, machine) }.required().part.unwrap()
        };
        let parts = [
            part(Machine::Newer, SmallAppliance::CompressorWorks),
            part(Machine::Newer, SmallAppliance::CompressorFails),
            part(Machine::Older, SmallAppliance::CompressorWorks),
        ];
        assert!(parts.iter().zip([0.9, 0.8, 0.8]).all(|(a, b): (&f64, f64)| (a - b).abs() < 1e-12));
    }

    #[test]
    fn what_is_still_in_there() {
        let refrigerant = Refrigerant::named("R-134a").unwrap();
        let at = |bar: f64| {
            RecoveryAsk {
                pressure: Some(Input::new("gauge", bar * 1e5, 1e3)),
                ..ask(&refrigerant, 10.0, Machine::Newer)
            }
            .judge()
        };
        // Vapour of R-134a at 1 bar and 20 °C: 4.25 kg/m³ (ideal 4.19), in 20 L: 85 g.
        let found = at(1.0);
        assert!((1e3 * found.still.by_pressure.unwrap().value - 85.6).abs() < 1.0);
        assert!(!found.still.maybe_liquid && found.reached == Some(Outcome::NotYet));
        assert!(at(5.6).still.maybe_liquid);
        assert_eq!(at(0.5).reached, Some(Outcome::Met));
        assert_eq!(at(0.663).reached, Some(Outcome::CantTell));
    }

    #[test]
    fn a_cylinders_room_and_time() {
        // facts.md 2, C12: WC 47.6 lb of R-410A takes 40.4 lb.
        let refrigerant = Refrigerant::named("R-410A").unwrap();
        let seconds: Vec<f64> = (0..60).map(|k| 10.0 * f64::from(k)).collect();
        let pascal: Vec<f64> = seconds.iter().map(|t| 4e5 * libm::exp(-t / 500.0)).collect();
        let found = RecoveryAsk {
            cylinder: Some((Mass::from_lb(47.6), Mass::from_lb(30.0))),
            recovered: Some(Input::new("scale", Mass::from_lb(2.0).as_kg(), 0.01)),
            log: Some((&seconds, &pascal)),
            ..ask(&refrigerant, 10.0, Machine::Newer)
        }
        .judge();
        assert!((found.room.unwrap().as_lb() - 10.4).abs() < 0.15, "{}", found.room.unwrap().as_lb());
        assert_eq!(found.fits, Some(true));
        // To 0 psig: 500 s ln(p / 101325 Pa) from the last of the log.
        let now = pascal.last().copied().unwrap();
        let truth = 500.0 * libm::log(now / 101_325.0);
        assert!((found.left.unwrap().value - truth).abs() < 0.02 * truth + 2.0);
    }
}
