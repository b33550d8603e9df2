//! Pair parameters: reducing functions and departure functions, from the data file.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use serde::Deserialize;

use crate::data::Residual;
use crate::kernel::Equation;

#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct File {
    papers: BTreeMap<String, String>,
    pair: Vec<PairData>,
    families: BTreeMap<String, Vec<String>>,
    estimate: Vec<EstimateData>,
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

/// What the published pairs of two families have in common: reducing temperature and volume at equal parts over the arithmetic means, averages and
/// standard deviations.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct EstimateData {
    families: [String; 2],
    pairs: u32,
    #[expect(dead_code, reason = "for people who read the file")]
    source: String,
    temperature: f64,
    temperature_spread: f64,
    volume: f64,
    volume_spread: f64,
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

impl EstimateData {
    fn of(one: &str, two: &str) -> Option<&'static Self> {
        let known = known()?;
        let family = |name: &str| {
            let member = |names: &Vec<String>| names.iter().any(|known| known == name);
            known.file.families.iter().find(|(_, names)| member(names)).map(|(family, _)| family.as_str())
        };
        let (a, b) = (family(one)?, family(two)?);
        known.file.estimate.iter().find(|estimate| {
            let [x, y] = &estimate.families;
            (x == a && y == b) || (x == b && y == a)
        })
    }
}

/// How the parameters of a pair without published ones were estimated.
pub(crate) fn estimate_words(one: &str, two: &str) -> String {
    EstimateData::of(one, two).map_or_else(
        || "linear combining rule".to_owned(),
        |estimate| {
            let [a, b] = &estimate.families;
            format!(
                "mean of {} published pairs {a} with {b}: reducing temperature ±{:.1} %, volume ±{:.1} % (standard deviation)",
                estimate.pairs,
                100.0 * estimate.temperature_spread,
                100.0 * estimate.volume_spread
            )
        },
    )
}

impl Pair {
    /// The published parameters of two fluids, each by its name, reducing temperature and reducing density; where there are none, an estimate.
    ///
    /// The linear combining rule (O. Kunz, W. Wagner, J. Chem. Eng. Data 57 (2012) 3032-3091, for binaries without data) takes reducing
    /// temperature and volume at equal parts as the arithmetic means of the components'. Here they are as far off the means as those of the
    /// published pairs of the same two chemical families are on average; for families without enough of them the rule stays as it is.
    pub(crate) fn of(one: (&str, f64, f64), two: (&str, f64, f64)) -> Self {
        Self::published(one.0, two.0).unwrap_or_else(|| {
            let estimate = EstimateData::of(one.0, two.0);
            let (t, v) = estimate.map_or((1.0, 1.0), |estimate| (estimate.temperature, estimate.volume));
            Self {
                beta_t: 1.0,
                gamma_t: t * 0.5 * (one.1 + two.1) / (one.1 * two.1).sqrt(),
                beta_v: 1.0,
                gamma_v: v * 0.5 * (1.0 / one.2 + 1.0 / two.2) / mean_volume(one.2, two.2),
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

    /// The averages in the file are those of its pairs.
    #[test]
    fn estimates_are_the_averages_of_published_pairs() {
        let known = known().unwrap_or_else(|| panic!("the file of pairs can't be read"));
        let point = |name: &str| {
            let data = &crate::Fluid::named(name).unwrap_or_else(|error| panic!("{error}")).eos().data;
            (data.reducing_temperature, data.reducing_density)
        };
        for estimate in &known.file.estimate {
            let same = |pair: &&PairData| {
                let [one, two] = &pair.of;
                EstimateData::of(one, two).is_some_and(|found| found.families == estimate.families)
            };
            let found = known.file.pair.iter().filter(same).map(|pair| {
                let (one, two) = (point(&pair.of[0]), point(&pair.of[1]));
                [
                    pair.gamma_t * (one.0 * two.0).sqrt() / (0.5 * (one.0 + two.0)),
                    pair.gamma_v * mean_volume(one.1, two.1) / (0.5 * (1.0 / one.1 + 1.0 / two.1)),
                ]
            });
            let found: Vec<[f64; 2]> = found.collect();
            let n = found.len() as f64;
            let mean = |at: usize| found.iter().map(|pair| pair[at]).sum::<f64>() / n;
            let spread = |at: usize| {
                (found.iter().map(|pair| (pair[at] - mean(at)) * (pair[at] - mean(at))).sum::<f64>()
                    / (n - 1.0))
                    .sqrt()
            };
            assert_eq!(found.len(), estimate.pairs as usize, "{:?}", estimate.families);
            for (ours, file) in [
                (mean(0), estimate.temperature),
                (spread(0), estimate.temperature_spread),
                (mean(1), estimate.volume),
                (spread(1), estimate.volume_spread),
            ] {
                assert!((ours - file).abs() < 1e-6, "{:?}: {ours}, {file}", estimate.families);
            }
        }
        assert!(known.file.estimate.len() >= 8);
    }

    #[test]
    fn a_pair_turned_round_is_the_same_pair() {
        let (a, b) = (("R-22", 369.295, 6058.22), ("R-115", 353.1, 3980.0));
        let (one, two) = (Pair::of(a, b), Pair::of(b, a));
        assert!((one.beta_t * two.beta_t - 1.0).abs() < 1e-15 && one.source.is_some());
        assert!(Pair::of(("R-12", 385.0, 4700.0), ("R-1234yf", 367.0, 4100.0)).source.is_none());
    }
}
