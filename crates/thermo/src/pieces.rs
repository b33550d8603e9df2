//! Pieces of polynomials through values at Chebyshev nodes, four quantities at a time.

use core::ops::{Add, AddAssign, Mul};

use wide::{f64x2, f64x4};

/// Coefficients of a piece.
pub(crate) const TERMS: usize = 14;

/// Powers of `s`, from -1 to 1 over the piece.
pub(crate) type Piece = [f64x4; TERMS];

/// Quantities that are interpolated together.
pub(crate) trait Together:
    Copy + Default + AddAssign + Add<Output = Self> + Mul<f64, Output = Self>
{
}

impl Together for f64 {}
impl Together for f64x2 {}
impl Together for f64x4 {}

/// The zeros of the Chebyshev polynomial.
pub(crate) fn nodes<const N: usize>() -> [f64; N] {
    let step = core::f64::consts::PI / N as f64;
    core::array::from_fn(|k| libm::cos((k as f64 + 0.5) * step))
}

/// Chebyshev coefficients of the polynomial through values at the nodes.
pub(crate) fn coefficients<T: Together, const N: usize>(values: &[T; N], nodes: &[f64; N]) -> [T; N] {
    let mut out = [T::default(); N];
    for (value, node) in values.iter().zip(nodes) {
        let (mut before, mut here) = (*node, 1.0);
        for slot in &mut out {
            *slot += *value * here;
            (before, here) = (here, 2.0 * node * here - before);
        }
    }
    let mut out = out.map(|sum| sum * (2.0 / N as f64));
    if let Some(first) = out.first_mut() {
        *first = *first * 0.5;
    }
    out
}

/// The same polynomial in powers.
pub(crate) fn monomials<T: Together, const N: usize>(chebyshev: &[T; N]) -> [T; N] {
    let mut out = [T::default(); N];
    let (mut before, mut here) = ([0.0; N], [0.0; N]);
    // T_-1 = T_1 = s.
    (before[1], here[0]) = (1.0, 1.0);
    for c in chebyshev {
        for (slot, power) in out.iter_mut().zip(&here) {
            *slot += *c * *power;
        }
        let next = core::array::from_fn(|k| if k > 0 { 2.0 * here[k - 1] - before[k] } else { -before[k] });
        (before, here) = (here, next);
    }
    out
}

/// Chebyshev coefficients in both directions of the polynomial through values at the nodes: the first direction within the second.
pub(crate) fn coefficients_of_surface<T: Together, const N: usize>(values: &[[T; N]; N]) -> [[T; N]; N] {
    let nodes = nodes();
    both_ways(values, |line| coefficients(line, &nodes))
}

/// The same polynomial in powers.
pub(crate) fn powers_of_surface<T: Together, const N: usize>(chebyshev: &[[T; N]; N]) -> [[T; N]; N] {
    both_ways(chebyshev, monomials)
}

fn both_ways<T: Together, const N: usize>(
    values: &[[T; N]; N],
    each: impl Fn(&[T; N]) -> [T; N],
) -> [[T; N]; N] {
    let rows = values.map(|row| each(&row));
    let columns: [[T; N]; N] = core::array::from_fn(|a| each(&core::array::from_fn(|b| rows[b][a])));
    core::array::from_fn(|b| core::array::from_fn(|a| columns[a][b]))
}

/// A polynomial by pairs of terms, which a processor works on side by side.
#[inline(always)]
pub(crate) fn along<T: Together, const N: usize>(terms: &[T; N], x: f64) -> T {
    let z = x * x;
    let mut sum = terms[N - 2] + terms[N - 1] * x;
    for pair in terms[..N - 2].chunks_exact(2).rev() {
        sum = (pair[0] + pair[1] * x) + sum * z;
    }
    sum
}

/// The same, bit for bit, with its slope.
#[inline(always)]
pub(crate) fn along_with_slope<T: Together, const N: usize>(terms: &[T; N], x: f64) -> [T; 2] {
    let z = x * x;
    let mut sum = terms[N - 2] + terms[N - 1] * x;
    let (mut odd, mut by_z) = (terms[N - 1], T::default());
    for pair in terms[..N - 2].chunks_exact(2).rev() {
        by_z = by_z * z + sum;
        odd = odd * z + pair[1];
        sum = (pair[0] + pair[1] * x) + sum * z;
    }
    [sum, odd + by_z * (2.0 * x)]
}

/// A surface.
#[inline(always)]
pub(crate) fn surface<T: Together, const N: usize>(terms: &[[T; N]; N], x: f64, y: f64) -> T {
    let z = y * y;
    let mut sum = along(&terms[N - 2], x) + along(&terms[N - 1], x) * y;
    for pair in terms[..N - 2].chunks_exact(2).rev() {
        sum = (along(&pair[0], x) + along(&pair[1], x) * y) + sum * z;
    }
    sum
}

/// A surface and its slopes by both coordinates.
#[inline(always)]
pub(crate) fn surface_with_slopes<T: Together, const N: usize>(
    terms: &[[T; N]; N],
    x: f64,
    y: f64,
) -> [T; 3] {
    let rows = terms.each_ref().map(|row| along_with_slope(row, x));
    let [value, by_y] = along_with_slope(&rows.map(|[value, _]| value), y);
    [value, along(&rows.map(|[_, slope]| slope), y), by_y]
}

#[inline(always)]
pub(crate) fn value<const N: usize>(piece: &[f64x4; N], s: f64) -> f64x4 {
    let s2 = s * s;
    let (mut even, mut odd) = (piece[N - 2], piece[N - 1]);
    for pair in piece[..N - 2].chunks_exact(2).rev() {
        even = even * s2 + pair[0];
        odd = odd * s2 + pair[1];
    }
    even + odd * s
}

#[inline(always)]
pub(crate) fn value_and_slope<const N: usize>(piece: &[f64x4; N], s: f64) -> (f64x4, f64x4) {
    let (mut value, mut slope) = (f64x4::ZERO, f64x4::ZERO);
    for c in piece.iter().rev() {
        slope = slope * s + value;
        value = value * s + *c;
    }
    (value, slope)
}

#[inline(always)]
pub(crate) fn with_slope(piece: &Piece, s: f64) -> (f64x4, f64x4) {
    value_and_slope(piece, s)
}
