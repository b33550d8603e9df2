//! Plain numbers, and numbers that carry their slopes along (forward differentiation): the laws are written once for both.

use core::ops::{Add, Div, Mul, Neg, Sub};

/// What the laws are reckoned in.
pub(crate) trait Number:
    Copy
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + Div<Output = Self>
    + Neg<Output = Self>
    + Mul<f64, Output = Self>
    + Add<f64, Output = Self>
{
    /// How many variables it carries slopes by.
    const VARIABLES: usize;
    /// Whether there are slopes to be found.
    const HAS_SLOPES: bool = Self::VARIABLES > 0;

    /// One that doesn't change.
    fn fixed(value: f64) -> Self;
    /// The number itself.
    fn value(self) -> f64;
    /// A function of this number, by its value and slope here.
    fn through(self, value: f64, slope: f64) -> Self;
    /// A function of two numbers, by its value and slopes here.
    fn through_two(self, other: Self, value: f64, slopes: [f64; 2]) -> Self;

    /// The square root; of nothing or less 0, without a slope.
    #[inline(always)]
    fn root(self) -> Self {
        let root = self.value().max(0.0).sqrt();
        self.through(root, if root > 0.0 { 0.5 / root } else { 0.0 })
    }
    #[inline(always)]
    fn exp(self) -> Self {
        let value = libm::exp(self.value());
        self.through(value, value)
    }
    /// No less than so much.
    #[inline(always)]
    fn at_least(self, least: f64) -> Self {
        if self.value() < least { Self::fixed(least) } else { self }
    }
    /// No more than so much.
    #[inline(always)]
    fn at_most(self, most: f64) -> Self {
        if self.value() > most { Self::fixed(most) } else { self }
    }
    /// The lesser of two.
    #[inline(always)]
    fn lesser(self, other: Self) -> Self {
        if other.value() < self.value() { other } else { self }
    }
}

impl Number for f64 {
    const VARIABLES: usize = 0;

    #[inline(always)]
    fn fixed(value: f64) -> Self {
        value
    }
    #[inline(always)]
    fn value(self) -> f64 {
        self
    }
    #[inline(always)]
    fn through(self, value: f64, _: f64) -> Self {
        value
    }
    #[inline(always)]
    fn through_two(self, _: Self, value: f64, _: [f64; 2]) -> Self {
        value
    }
}

/// A number with its slopes by what is reckoned in its cell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Sloped<const K: usize> {
    pub(crate) value: f64,
    pub(crate) slopes: [f64; K],
}

impl<const K: usize> Sloped<K> {
    /// The variable itself, in its place.
    #[inline(always)]
    pub(crate) fn variable(value: f64, place: usize) -> Self {
        Self { value, slopes: core::array::from_fn(|k| if k == place { 1.0 } else { 0.0 }) }
    }

    /// The number alone.
    #[inline(always)]
    pub(crate) const fn plain(self) -> f64 {
        self.value
    }

    /// How much it changes as the variables do, to first order.
    #[inline(always)]
    pub(crate) fn change(&self, by: &[f64; K]) -> f64 {
        self.slopes.iter().zip(by).map(|(slope, part)| slope * part).sum()
    }

    #[inline(always)]
    fn both(self, other: Self, value: f64, one: f64, two: f64) -> Self {
        let mut slopes = self.slopes;
        for (slope, more) in slopes.iter_mut().zip(&other.slopes) {
            *slope = one * *slope + two * more;
        }
        Self { value, slopes }
    }
}

impl<const K: usize> Number for Sloped<K> {
    const VARIABLES: usize = K;

    #[inline(always)]
    fn fixed(value: f64) -> Self {
        Self { value, slopes: [0.0; K] }
    }
    #[inline(always)]
    fn value(self) -> f64 {
        self.value
    }
    #[inline(always)]
    fn through(self, value: f64, slope: f64) -> Self {
        let mut slopes = self.slopes;
        slopes.iter_mut().for_each(|own| *own *= slope);
        Self { value, slopes }
    }
    #[inline(always)]
    fn through_two(self, other: Self, value: f64, slopes: [f64; 2]) -> Self {
        self.both(other, value, slopes[0], slopes[1])
    }
}

impl<const K: usize> Add for Sloped<K> {
    type Output = Self;
    #[inline(always)]
    fn add(self, other: Self) -> Self {
        self.both(other, self.value + other.value, 1.0, 1.0)
    }
}

impl<const K: usize> Sub for Sloped<K> {
    type Output = Self;
    #[inline(always)]
    fn sub(self, other: Self) -> Self {
        self.both(other, self.value - other.value, 1.0, -1.0)
    }
}

impl<const K: usize> Mul for Sloped<K> {
    type Output = Self;
    #[inline(always)]
    fn mul(self, other: Self) -> Self {
        self.both(other, self.value * other.value, other.value, self.value)
    }
}

impl<const K: usize> Div for Sloped<K> {
    type Output = Self;
    #[inline(always)]
    fn div(self, other: Self) -> Self {
        let (over, value) = (1.0 / other.value, self.value / other.value);
        self.both(other, value, over, -value * over)
    }
}

impl<const K: usize> Neg for Sloped<K> {
    type Output = Self;
    #[inline(always)]
    fn neg(self) -> Self {
        self.through(-self.value, -1.0)
    }
}

impl<const K: usize> Mul<f64> for Sloped<K> {
    type Output = Self;
    #[inline(always)]
    fn mul(self, factor: f64) -> Self {
        self.through(self.value * factor, factor)
    }
}

impl<const K: usize> Add<f64> for Sloped<K> {
    type Output = Self;
    #[inline(always)]
    fn add(self, more: f64) -> Self {
        Self { value: self.value + more, ..self }
    }
}
