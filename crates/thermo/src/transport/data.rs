//! Transport coefficients: one TOML file a fluid, built in, read when first asked for. Equations stand beside their kinds.

use std::sync::OnceLock;

use serde::Deserialize;

use super::Origin;

/// One fluid's file.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(super) struct TransportData {
    pub(super) name: String,
    /// The preferred model first.
    #[serde(default)]
    pub(super) viscosity: Vec<Entry<ViscosityModel>>,
    pub(super) conductivity: Option<Entry<ConductivityModel>>,
    pub(super) surface_tension: Option<Tension>,
}

/// A model with its paper.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(super) struct Entry<M> {
    pub(super) source: String,
    pub(super) uncertainty_percent: Option<f64>,
    pub(super) uncertainty_words: String,
    pub(super) uncertainty_origin: Origin,
    /// Lowest and highest temperature, K, where the paper's title names them.
    pub(super) range: Option<[f64; 2]>,
    /// The highest density that the formula is asked for, kg/m³.
    pub(super) densest: Option<f64>,
    pub(super) model: M,
}

/// `sum a (1 - T/Tc)^n`, N/m.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(super) struct Tension {
    pub(super) source: String,
    pub(super) uncertainty_percent: Option<f64>,
    pub(super) uncertainty_words: String,
    pub(super) uncertainty_origin: Origin,
    pub(super) critical_temperature: f64,
    pub(super) a: Vec<f64>,
    pub(super) n: Vec<f64>,
}

/// A viscosity model, Pa s.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "kind", deny_unknown_fields)]
pub(super) enum ViscosityModel {
    /// Dilute gas, initial density dependence, higher order.
    Terms(Box<ViscosityTerms>),
    /// Extended corresponding states.
    CorrespondingStates(ViscosityStates),
    /// `eta0 (1 + factor (exp(f) - 1))`, `f` a polynomial of the scaled residual entropy `x`, that of the vapour below `x` = 2.
    EntropyScaling(EntropyScaling),
    /// The general method of Chung et al.
    Chung { acentric: f64, dipole: f64 },
    /// The form of Shan et al., common to viscosity and conductivity.
    #[serde(rename = "r-23")]
    R23(ViscosityR23),
    /// IAPWS R12-08.
    Water { dilute: Vec<f64>, finite: Vec<Vec<f64>> },
}

#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(super) struct ViscosityTerms {
    pub(super) dilute: DiluteViscosity,
    pub(super) initial: Option<RainwaterFriend>,
    pub(super) higher: HigherViscosity,
}

/// `N sigma^3 sum b T*^t`, m³/mol, times the dilute viscosity and the molar density.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(super) struct RainwaterFriend {
    pub(super) epsilon: f64,
    pub(super) sigma: f64,
    pub(super) b: Vec<f64>,
    pub(super) t: Vec<f64>,
}

/// Viscosity in the limit of zero density.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "kind", deny_unknown_fields)]
pub(super) enum DiluteViscosity {
    /// Chapman and Enskog with the collision integral of Neufeld et al.
    KineticTheory { epsilon: f64, sigma: f64 },
    /// `factor sqrt(M T) / (sigma^2 exp(sum a ln(T*)^t))`.
    #[serde(rename_all = "kebab-case")]
    CollisionIntegral { epsilon: f64, sigma: f64, factor: f64, molar_mass: f64, a: Vec<f64>, t: Vec<f64> },
    /// `sum a (T/Tr)^t`.
    #[serde(rename_all = "kebab-case")]
    Powers { reducing_temperature: f64, a: Vec<f64>, t: Vec<f64> },
    /// Carbon dioxide: Laesecke and Muzny, equation 4.
    LaeseckeMuzny { a: Vec<f64> },
}

/// What is left at high density.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "kind", deny_unknown_fields)]
pub(super) enum HigherViscosity {
    /// `sum a delta^d1 tau^t1 exp(gamma delta^l) + F (1/(delta0 - delta) - 1/delta0)`, `F = sum f delta^d2 tau^t2`,
    /// `delta0 = sum g tau^h / sum p tau^q`.
    BatschinskiHildebrand(Box<BatschinskiHildebrand>),
    /// Carbon dioxide: Laesecke and Muzny, equations 8 and 9.
    #[serde(rename_all = "kebab-case")]
    LaeseckeMuzny { c1: f64, c2: f64, gamma: f64, triple_temperature: f64, triple_liquid_density: f64 },
}

#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(super) struct BatschinskiHildebrand {
    pub(super) reducing_temperature: f64,
    pub(super) reducing_density: f64,
    pub(super) a: Vec<f64>,
    pub(super) d1: Vec<f64>,
    pub(super) t1: Vec<f64>,
    pub(super) gamma: Vec<f64>,
    pub(super) l: Vec<f64>,
    pub(super) f: Vec<f64>,
    pub(super) d2: Vec<f64>,
    pub(super) t2: Vec<f64>,
    pub(super) g: Vec<f64>,
    pub(super) h: Vec<f64>,
    pub(super) p: Vec<f64>,
    pub(super) q: Vec<f64>,
}

/// Of a substance against a reference fluid: dilute gas from its own molecule, the rest from the reference at the conformal state, its
/// density times `sum psi (rho/psi_density)^psi_powers`.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(super) struct ViscosityStates {
    pub(super) epsilon: f64,
    pub(super) sigma: f64,
    pub(super) reference: String,
    pub(super) psi: Vec<f64>,
    pub(super) psi_powers: Vec<f64>,
    pub(super) psi_density: f64,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(super) struct EntropyScaling {
    pub(super) epsilon: f64,
    pub(super) sigma: f64,
    pub(super) factor: f64,
    /// Density times residual entropy at the critical point, J/(m³ K); worked out from the equation of state where it is left out.
    pub(super) critical: Option<f64>,
    pub(super) liquid: [f64; 4],
    pub(super) vapour: [f64; 4],
}

#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) struct ViscosityR23 {
    pub(super) epsilon: f64,
    pub(super) sigma: f64,
    pub(super) a: Vec<f64>,
    #[serde(flatten)]
    pub(super) dense: ShanDense,
}

/// The dense part that Shan et al. give both properties.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) struct ShanDense {
    pub(super) c1: f64,
    pub(super) c2: f64,
    /// J/mol.
    pub(super) activation: f64,
    /// mol/L.
    pub(super) liquid_density: f64,
    /// mol/L.
    pub(super) critical_density: f64,
    pub(super) critical_temperature: f64,
    pub(super) enhancement: f64,
}

/// A thermal conductivity model, W/(m K).
#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "kind", deny_unknown_fields)]
pub(super) enum ConductivityModel {
    /// Dilute gas, residual, critical enhancement.
    Terms(ConductivityTerms),
    /// Extended corresponding states.
    CorrespondingStates(ConductivityStates),
    /// The form of Shan et al.
    #[serde(rename = "r-23")]
    R23(ConductivityR23),
    /// IAPWS R15-11.
    Water { dilute: Vec<f64>, finite: Vec<Vec<f64>> },
}

#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(super) struct ConductivityTerms {
    pub(super) dilute: DiluteConductivity,
    pub(super) residual: ResidualConductivity,
    pub(super) critical: CriticalConductivity,
}

/// Thermal conductivity in the limit of zero density.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "kind", deny_unknown_fields)]
pub(super) enum DiluteConductivity {
    /// `sum a (T/Tr)^n / sum b (T/Tr)^m`.
    #[serde(rename_all = "kebab-case")]
    RatioOfPolynomials { reducing_temperature: f64, a: Vec<f64>, n: Vec<f64>, b: Vec<f64>, m: Vec<f64> },
    /// `a0 eta0 + sum a tau^t`, the dilute viscosity in µPa s.
    ViscosityAndPowers { a: Vec<f64>, t: Vec<f64> },
    /// Carbon dioxide: `1 / (sqrt(tau) sum l tau^i)`, mW/(m K).
    InversePolynomial { l: Vec<f64> },
}

/// What density adds away from the critical point.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "kind", deny_unknown_fields)]
pub(super) enum ResidualConductivity {
    /// `sum b tau^t delta^d`.
    #[serde(rename_all = "kebab-case")]
    Polynomial { reducing_temperature: f64, reducing_density: f64, b: Vec<f64>, t: Vec<f64>, d: Vec<f64> },
    /// `sum a tau^t delta^d exp(-gamma delta^l)`.
    Exponential { a: Vec<f64>, t: Vec<f64>, d: Vec<f64>, gamma: Vec<f64>, l: Vec<f64> },
}

/// What the critical point adds.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "kind", deny_unknown_fields)]
pub(super) enum CriticalConductivity {
    /// The simplified crossover of Olchowy and Sengers.
    OlchowySengers(OlchowySengers),
    /// `height exp(tau (1/Tr - 1)^4 + delta (rho/rhor - 1)^2)`.
    BellCurve { height: f64, tau: f64, delta: f64 },
    /// Ammonia: Tufeu et al.
    Tufeu,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(super) struct OlchowySengers {
    pub(super) reducing_pressure: f64,
    pub(super) reference_temperature: f64,
    pub(super) r0: f64,
    pub(super) gamma: f64,
    pub(super) big_gamma: f64,
    pub(super) xi0: f64,
    pub(super) cutoff: f64,
}

/// As [`ViscosityStates`]; the internal degrees of freedom add `eta0 (cp0 - 5/2 R) sum internal (T/Ti)^internal_powers`.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(super) struct ConductivityStates {
    pub(super) epsilon: f64,
    pub(super) sigma: f64,
    pub(super) reference: String,
    pub(super) psi: Vec<f64>,
    pub(super) psi_powers: Vec<f64>,
    pub(super) psi_density: f64,
    pub(super) internal: Vec<f64>,
    pub(super) internal_powers: Vec<f64>,
    pub(super) internal_temperature: f64,
    pub(super) critical: OlchowySengers,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) struct ConductivityR23 {
    pub(super) b1: f64,
    pub(super) b2: f64,
    #[serde(flatten)]
    pub(super) dense: ShanDense,
}

/// A blend with correlations of its own; its composition stands in the catalogue of blends.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(super) struct BlendData {
    pub(super) name: String,
    pub(super) viscosity: Entry<BlendModel>,
    pub(super) conductivity: Entry<BlendModel>,
    pub(super) surface_tension: Tension,
}

/// `sum dilute T^i + sum residual (rho/reducing_density)^i`, density in kg/m³.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(super) struct BlendModel {
    pub(super) dilute: Vec<f64>,
    pub(super) residual: Vec<f64>,
    pub(super) reducing_density: f64,
}

/// Blends that have correlations of their own.
pub(super) fn blends() -> &'static [BlendData] {
    #[derive(Deserialize)]
    struct Catalogue {
        blend: Vec<BlendData>,
    }
    static BLENDS: OnceLock<Vec<BlendData>> = OnceLock::new();
    let text = include_str!("../../../../data/transport/blends.toml");
    BLENDS.get_or_init(|| toml::from_str::<Catalogue>(text).map(|read| read.blend).unwrap_or_default())
}

struct Slot {
    stem: &'static str,
    text: &'static str,
    data: OnceLock<Option<TransportData>>,
}

macro_rules! files {
    ($($stem:literal),* $(,)?) => {
        [$(Slot {
            stem: $stem,
            text: include_str!(concat!("../../../../data/transport/", $stem, ".toml")),
            data: OnceLock::new(),
        }),*]
    };
}

static FILES: [Slot; 33] = files!(
    "argon",
    "nitrogen",
    "oxygen",
    "r-116",
    "r-12",
    "r-123",
    "r-1233zd-e",
    "r-1234yf",
    "r-1234ze-e",
    "r-124",
    "r-125",
    "r-1270",
    "r-13",
    "r-134a",
    "r-141b",
    "r-142b",
    "r-143a",
    "r-152a",
    "r-218",
    "r-22",
    "r-227ea",
    "r-23",
    "r-236fa",
    "r-245fa",
    "r-290",
    "r-32",
    "r-600",
    "r-600a",
    "r-601",
    "r-601a",
    "r-717",
    "r-744",
    "water",
);

/// The file of a fluid, none where nothing is published for it here.
pub(super) fn of(name: &str) -> Option<&'static TransportData> {
    let stem = name.to_lowercase().replace('(', "-").replace(')', "");
    let slot = FILES.iter().find(|slot| slot.stem == stem)?;
    slot.data.get_or_init(|| toml::from_str(slot.text).ok()).as_ref().filter(|data| data.name == name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn blends_with_correlations_are_in_the_catalogue() {
        let names: Vec<&str> = blends().iter().map(|blend| blend.name.as_str()).collect();
        assert_eq!(names, ["R-404A", "R-407C", "R-410A", "R-507A"]);
        assert!(names.iter().all(|name| crate::blends().iter().any(|blend| blend.name() == *name)));
    }

    #[test]
    fn every_file_reads_and_belongs_to_a_fluid() {
        for slot in &FILES {
            let data: TransportData = toml::from_str(slot.text).unwrap();
            let fluid = crate::Fluid::named(&data.name).unwrap();
            assert_eq!(fluid.name(), data.name);
            assert!(of(fluid.name()).is_some(), "{} is not found by its name", data.name);
        }
    }
}
