//! Curves that bend without corners: value and slope together.

/// 0 below 0, 1 above 1, a cubic between.
pub(super) fn step(z: f64) -> (f64, f64) {
    let z = z.clamp(0.0, 1.0);
    (z * z * (3.0 - 2.0 * z), 6.0 * z * (1.0 - z))
}

/// The positive part, its corner rounded over ±`width` (> 0) by a parabola.
pub(super) fn positive(x: f64, width: f64) -> (f64, f64) {
    if x >= width {
        (x, 1.0)
    } else if x <= -width {
        (0.0, 0.0)
    } else {
        let z = x + width;
        (z * z / (4.0 * width), z / (2.0 * width))
    }
}

/// The lesser of two positive numbers, rounded where they meet (16 % less there): slopes by both.
pub(crate) fn lesser(a: f64, b: f64) -> (f64, f64, f64) {
    if a <= 0.0 || b <= 0.0 {
        return (0.0, 0.0, 0.0);
    }
    let (p, q) = ((a / b) * (a / b), (b / a) * (b / a));
    let by_a = 1.0 / (1.0 + p * p);
    let by_b = 1.0 / (1.0 + q * q);
    let value = a * by_a.sqrt().sqrt();
    (value, value / a * by_a, value / b * by_b)
}
