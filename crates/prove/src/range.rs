//! Whether a verdict holds for the whole range of what was estimated, or which measurement would settle it.

use stemwise_circuit::{Assembly, Known, SpaceId, SpaceKind};
use stemwise_units::{Mass, Volume};

use crate::procedure::Procedure;
use crate::verify::{Certificate, Failure, Task, verify};

/// One choice of values within the ranges at which a procedure was replayed.
#[derive(Clone, Debug, PartialEq)]
pub struct Corner {
    /// Where each group of volumes and the charge lie: -1 at the low end, 1 at the high end; inside for a sample.
    pub high_side: f64,
    /// Volumes of the low side.
    pub low_side: f64,
    /// Other volumes.
    pub others: f64,
    /// The charge.
    pub charge: f64,
    /// Whether each volume was drawn for itself.
    pub sample: bool,
    /// What keeps it from being accepted there.
    pub failure: Option<Failure>,
}

/// A measurement that would settle the verdict.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Settles {
    /// The volume of a space.
    Volume(SpaceId),
    /// The charge.
    Charge,
}

/// The verdict over the ranges.
#[derive(Clone, Debug, PartialEq)]
pub struct Ranges {
    /// How many quantities are estimates.
    pub estimates: usize,
    /// The values tried: every corner of the groups, then the samples inside.
    pub tried: Vec<Corner>,
    /// What would settle it, where it fails somewhere: with that one as estimated it holds for every value tried of the others.
    pub settles: Vec<Settles>,
}

impl Ranges {
    /// Whether it is accepted at every value tried.
    pub fn holds(&self) -> bool {
        self.tried.iter().all(|corner| corner.failure.is_none())
    }
}

/// Samples inside.
const SAMPLES: u32 = 12;

/// Replays a procedure over the ranges of volumes and charge.
///
/// Levels and pressures rise with the charge, fall with the volumes that take the refrigerant and rise with those that give it, so the extremes
/// lie where each side is at an end of its range: every corner of (high side, low side, other volumes, charge) is replayed. Twelve samples
/// inside, each volume for itself by an additive recurrence, look for what that argument may have missed. That what is weighed back differs
/// from what a person would weigh on the spot is no failure here.
pub fn ranges(task: &Task<'_>, procedure: &Procedure) -> Ranges {
    let spread = Spread::of(task.assembly);
    let mut tried: Vec<Corner> = Vec::new();
    if spread.count() == 0 {
        return Ranges { estimates: 0, tried, settles: Vec::new() };
    }
    for corner in spread.corners() {
        let failure = spread.failure(task, procedure, &Values::Corner(&corner), None);
        tried.push(Corner { failure, ..corner });
    }
    for sample in 0..SAMPLES {
        let failure = spread.failure(task, procedure, &Values::Sample(sample), None);
        tried.push(Corner {
            high_side: 0.0,
            low_side: 0.0,
            others: 0.0,
            charge: spread.charge_of(sample),
            sample: true,
            failure,
        });
    }
    let settles = spread.settles(task, procedure, &tried);
    Ranges { estimates: spread.count(), tried, settles }
}

enum Values<'a> {
    Corner(&'a Corner),
    Sample(u32),
}

/// What is estimated.
struct Spread {
    high: Vec<SpaceId>,
    low: Vec<SpaceId>,
    others: Vec<SpaceId>,
    charge: bool,
}

impl Spread {
    fn of(assembly: &Assembly) -> Self {
        let mut spread = Self {
            high: Vec::new(),
            low: Vec::new(),
            others: Vec::new(),
            charge: has_range(&assembly.circuit.charge, Mass::as_kg),
        };
        for (id, space) in assembly.circuit.graph.spaces_with_ids() {
            if !has_range(&space.volume, Volume::as_m3) {
                continue;
            }
            match space.kind {
                SpaceKind::Condenser
                | SpaceKind::Receiver
                | SpaceKind::LiquidLine
                | SpaceKind::Drier
                | SpaceKind::DischargeLine
                | SpaceKind::CompressorHead
                | SpaceKind::OilSeparator => spread.high.push(id),
                SpaceKind::Evaporator
                | SpaceKind::Accumulator
                | SpaceKind::SuctionLine
                | SpaceKind::DistributorLine
                | SpaceKind::CompressorShell => spread.low.push(id),
                _ => spread.others.push(id),
            }
        }
        spread
    }

    fn count(&self) -> usize {
        self.high.len() + self.low.len() + self.others.len() + usize::from(self.charge)
    }

    fn corners(&self) -> Vec<Corner> {
        let ends = |some: bool| if some { vec![-1.0, 1.0] } else { vec![0.0] };
        let mut found = Vec::new();
        for &high_side in &ends(!self.high.is_empty()) {
            for &low_side in &ends(!self.low.is_empty()) {
                for &others in &ends(!self.others.is_empty()) {
                    for &charge in &ends(self.charge) {
                        found.push(Corner {
                            high_side,
                            low_side,
                            others,
                            charge,
                            sample: false,
                            failure: None,
                        });
                    }
                }
            }
        }
        found
    }

    fn charge_of(&self, sample: u32) -> f64 {
        if self.charge { recurrence(sample, 0) } else { 0.0 }
    }

    /// The assembly at some values, one quantity as estimated.
    fn assembly(&self, assembly: &Assembly, values: &Values<'_>, kept: Option<Settles>) -> Assembly {
        let mut other = assembly.clone();
        let groups = [(&self.high, 0), (&self.low, 1), (&self.others, 2)];
        for &space in groups.iter().flat_map(|(spaces, _)| spaces.iter()) {
            if kept == Some(Settles::Volume(space)) {
                continue;
            }
            let at = match values {
                Values::Sample(sample) => recurrence(*sample, space.0 + 1),
                Values::Corner(corner) if self.high.contains(&space) => corner.high_side,
                Values::Corner(corner) if self.low.contains(&space) => corner.low_side,
                Values::Corner(corner) => corner.others,
            };
            for graph in [&mut other.graph, &mut other.circuit.graph] {
                if let Some(found) = graph.spaces.get_mut(space.index()) {
                    let volume = between(&found.volume, Volume::as_m3, at);
                    found.volume.value = Volume::from_m3(volume);
                }
            }
        }
        if self.charge && kept != Some(Settles::Charge) {
            let at = match values {
                Values::Sample(sample) => self.charge_of(*sample),
                Values::Corner(corner) => corner.charge,
            };
            other.circuit.charge.value = Mass::from_kg(between(&other.circuit.charge, Mass::as_kg, at));
        }
        other
    }

    fn failure(
        &self,
        task: &Task<'_>,
        procedure: &Procedure,
        values: &Values<'_>,
        kept: Option<Settles>,
    ) -> Option<Failure> {
        let assembly = self.assembly(task.assembly, values, kept);
        let shifted = Task { assembly: &assembly, ..task.clone() };
        but_for_the_weight(verify(&shifted, procedure))
    }

    fn settles(&self, task: &Task<'_>, procedure: &Procedure, tried: &[Corner]) -> Vec<Settles> {
        let failing: Vec<&Corner> = tried.iter().filter(|corner| corner.failure.is_some()).collect();
        let corners: Vec<&Corner> = failing.iter().copied().filter(|corner| !corner.sample).collect();
        if corners.is_empty() {
            return Vec::new();
        }
        let volumes =
            self.high.iter().chain(&self.low).chain(&self.others).map(|&space| Settles::Volume(space));
        let charge = self.charge.then_some(Settles::Charge);
        let settles = |measured: &Settles| {
            corners.iter().all(|corner| {
                self.failure(task, procedure, &Values::Corner(corner), Some(*measured)).is_none()
            })
        };
        charge.into_iter().chain(volumes).filter(settles).collect()
    }
}

/// What keeps a procedure from being accepted, but for the weight that it puts back.
fn but_for_the_weight(mut certificate: Certificate) -> Option<Failure> {
    certificate.asked.retain(|asked| asked.id != "charge");
    certificate.first_failure()
}

fn has_range<T: Copy>(known: &Known<T>, si: impl Fn(T) -> f64) -> bool {
    si(known.high) > si(known.low)
}

/// -1 at the low end, 0 at the value, 1 at the high end.
fn between<T: Copy>(known: &Known<T>, si: impl Fn(T) -> f64, at: f64) -> f64 {
    let (low, value, high) = (si(known.low), si(known.value), si(known.high));
    if at < 0.0 { value + (value - low) * at } else { value + (high - value) * at }
}

/// Evenly spread over -1 to 1: multiples of the golden ratio, another multiple for each quantity.
fn recurrence(sample: u32, quantity: u32) -> f64 {
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    let at = 0.5 + f64::from(sample + 1) * GOLDEN * f64::from(quantity + 1);
    2.0 * (at - at.floor()) - 1.0
}
