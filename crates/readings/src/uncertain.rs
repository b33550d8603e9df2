//! Uncertainty by the Guide (JCGM 100:2008, "GUM"): one list of inputs, every result a function of them, so that what results share counts once.

/// Something that was measured or assumed, with its standard uncertainty; SI.
#[derive(Clone, Debug, PartialEq)]
pub struct Input {
    /// What it is, as a person reads it.
    pub name: String,
    /// The value, SI.
    pub value: f64,
    /// The standard uncertainty, SI.
    pub standard: f64,
}

impl Input {
    /// Known as well as its standard uncertainty says.
    pub fn new(name: impl Into<String>, value: f64, standard: f64) -> Self {
        Self { name: name.into(), value, standard }
    }
}

/// The standard uncertainty of a value known to lie within so much either way, anything between as likely (JCGM 100:2008, 4.3.7).
pub fn rectangular(half_width: f64) -> f64 {
    half_width / 3.0_f64.sqrt()
}

/// A result with its standard uncertainty; SI, in the unit of what it is.
#[derive(Clone, Debug, PartialEq)]
pub struct Uncertain {
    /// The value.
    pub value: f64,
    /// Its standard uncertainty.
    pub standard: f64,
    /// How much of the variance each input brings, the largest first: the input's name and its part, from 0 to 1.
    pub shares: Vec<(String, f64)>,
}

impl Uncertain {
    /// A value without shares.
    pub const fn plain(value: f64, standard: f64) -> Self {
        Self { value, standard, shares: Vec::new() }
    }

    /// Half the width of the interval that holds the value with about 95 % (coverage factor 2; JCGM 100:2008, 6.3.3).
    pub const fn expanded(&self) -> f64 {
        2.0 * self.standard
    }

    /// The probability that the true value lies above a limit, the uncertainty taken as normal.
    pub fn above(&self, limit: f64) -> f64 {
        if self.standard > 0.0 {
            normal((self.value - limit) / self.standard)
        } else if self.value > limit {
            1.0
        } else {
            0.0
        }
    }
}

/// A number by itself.
pub(crate) const fn square(x: f64) -> f64 {
    x * x
}

/// The standard normal distribution function.
pub fn normal(z: f64) -> f64 {
    0.5 * libm::erfc(-z * core::f64::consts::FRAC_1_SQRT_2)
}

/// Puts inputs through a function. Each input is moved by its standard uncertainty both ways (JCGM 100:2008, 5.1.3, note 2), which takes a
/// bent function into account to the third order. None where the function has no value.
///
/// ```
/// use stemwise_readings::{Input, propagate};
/// let inputs = [Input::new("a", 3.0, 0.3), Input::new("b", 4.0, 0.4)];
/// let sum = propagate(&inputs, |x| Some(x[0] + x[1])).unwrap();
/// assert!((sum.value - 7.0).abs() < 1e-12 && (sum.standard - 0.5).abs() < 1e-12);
/// assert_eq!(sum.shares[0].0, "b");
/// assert!(propagate(&inputs, |_| None).is_none());
/// ```
pub fn propagate(inputs: &[Input], f: impl Fn(&[f64]) -> Option<f64>) -> Option<Uncertain> {
    let mut at: Vec<f64> = inputs.iter().map(|input| input.value).collect();
    let value = f(&at).filter(|value| value.is_finite())?;
    let mut variances: Vec<(String, f64)> = Vec::new();
    for (index, input) in inputs.iter().enumerate() {
        if input.standard > 0.0 {
            let change = change(&mut at, index, input, value, &f);
            if change.abs() > 0.0 {
                variances.push((input.name.clone(), change * change));
            }
        }
    }
    let variance: f64 = variances.iter().map(|(_, variance)| variance).sum();
    let mut shares: Vec<(String, f64)> =
        variances.into_iter().map(|(name, part)| (name, part / variance)).collect();
    shares.sort_by(|one, other| other.1.total_cmp(&one.1).then_with(|| one.0.cmp(&other.0)));
    Some(Uncertain { value, standard: variance.sqrt(), shares })
}

/// By how much the result moves with one input's standard uncertainty; where one side has no value, the other alone.
fn change(
    at: &mut [f64],
    index: usize,
    input: &Input,
    value: f64,
    f: &impl Fn(&[f64]) -> Option<f64>,
) -> f64 {
    let mut moved = |by: f64| {
        let place = at.get_mut(index)?;
        *place = input.value + by;
        let result = f(at).filter(|result| result.is_finite());
        if let Some(place) = at.get_mut(index) {
            *place = input.value;
        }
        result
    };
    match (moved(input.standard), moved(-input.standard)) {
        (Some(up), Some(down)) => (up - down) / 2.0,
        (Some(up), None) => up - value,
        (None, Some(down)) => value - down,
        (None, None) => 0.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_guides_end_gauge() {
        // JCGM 100:2008, H.1: an end gauge's length; combined standard uncertainty 32 nm.
        let inputs = [
            Input::new("standard", 50_000_623.0, 25.0),
            Input::new("difference", 215.0, 9.7),
            Input::new("expansion", 11.5e-6, 1.2e-6),
            Input::new("mean deviation", -0.1, 0.41),
            Input::new("difference of expansion", 0.0, 0.58e-6),
            Input::new("difference of temperature", 0.0, 0.029),
        ];
        let length = propagate(&inputs, |x| Some(x[0] + x[1] - x[0] * (x[4] * x[3] + x[2] * x[5]))).unwrap();
        assert!((length.value - 50_000_838.0).abs() < 3.0, "{}", length.value);
        assert!((length.standard - 32.0).abs() < 1.0, "{}", length.standard);
        assert_eq!(length.shares[0].0, "standard");
    }

    #[test]
    fn normal_is_the_normal_distribution() {
        // NIST/SEMATECH e-Handbook, table of the normal distribution.
        for (z, p) in [(0.0, 0.5), (1.0, 0.84134), (1.645, 0.95002), (-2.0, 0.02275)] {
            assert!((normal(z) - p).abs() < 1e-5, "{z}");
        }
        assert!((Uncertain::plain(1.0, 0.0).above(0.5) - 1.0).abs() < 1e-12);
    }
}
