//! What a refrigerant that burns asks for before a flame: swept out with nitrogen, evacuated, swept again, and the air measured.

use stemwise_circuit::SpaceId;
use stemwise_service::{Action, Done, State, is_flammable};

use crate::verify::Task;

/// Nothing is left to go off at once above this part of refrigerant in the gas, by volume: less than a quarter of the lower flammability limit of every refrigerant
/// on file; isobutane's, the lowest, is 1.8 % (ANSI/ASHRAE Standard 34, from memory).
const THIN: f64 = 0.004;
/// A vacuum between two sweeps, as a part of the atmosphere: it thins what is left fifty times at least (assumed).
const PULLED: f64 = 0.02;
/// Nitrogen is a sweep where it is most of the gas afterwards and the gauge does not stand below 0.
const MOST: f64 = 0.5;
const AT_ZERO: f64 = 0.97;
const GAS_CONSTANT: f64 = 8.314_462_618;
/// kg/mol.
const NITROGEN: f64 = 0.028_013_4;
const AIR: f64 = 0.028_965_5;

/// How far a space has come: swept, then evacuated, then swept again.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Stage {
    #[default]
    Holds,
    Swept,
    Pulled,
    SweptAgain,
}

/// Follows a replay. IEC 60335-2-40, Annex DD (removal and evacuation): recover, purge with inert gas, evacuate, purge with inert gas, open; ventilation and a
/// detector before hot work (from memory). The annex leaves evacuating and the second purge to the technician where the class is A2L; here both are asked for.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Flame {
    /// One for each space of the circuit; none where the refrigerant does not burn.
    stages: Vec<Stage>,
    /// The spaces that were opened before they were swept.
    unswept: Vec<SpaceId>,
    /// The step at which the air was measured, since the last opening.
    measured: Option<usize>,
    /// Whether a flame was used, and whether each was after a sweep and a measurement.
    flame: Option<(bool, bool)>,
    first: Option<usize>,
}

impl Flame {
    /// What holds no refrigerant at the start has nothing to be swept out.
    pub(crate) fn new(task: &Task<'_>, start: &State) -> Self {
        let spaces = task.assembly.circuit.graph.spaces_with_ids();
        let stage = |(id, _)| match start.held(id).map_or(0.0, |held| held.refrigerant.as_kg()) {
            held if held > 0.0 => Stage::Holds,
            _ => Stage::SweptAgain,
        };
        let stages = if is_flammable(task.refrigerant) { spaces.map(stage).collect() } else { Vec::new() };
        Self { stages, ..Self::default() }
    }

    /// Whether every flame had a sweep and a measurement before it; none where no flame was used.
    pub(crate) const fn outcome(&self) -> Option<(bool, bool)> {
        self.flame
    }

    /// The step at which the air was measured before the first flame.
    pub(crate) const fn first(&self) -> Option<usize> {
        self.first
    }

    pub(crate) fn action(&mut self, task: &Task<'_>, step: usize, action: &Action, after: &Done) {
        if self.stages.is_empty() {
            return;
        }
        match action {
            Action::OpenUp { spaces, with_heat } => {
                let unswept = spaces.iter().filter(|&&space| self.stage(space) != Stage::SweptAgain);
                self.unswept = unswept.copied().collect();
                self.measured = None;
                if *with_heat {
                    self.lit(spaces);
                }
            }
            Action::CheckAir if !after.state.open_spaces.is_empty() => self.measured = Some(step),
            Action::CloseUp { spaces, with_heat: true } => self.lit(spaces),
            Action::AdmitNitrogen { .. } => {
                self.advance(task, after, is_full_of_nitrogen, |stage| match stage {
                    Stage::Holds => Stage::Swept,
                    Stage::Pulled => Stage::SweptAgain,
                    other => other,
                })
            }
            Action::Evacuate { .. } => self.advance(task, after, is_pulled, |stage| match stage {
                Stage::Swept => Stage::Pulled,
                other => other,
            }),
            _ => {}
        }
        self.fall_back(task, after);
    }

    fn stage(&self, space: SpaceId) -> Stage {
        self.stages.get(space.index()).copied().unwrap_or_default()
    }

    fn lit(&mut self, spaces: &[SpaceId]) {
        let swept = !spaces.iter().any(|space| self.unswept.contains(space));
        let (was_swept, was_measured) = self.flame.unwrap_or((true, true));
        self.flame = Some((was_swept && swept, was_measured && self.measured.is_some()));
        self.first = self.first.or(self.measured);
    }

    fn advance(
        &mut self,
        task: &Task<'_>,
        after: &Done,
        is: fn(&Task<'_>, &Done, SpaceId) -> bool,
        next: fn(Stage) -> Stage,
    ) {
        for (id, _) in task.assembly.circuit.graph.spaces_with_ids() {
            if let Some(stage) = self.stages.get_mut(id.index()).filter(|_| is(task, after, id)) {
                *stage = next(*stage);
            }
        }
    }

    /// Where refrigerant has come back, everything begins again.
    fn fall_back(&mut self, task: &Task<'_>, after: &Done) {
        for (id, _) in task.assembly.circuit.graph.spaces_with_ids() {
            let Some(stage) = self.stages.get_mut(id.index()) else { continue };
            if *stage == Stage::SweptAgain && part_that_burns(task, &after.state, id) > THIN {
                *stage = Stage::Holds;
            }
        }
    }
}

/// Moles of nitrogen, of everything else that does not burn, and of refrigerant.
fn moles(task: &Task<'_>, state: &State, space: SpaceId) -> (f64, f64, f64) {
    let Some(held) = state.held(space) else { return (0.0, 0.0, 0.0) };
    let molar = task.refrigerant.substance().molar_mass_kg_per_mol();
    (held.nitrogen.as_kg() / NITROGEN, held.air.as_kg() / AIR, held.refrigerant.as_kg() / molar)
}

fn part_that_burns(task: &Task<'_>, state: &State, space: SpaceId) -> f64 {
    let (nitrogen, air, refrigerant) = moles(task, state, space);
    let all = nitrogen + air + refrigerant;
    // Against a vacuum everything is much: what would be left once it is full again counts.
    let found = task.assembly.circuit.graph.space(space);
    let volume = found.map_or(0.0, |found| found.volume.value.as_m3());
    let kelvin = state.held(space).map_or(293.15, |held| held.temperature.as_k());
    let full = task.assembly.circuit.atmosphere.as_pa() * volume / (GAS_CONSTANT * kelvin);
    refrigerant / all.max(full).max(1e-30)
}

fn is_full_of_nitrogen(task: &Task<'_>, after: &Done, space: SpaceId) -> bool {
    let (nitrogen, air, refrigerant) = moles(task, &after.state, space);
    let atmosphere = task.assembly.circuit.atmosphere.as_pa();
    let stands = after.settled.pressure(space).is_some_and(|found| found.as_pa() >= AT_ZERO * atmosphere);
    stands && nitrogen >= MOST * (nitrogen + air + refrigerant)
}

fn is_pulled(task: &Task<'_>, after: &Done, space: SpaceId) -> bool {
    let atmosphere = task.assembly.circuit.atmosphere.as_pa();
    after.settled.pressure(space).is_some_and(|found| found.as_pa() <= PULLED * atmosphere)
}
