//! Pair parameters: reducing functions and departure functions, from the data file.

use std::sync::OnceLock;

use serde::Deserialize;

use crate::data::Residual;
use crate::kernel::Equation;

#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct File {
    papers: std::collections::BTreeMap<String, String>,
    pair: Vec<PairData>,
    function: Vec<FunctionData>,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct PairData {
    of: [String; 2],
    source: String,
    beta_t: f64,
    gamma_t: f64,
    beta_v: f64,
    gamma_v: f64,
    function: Option<String>,
    factor: Option<f64>,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct FunctionData {
    name: String,
    source: String,
    term: Vec<Residual>,
}

/// The parameters of one pair, for its components in the order asked for.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Pair {
    pub(crate) beta_t: f64,
    pub(crate) gamma_t: f64,
    pub(crate) beta_v: f64,
    pub(crate) gamma_v: f64,
    /// The departure function and its factor.
    pub(crate) departure: Option<(&'static Equation, f64)>,
    /// The paper; none: estimated.
    pub(crate) source: Option<&'static str>,
}

struct Known {
    file: File,
    equations: Vec<(String, Equation)>,
}

fn known() -> Option<&'static Known> {
    static KNOWN: OnceLock<Option<Known>> = OnceLock::new();
    KNOWN
        .get_or_init(|| {
            let file: File = toml::from_str(include_str!("../../../../data/pairs.toml")).ok()?;
            let equations = file
                .function
                .iter()
                .filter(|function| file.papers.contains_key(&function.source))
                .map(|function| (function.name.clone(), Equation::of_terms(&function.term)))
                .collect();
            Some(Known { file, equations })
        })
        .as_ref()
}

impl Pair {
    /// The published parameters of two fluids, by their names; where there are none, the linear combining rule.
    ///
    /// The rule (O. Kunz, W. Wagner, J. Chem. Eng. Data 57 (2012) 3032-3091, for binaries without data): reducing temperature and volume
    /// at equal parts are the arithmetic means of the components'.
    pub(crate) fn of(one: (&str, f64, f64), two: (&str, f64, f64)) -> Self {
        Self::published(one.0, two.0).unwrap_or_else(|| {
            let mean = mean_volume(one.2, two.2);
            Self {
                beta_t: 1.0,
                gamma_t: 0.5 * (one.1 + two.1) / (one.1 * two.1).sqrt(),
                beta_v: 1.0,
                gamma_v: 0.5 * (1.0 / one.2 + 1.0 / two.2) / mean,
                departure: None,
                source: None,
            }
        })
    }

    fn published(one: &str, two: &str) -> Option<Self> {
        let known = known()?;
        let found = known.file.pair.iter().find(|pair| {
            let [a, b] = &pair.of;
            (a == one && b == two) || (a == two && b == one)
        })?;
        let swapped = found.of.first().is_some_and(|first| first != one);
        let turned = |beta: f64| if swapped { 1.0 / beta } else { beta };
        let departure = found.function.as_ref().zip(found.factor).and_then(|(name, factor)| {
            known.equations.iter().find(|(known, _)| known == name).map(|(_, equation)| (equation, factor))
        });
        Some(Self {
            beta_t: turned(found.beta_t),
            gamma_t: found.gamma_t,
            beta_v: turned(found.beta_v),
            gamma_v: found.gamma_v,
            departure,
            source: known.file.papers.get(&found.source).map(String::as_str),
        })
    }
}

/// The combining rule for volumes: `(rho1^(-1/3) + rho2^(-1/3))^3 / 8`.
pub(crate) fn mean_volume(one: f64, two: f64) -> f64 {
    let sum = 1.0 / libm::cbrt(one) + 1.0 / libm::cbrt(two);
    0.125 * sum * sum * sum
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_pair_names_fluids_a_paper_and_a_function_that_exist() {
        let known = known().unwrap_or_else(|| panic!("the file of pairs can't be read"));
        assert!(known.file.pair.len() > 200);
        for pair in &known.file.pair {
            for name in &pair.of {
                assert!(crate::Fluid::named(name).is_ok_and(|fluid| fluid.name() == name), "{name}");
            }
            assert!(known.file.papers.contains_key(&pair.source), "{}", pair.source);
            let function = |name: &String| known.equations.iter().any(|(known, _)| known == name);
            assert!(pair.function.as_ref().is_none_or(function), "{:?}", pair.of);
        }
        assert_eq!(known.equations.len(), known.file.function.len());
    }

    #[test]
    fn a_pair_turned_round_is_the_same_pair() {
        let (a, b) = (("R-22", 369.295, 6058.22), ("R-115", 353.1, 3980.0));
        let (one, two) = (Pair::of(a, b), Pair::of(b, a));
        assert!((one.beta_t * two.beta_t - 1.0).abs() < 1e-15 && one.source.is_some());
        assert!(Pair::of(("R-12", 385.0, 4700.0), ("R-1234yf", 367.0, 4100.0)).source.is_none());
    }
}
