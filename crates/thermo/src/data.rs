//! The coefficients: one TOML file a fluid, built in, read when the fluid is first asked for.

use serde::Deserialize;

/// One fluid's file.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(crate) struct FluidData {
    pub(crate) name: String,
    pub(crate) aliases: Vec<String>,
    pub(crate) source: String,
    pub(crate) source_key: String,
    pub(crate) source_note: String,
    pub(crate) safety_class: String,
    pub(crate) safety_source: String,
    pub(crate) molar_mass: f64,
    pub(crate) gas_constant: f64,
    pub(crate) reducing_temperature: f64,
    pub(crate) reducing_density: f64,
    pub(crate) critical_temperature: f64,
    pub(crate) critical_pressure: f64,
    pub(crate) critical_density: f64,
    pub(crate) min_temperature: f64,
    pub(crate) max_temperature: f64,
    pub(crate) max_pressure: f64,
    dome: Option<Dome>,
    pub(crate) ideal: Ideal,
    pub(crate) start: Start,
    pub(crate) residual: Vec<Residual>,
}

/// The top of a dome: temperature, pressure, and density in mol/m³.
#[derive(Clone, Copy, Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(crate) struct Dome {
    pub(crate) temperature: f64,
    pub(crate) pressure: f64,
    pub(crate) density: f64,
}

impl FluidData {
    /// Where the equation's own dome closes: some papers' critical points are a little off it.
    pub(crate) fn top(&self) -> Dome {
        let published = Dome {
            temperature: self.critical_temperature,
            pressure: self.critical_pressure,
            density: self.critical_density,
        };
        self.dome.unwrap_or(published)
    }
}

/// `ln(delta) + constant + linear tau + log ln(tau) + sum n tau^t + sum n ln(1 - exp(-theta tau))`.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(crate) struct Ideal {
    pub(crate) constant: f64,
    pub(crate) linear: f64,
    pub(crate) log: f64,
    pub(crate) power_n: Vec<f64>,
    pub(crate) power_t: Vec<f64>,
    pub(crate) einstein_n: Vec<f64>,
    pub(crate) einstein_theta: Vec<f64>,
}

/// Rough saturation curves, where Newton starts.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(crate) struct Start {
    pub(crate) pressure: Curve,
    pub(crate) liquid_density: Curve,
    pub(crate) vapour_density: Curve,
}

#[derive(Clone, Copy, Debug, Deserialize, PartialEq, Eq)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Form {
    Linear,
    Exponential,
}

/// `r (1 + s)` or `r exp(s)` with `s = sum n (1 - T/Tr)^t`, times `Tr/T` where `tau_factor` says so.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(crate) struct Curve {
    pub(crate) form: Form,
    pub(crate) reducing_value: f64,
    pub(crate) reducing_temperature: f64,
    pub(crate) tau_factor: bool,
    pub(crate) n: Vec<f64>,
    pub(crate) t: Vec<f64>,
}

/// Residual terms of one kind, as the papers print them.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "kind", deny_unknown_fields)]
pub(crate) enum Residual {
    /// `n delta^d tau^t exp(-g delta^l)`; no exponential where `l` is 0; `g` is 1 where it is left out.
    Power {
        n: Vec<f64>,
        d: Vec<f64>,
        t: Vec<f64>,
        l: Vec<f64>,
        #[serde(default)]
        g: Vec<f64>,
    },
    /// `n delta^d tau^t exp(-delta^l) exp(-tau^m)`; an exponent 0 leaves its exponential out.
    DoubleExponential { n: Vec<f64>, d: Vec<f64>, t: Vec<f64>, l: Vec<f64>, m: Vec<f64> },
    /// `n delta^d tau^t exp(-eta (delta - epsilon)^2 - beta (tau - gamma)^2)`.
    Gaussian {
        n: Vec<f64>,
        d: Vec<f64>,
        t: Vec<f64>,
        eta: Vec<f64>,
        beta: Vec<f64>,
        gamma: Vec<f64>,
        epsilon: Vec<f64>,
    },
    /// `n delta^d tau^t exp(eta (delta - epsilon)^2 + 1/(b + beta (tau - gamma)^2))`.
    GaoB {
        n: Vec<f64>,
        d: Vec<f64>,
        t: Vec<f64>,
        eta: Vec<f64>,
        beta: Vec<f64>,
        gamma: Vec<f64>,
        epsilon: Vec<f64>,
        b: Vec<f64>,
    },
    /// The critical terms of Span and Wagner: `n Delta^b delta psi`.
    #[serde(rename_all = "kebab-case")]
    NonAnalytic {
        n: Vec<f64>,
        a: Vec<f64>,
        b: Vec<f64>,
        beta: Vec<f64>,
        big_a: Vec<f64>,
        big_b: Vec<f64>,
        big_c: Vec<f64>,
        big_d: Vec<f64>,
    },
}

macro_rules! files {
    ($($file:literal),* $(,)?) => {
        &[$(include_str!(concat!("../../../data/refrigerants/", $file, ".toml"))),*]
    };
}

/// Every fluid's file.
pub(crate) const FILES: &[&str] = files!(
    "r-12",
    "r-13",
    "r-22",
    "r-23",
    "r-32",
    "r-115",
    "r-116",
    "r-123",
    "r-124",
    "r-125",
    "r-134a",
    "r-141b",
    "r-142b",
    "r-143a",
    "r-152a",
    "r-218",
    "r-227ea",
    "r-236fa",
    "r-245fa",
    "r-290",
    "r-600",
    "r-600a",
    "r-601",
    "r-601a",
    "r-717",
    "r-744",
    "r-1233zd-e",
    "r-1234yf",
    "r-1234ze-e",
    "r-1270",
    "r-1336mzz-z",
    "nitrogen",
    "oxygen",
    "argon",
    "water",
);

/// The name and the aliases that a file starts with, without reading the rest.
pub(crate) fn names(file: &str) -> (String, Vec<String>) {
    #[derive(Deserialize)]
    struct Head {
        name: String,
        aliases: Vec<String>,
    }
    let head = file.split("source =").next().unwrap_or_default();
    toml::from_str::<Head>(head)
        .map_or_else(|_| (String::new(), Vec::new()), |head| (head.name, head.aliases))
}
