//! The catalogue of blends: their designations, compositions and safety classes.

use std::sync::OnceLock;

use serde::Deserialize;

use crate::names::{Index, key};
use crate::{Fluid, MassFractions, Mixture};

const FILE: &str = include_str!("../../../data/blends.toml");

/// A blend with its composition as the standard gives it.
#[derive(Debug)]
pub struct Blend {
    entry: Entry,
    keys: Vec<String>,
    mixture: OnceLock<Option<Mixture>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct Catalogue {
    blend: Vec<Entry>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct Entry {
    name: String,
    #[serde(default)]
    aliases: Vec<String>,
    components: Vec<String>,
    mass_percent: Vec<f64>,
    safety_class: String,
    source: String,
}

/// Every blend of the catalogue, in its order.
///
/// ```
/// let r454b = stemwise_thermo::blends().iter().find(|blend| blend.name() == "R-454B").unwrap();
/// assert_eq!(r454b.components(), ["R-32", "R-1234yf"]);
/// ```
pub fn blends() -> &'static [Blend] {
    static BLENDS: OnceLock<Vec<Blend>> = OnceLock::new();
    BLENDS.get_or_init(|| {
        let entries = toml::from_str::<Catalogue>(FILE).map(|read| read.blend).unwrap_or_default();
        let blend = |entry: Entry| {
            let keys = core::iter::once(&entry.name).chain(&entry.aliases).map(|name| key(name)).collect();
            Blend { entry, keys, mixture: OnceLock::new() }
        };
        entries.into_iter().map(blend).collect()
    })
}

impl Blend {
    pub(crate) fn find(typed: &str) -> Option<&'static Self> {
        static INDEX: OnceLock<Index> = OnceLock::new();
        let keys = |blend: &'static Self| blend.keys.iter().map(String::as_str);
        blends().get(INDEX.get_or_init(|| Index::new(blends().iter().map(keys))).find(typed)?)
    }

    /// The designation, "R-454B".
    ///
    /// ```
    /// let blend = stemwise_thermo::blends().iter().find(|blend| blend.name() == "R-454B").unwrap();
    /// assert_eq!(blend.name(), "R-454B");
    /// ```
    pub fn name(&self) -> &str {
        &self.entry.name
    }
    /// Other names.
    ///
    /// ```
    /// let all = stemwise_thermo::blends();
    /// assert!(all.iter().any(|blend| blend.aliases().is_empty()));
    /// assert!(all.iter().flat_map(|blend| blend.aliases()).all(|alias| !alias.is_empty()));
    /// ```
    pub fn aliases(&self) -> &[String] {
        &self.entry.aliases
    }
    /// The components' names.
    ///
    /// ```
    /// let blend = stemwise_thermo::blends().iter().find(|blend| blend.name() == "R-454B").unwrap();
    /// assert_eq!(blend.components(), ["R-32", "R-1234yf"]);
    /// ```
    pub fn components(&self) -> &[String] {
        &self.entry.components
    }
    /// The composition as printed, per cent by mass.
    ///
    /// ```
    /// let blend = stemwise_thermo::blends().iter().find(|blend| blend.name() == "R-454B").unwrap();
    /// assert_eq!(blend.mass_percent(), [68.9, 31.1]);
    /// ```
    pub fn mass_percent(&self) -> &[f64] {
        &self.entry.mass_percent
    }
    /// The safety class of ANSI/ASHRAE Standard 34.
    ///
    /// ```
    /// let blend = stemwise_thermo::blends().iter().find(|blend| blend.name() == "R-454B").unwrap();
    /// assert_eq!(blend.safety_class(), "A2L");
    /// ```
    pub fn safety_class(&self) -> &str {
        &self.entry.safety_class
    }
    /// Where composition and class come from.
    ///
    /// ```
    /// let blend = stemwise_thermo::blends().iter().find(|blend| blend.name() == "R-454B").unwrap();
    /// assert!(blend.source().contains("34"));
    /// ```
    pub fn source(&self) -> &str {
        &self.entry.source
    }

    /// Its model; none only if the catalogue were wrong, which a test excludes.
    ///
    /// ```
    /// let blend = stemwise_thermo::blends().iter().find(|blend| blend.name() == "R-454B").unwrap();
    /// assert_eq!(blend.mixture().unwrap().components().len(), 2);
    /// ```
    pub fn mixture(&self) -> Option<&Mixture> {
        let load = || {
            let components: Option<Vec<&'static Fluid>> =
                self.entry.components.iter().map(|name| Fluid::named(name).ok()).collect();
            Mixture::by_mass(components?, &MassFractions::of_parts(&self.entry.mass_percent).ok()?)
                .ok()
                .map(Mixture::with_curves)
        };
        self.mixture.get_or_init(load).as_ref()
    }
}
