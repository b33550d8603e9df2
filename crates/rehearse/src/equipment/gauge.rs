//! What a gauge shows: lag, scale, range and what is beyond it, error class.
//!
//! Classes: EN 837-1 (error in percent of span); ASME B40.100 grades are given in the same way by quarter of the scale. Lag is of first order
//! (capillary and hose filling; assumed 0.1 to 1 s).

/// A pressure gauge with a pointer or a display. Pressures are gauge pressures at its place unless it is absolute.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gauge {
    /// Lowest reading, Pa (−101 325 for a compound gauge; 0 otherwise).
    pub lowest_pa: f64,
    /// Highest reading, Pa.
    pub highest_pa: f64,
    /// Permitted error, percent of span: 1.6 and 2.5 are common for service gauges, 1.0 and 0.5 for digital ones.
    pub class_percent: f64,
    /// What it was set off by in fact, as a part of the permitted error, −1 to 1: an input of the run, not chance.
    pub bias: f64,
    /// The finest that can be read, Pa: half a scale division, or the last digit.
    pub resolution_pa: f64,
    /// Time constant, s.
    pub lag_s: f64,
    /// The overload that bends it for good, as a multiple of its highest reading: 1.3 (EN 837-1 asks 1.25 to 1.3 short overload; beyond that
    /// common practice).
    pub overload: f64,
}

impl Gauge {
    /// A compound gauge of the low side of a manifold: −1 to 8 bar, class 1.6.
    pub const LOW_SIDE: Self = Self {
        lowest_pa: -101_325.0,
        highest_pa: 8e5,
        class_percent: 1.6,
        bias: 0.0,
        resolution_pa: 5e3,
        lag_s: 0.3,
        overload: 1.3,
    };
    /// A gauge of the high side of a manifold: 0 to 35 bar, class 1.6.
    pub const HIGH_SIDE: Self =
        Self { lowest_pa: 0.0, highest_pa: 35e5, resolution_pa: 25e3, ..Self::LOW_SIDE };

    /// Permitted error, Pa.
    #[must_use]
    pub fn permitted_pa(&self) -> f64 {
        0.01 * self.class_percent * (self.highest_pa - self.lowest_pa)
    }

    /// How the pointer moves, Pa/s, from where it stands to that gauge pressure; it stays on its scale.
    #[must_use]
    pub fn pointer_pa_per_s(&self, pointer_pa: f64, gauge_pa: f64) -> f64 {
        (self.at_rest_pa(gauge_pa) - pointer_pa) / self.lag_s.max(1e-3)
    }

    /// Where the pointer comes to rest, Pa: with its error, held at the pegs (2 % of span beyond the scale).
    #[must_use]
    pub fn at_rest_pa(&self, gauge_pa: f64) -> f64 {
        let peg = 0.02 * (self.highest_pa - self.lowest_pa);
        (gauge_pa + self.bias * self.permitted_pa()).clamp(self.lowest_pa - peg, self.highest_pa + peg)
    }

    /// What a person reads: the pointer to the resolution; `None` where it is off the scale.
    #[must_use]
    pub fn reading_pa(&self, pointer_pa: f64) -> Option<f64> {
        let within = pointer_pa >= self.lowest_pa - self.resolution_pa
            && pointer_pa <= self.highest_pa + self.resolution_pa;
        let steps = libm::rint(pointer_pa / self.resolution_pa.max(1e-9));
        within.then(|| (steps * self.resolution_pa).clamp(self.lowest_pa, self.highest_pa))
    }

    /// Whether that pressure damages it for good: it stays damaged.
    #[must_use]
    pub fn damaged_by(&self, gauge_pa: f64) -> bool {
        gauge_pa > self.overload * self.highest_pa
    }
}

/// A vacuum gauge (thermal conductivity) at the place where it is mounted, in absolute pressure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MicronGauge {
    /// Lowest reading, Pa (0.13 Pa, 1 micron).
    pub lowest_pa: f64,
    /// Highest reading, Pa (2500 to 3300 Pa, 19 000 to 25 000 micron).
    pub highest_pa: f64,
    /// Permitted error, percent of the reading: 5 to 10 (common practice).
    pub error_percent: f64,
    /// What it is off by in fact, as a part of that, −1 to 1.
    pub bias: f64,
    /// Time constant, s: 0.5 to 3.
    pub lag_s: f64,
    /// Absolute pressure that damages its sensor, Pa (3.5e6 for most; common practice).
    pub damage_pa: f64,
}

impl MicronGauge {
    /// A common one.
    pub const COMMON: Self = Self {
        lowest_pa: 0.133_322,
        highest_pa: 2666.4,
        error_percent: 10.0,
        bias: 0.0,
        lag_s: 1.0,
        damage_pa: 3.5e6,
    };

    /// How its reading moves, Pa/s.
    #[must_use]
    pub fn reading_pa_per_s(&self, shown_pa: f64, absolute_pa: f64) -> f64 {
        (absolute_pa * (1.0 + 0.01 * self.bias * self.error_percent) - shown_pa) / self.lag_s.max(1e-3)
    }

    /// What it shows, Pa absolute to three figures; `None` where it is out of range.
    #[must_use]
    pub fn reading_pa(&self, shown_pa: f64) -> Option<f64> {
        if !(self.lowest_pa..=self.highest_pa).contains(&shown_pa) {
            return None;
        }
        let digits = libm::floor(libm::log10(shown_pa)) - 2.0;
        let unit = libm::exp10(digits);
        Some(libm::rint(shown_pa / unit) * unit)
    }

    /// Whether that pressure ruins the sensor.
    #[must_use]
    pub fn damaged_by(&self, absolute_pa: f64) -> bool {
        absolute_pa > self.damage_pa
    }
}
