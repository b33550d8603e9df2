//! Curves: what each gauge showed, thinned so that a day fits in little room.

use stemwise_circuit::SpaceId;

use crate::control::Gauge;

/// One gauge's curve: seconds and absolute pascals.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    /// The hose whose gauge it is.
    pub hose: SpaceId,
    /// Points in order of time.
    pub points: Vec<(f64, f64)>,
}

/// The curves of all gauges.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Curves {
    curves: Vec<Curve>,
    /// The shortest time between points at present, s.
    every: f64,
    last: Option<f64>,
}

/// Above this many points every other one is dropped.
const MOST: usize = 4000;

impl Curves {
    /// One for each gauge.
    pub fn of_gauges(&self) -> &[Curve] {
        &self.curves
    }

    pub(crate) fn take(&mut self, seconds: f64, gauges: &[Gauge]) {
        if self.curves.is_empty() {
            self.curves = gauges.iter().map(|gauge| Curve { hose: gauge.hose, points: Vec::new() }).collect();
            self.every = 0.2;
        }
        if self.last.is_some_and(|last| seconds - last < self.every) {
            return;
        }
        self.last = Some(seconds);
        for (curve, gauge) in self.curves.iter_mut().zip(gauges) {
            curve.points.push((seconds, gauge.pascal));
        }
        if self.curves.first().is_some_and(|curve| curve.points.len() > MOST) {
            for curve in &mut self.curves {
                let mut keep = false;
                curve.points.retain(|_| {
                    keep = !keep;
                    keep
                });
            }
            self.every *= 2.0;
        }
    }
}
