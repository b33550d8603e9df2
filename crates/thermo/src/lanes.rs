//! Two numbers at a time: exponential, logarithm and sums, the same bits on every machine.
//!
//! Only additions, multiplications, divisions and integer steps in a fixed order; no fused operation, whatever the machine offers.

use wide::{f64x2, u64x2};

/// What one instruction works on, on the plainest x86-64 and in wasm: wider lanes would only spill registers.
pub(crate) type Lanes = f64x2;
/// How many numbers that is.
pub(crate) const WIDTH: usize = 2;

const LN2_HIGH: f64 = 0.693_147_180_369_123_8;
const LN2_LOW: f64 = 1.908_214_929_270_587_7e-10;
/// 1.5 * 2^52: adding it rounds to a whole number that then stands in the low bits.
const ROUNDER: f64 = 6_755_399_441_055_744.0;

/// `exp(r) = 1 + r + r^2 q(r)` for |r| up to ln(2)/2: interpolated at Chebyshev nodes, off by 2e-17 at most.
const EXP: [f64; 10] = [
    0.500_000_000_000_000_1,
    0.166_666_666_666_666_69,
    0.041_666_666_666_624_13,
    0.008_333_333_333_330_062,
    0.001_388_888_891_721_371_7,
    0.000_198_412_698_630_536_18,
    2.480_152_129_595_437_6e-5,
    2.755_726_845_999_706_4e-6,
    2.762_008_844_540_974_6e-7,
    2.510_038_549_551_032e-8,
];

/// `ln((1 + s)/(1 - s)) = 2 s + s^3 r(s^2)` for the mantissas from sqrt(1/2) to sqrt(2), off by 5e-18 at most.
const LOG: [f64; 7] = [
    0.666_666_666_666_667,
    0.399_999_999_998_994_44,
    0.285_714_286_260_032_7,
    0.222_222_111_302_598_78,
    0.181_828_894_556_749_47,
    0.153_317_106_182_107_73,
    0.146_165_854_248_886_23,
];

/// `exp(x)` of x up to 709, relative error below 1e-15; below -708 it is that of -708, which nothing here tells from zero.
#[inline(always)]
pub(crate) fn exp(x: Lanes) -> Lanes {
    let [y] = exps([x]);
    y
}

/// The same of several at once, step by step: a processor works on one while it waits for the other.
#[inline(always)]
pub(crate) fn exps<const N: usize>(x: [Lanes; N]) -> [Lanes; N] {
    let c = |at: usize| Lanes::splat(EXP[at]);
    let x = x.map(|x| x.fast_max(Lanes::splat(-708.0)));
    let shifted = x.map(|x| x * core::f64::consts::LOG2_E + ROUNDER);
    let k = shifted.map(|shifted| shifted - ROUNDER);
    let r: [Lanes; N] = core::array::from_fn(|i| (x[i] - k[i] * LN2_HIGH) - k[i] * LN2_LOW);
    let r2 = r.map(|r| r * r);
    let r4 = r2.map(|r2| r2 * r2);
    let part = |i: usize, at: usize| (c(at) + r[i] * c(at + 1)) + r2[i] * (c(at + 2) + r[i] * c(at + 3));
    let low: [Lanes; N] = core::array::from_fn(|i| part(i, 0));
    let high: [Lanes; N] = core::array::from_fn(|i| part(i, 4) + r4[i] * (c(8) + r[i] * c(9)));
    let y: [Lanes; N] = core::array::from_fn(|i| (r[i] + r2[i] * (low[i] + r4[i] * high[i])) + 1.0);
    core::array::from_fn(|i| Lanes::from_bits(y[i].to_bits() + (shifted[i].to_bits() << 52)))
}

/// `ln(x)` of normal numbers above zero, within two units in the last place.
#[inline(always)]
pub(crate) fn ln(x: Lanes) -> Lanes {
    const ONE: u64 = 1023 << 52;
    /// The bits of sqrt(1/2).
    const ROOT: u64 = 0x3FE6_A09E_667F_3BCD;
    /// 2^52: the bits of its mantissa are a whole number.
    const WHOLE: u64 = 0x4330_0000_0000_0000;
    let c = |at: usize| Lanes::splat(LOG[at]);
    let bits = x.to_bits();
    let power = (bits + u64x2::splat(ONE - ROOT)) >> 52;
    let k = Lanes::from_bits(power | u64x2::splat(WHOLE)) - (f64::from_bits(WHOLE) + 1023.0);
    let m = Lanes::from_bits(bits - (power << 52) + u64x2::splat(ONE));
    let s = (m - 1.0) / (m + 1.0);
    let z = s * s;
    let z2 = z * z;
    let r = (c(0) + z * c(1)) + z2 * ((c(2) + z * c(3)) + z2 * ((c(4) + z * c(5)) + z2 * c(6)));
    k * LN2_HIGH + ((s + s) + (s * z * r + k * LN2_LOW))
}

/// Both added.
#[inline(always)]
pub(crate) fn sum(x: Lanes) -> f64 {
    let [a, b] = x.to_array();
    a + b
}

/// Entries of a table.
#[inline(always)]
pub(crate) fn gather<const N: usize>(table: &[f64; N], at: [u8; WIDTH]) -> Lanes {
    const { assert!(N.is_power_of_two()) };
    Lanes::new(at.map(|at| table[usize::from(at) & (N - 1)]))
}

/// Splits a column into lanes; the last ones are filled up.
pub(crate) fn columns(values: &[f64], fill: f64) -> impl Iterator<Item = Lanes> {
    values
        .chunks(WIDTH)
        .map(move |chunk| Lanes::new(core::array::from_fn(|lane| chunk.get(lane).copied().unwrap_or(fill))))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exponentials_and_logarithms() {
        // Against libm, itself within one unit in the last place.
        let mut worst = [0.0f64; 2];
        for n in 0..200_000 {
            let x = -700.0 + f64::from(n) * 0.007;
            let ours = exp(Lanes::splat(x)).to_array()[1];
            worst[0] = worst[0].max((ours / libm::exp(x) - 1.0).abs());
            let big = libm::exp(x);
            let log = ln(Lanes::splat(big)).to_array()[1];
            worst[1] = worst[1].max(((log - libm::log(big)) / libm::log(big).abs().max(1e-30)).abs());
            let near = 0.5 + f64::from(n) * 1e-5;
            let log = ln(Lanes::splat(near)).to_array()[0];
            let gap = (log - libm::log(near)).abs();
            worst[1] = worst[1].max(if gap > 0.0 { gap / libm::log(near).abs() } else { 0.0 });
        }
        assert!(worst[0] < 5e-16 && worst[1] < 5e-16, "{worst:?}");
        assert!(exp(Lanes::splat(-1e300)).to_array()[0] < 1e-300);
    }
}
