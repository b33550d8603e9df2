//! How far a composition is from the blend's nominal one, against what the standard allows a fresh blend.

use std::sync::OnceLock;

use serde::Deserialize;

use crate::{MassFractions, Substance};

const FILE: &str = include_str!("../../../data/tolerances.toml");

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct File {
    assumed: f64,
    assumed_source: String,
    blend: Vec<Entry>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Entry {
    name: String,
    below: Vec<f64>,
    above: Vec<f64>,
    source: String,
}

/// One component against its nominal part, in per cent of the blend's mass.
#[derive(Clone, Debug, PartialEq)]
pub struct ComponentDeviation {
    /// The component.
    pub name: &'static str,
    /// Its nominal part.
    pub nominal_percent: f64,
    /// Its part now less the nominal one.
    pub off_percent: f64,
    /// So much less is allowed.
    pub below_percent: f64,
    /// So much more is allowed.
    pub above_percent: f64,
}

impl ComponentDeviation {
    /// Whether it is within what is allowed.
    ///
    /// ```
    /// use stemwise_thermo::{MassFractions, Substance};
    /// let blend = Substance::named("R-454B")?;
    /// let found = blend.deviation(&MassFractions::of_parts(&[50.0, 50.0])?);
    /// assert!(!found.is_within() && found.components.iter().any(|component| !component.is_within()));
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn is_within(&self) -> bool {
        self.off_percent >= -self.below_percent && self.off_percent <= self.above_percent
    }
}

/// A composition against the nominal one.
#[derive(Clone, Debug, PartialEq)]
pub struct Deviation {
    /// Each component, in the order of the blend.
    pub components: Vec<ComponentDeviation>,
    /// Where the tolerances come from.
    pub source: &'static str,
    /// Whether they are assumed, for want of the blend's own.
    pub assumed: bool,
}

impl Deviation {
    /// Whether every component is within what is allowed.
    ///
    /// ```
    /// use stemwise_thermo::{MassFractions, Substance};
    /// let blend = Substance::named("R-454B")?;
    /// let found = blend.deviation(&MassFractions::of_parts(&[50.0, 50.0])?);
    /// assert!(!found.is_within() && found.components.iter().any(|component| !component.is_within()));
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn is_within(&self) -> bool {
        self.components.iter().all(ComponentDeviation::is_within)
    }
}

fn file() -> Option<&'static File> {
    static TOLERANCES: OnceLock<Option<File>> = OnceLock::new();
    TOLERANCES.get_or_init(|| toml::from_str(FILE).ok()).as_ref()
}

impl Substance {
    /// How far a composition of its components is from its nominal one; empty for a pure fluid, which can't be off.
    ///
    /// ```
    /// use stemwise_thermo::{MassFractions, Substance};
    /// let blend = Substance::named("R-407C")?;
    /// assert!(blend.deviation(&MassFractions::of_parts(&[22.0, 24.5, 53.5])?).is_within());
    /// assert!(!blend.deviation(&MassFractions::of_parts(&[20.0, 24.0, 56.0])?).is_within());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn deviation(&self, now: &MassFractions) -> Deviation {
        let Some(mixture) = self.mixture() else {
            return Deviation { components: Vec::new(), source: "a pure fluid", assumed: false };
        };
        let own = match self {
            Self::Blend(blend, _) => {
                file().and_then(|file| file.blend.iter().find(|entry| entry.name == blend.name()))
            }
            _ => None,
        };
        let (assumed, assumed_source) =
            file().map_or((0.0, ""), |file| (file.assumed, file.assumed_source.as_str()));
        let allowed = |list: fn(&Entry) -> &Vec<f64>, at: usize| {
            own.and_then(|entry| list(entry).get(at).copied()).unwrap_or(assumed)
        };
        let parts = mixture.mass_fractions().values().iter().zip(now.values());
        let component = |(at, (fluid, (nominal, now))): (usize, (&&'static crate::Fluid, (&f64, &f64)))| {
            ComponentDeviation {
                name: fluid.name(),
                nominal_percent: 100.0 * nominal,
                off_percent: 100.0 * (now - nominal),
                below_percent: allowed(|entry| &entry.below, at),
                above_percent: allowed(|entry| &entry.above, at),
            }
        };
        let components = mixture.components().iter().zip(parts).enumerate().map(component).collect();
        let source = own.map_or(assumed_source, |entry| entry.source.as_str());
        Deviation { components, source, assumed: own.is_none() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::blends;

    #[test]
    fn every_entry_is_a_blend_with_a_source() {
        let file = file().expect("the file is read");
        assert!(file.blend.len() >= 5 && file.assumed > 0.0 && !file.assumed_source.is_empty());
        for entry in &file.blend {
            let blend = blends().iter().find(|blend| blend.name() == entry.name).expect("a blend");
            assert_eq!(blend.components().len(), entry.below.len(), "{}", entry.name);
            assert_eq!(blend.components().len(), entry.above.len(), "{}", entry.name);
            assert!(!entry.source.is_empty(), "{}", entry.name);
        }
    }
}
