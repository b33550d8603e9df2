//! What leaves a vessel through its outlet: liquid, vapour or some of both, by the level inside.

use super::super::smooth::step;

/// An outlet: a dip tube's open end, or a nozzle in the shell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outlet {
    /// Height of its middle above the bottom, m.
    pub height_m: f64,
    /// Its bore, m.
    pub bore_m: f64,
}

impl Outlet {
    /// The part of its cross section that liquid takes at that level, 0 to 1, over its bore. A vortex draws vapour down earlier (by about a bore at 1 m/s;
    /// not told here).
    #[must_use]
    pub fn liquid_part(&self, level_m: f64) -> f64 {
        step((level_m - self.height_m) / self.bore_m.max(1e-4) + 0.5).0
    }

    /// The quality of what leaves when it takes that part of liquid by volume: mass of vapour over all mass.
    #[must_use]
    pub fn quality(liquid_part: f64, liquid_kg_per_m3: f64, vapour_kg_per_m3: f64) -> f64 {
        let vapour = (1.0 - liquid_part) * vapour_kg_per_m3;
        let liquid = liquid_part * liquid_kg_per_m3;
        if vapour + liquid > 0.0 { vapour / (vapour + liquid) } else { 1.0 }
    }
}

/// The level in a lying cylinder, as a part of its diameter, from the part of its volume that liquid fills: Newton on the circle's segment.
#[must_use]
pub fn horizontal_level(fill: f64) -> f64 {
    let fill = fill.clamp(0.0, 1.0);
    // φ − sin φ = 2π·fill with φ the angle that the surface spans; the level is (1 − cos(φ/2))/2.
    let target = core::f64::consts::TAU * fill;
    let mut angle = libm::cbrt(6.0 * target.min(core::f64::consts::TAU - target)).min(core::f64::consts::PI);
    let low = target.min(core::f64::consts::TAU - target);
    for _ in 0..6 {
        let slope = 1.0 - libm::cos(angle);
        if slope < 1e-12 {
            break;
        }
        angle -= (angle - libm::sin(angle) - low) / slope;
    }
    let level = 0.5 * (1.0 - libm::cos(0.5 * angle));
    if fill > 0.5 { 1.0 - level } else { level }
}
