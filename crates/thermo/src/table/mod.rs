//! States of a refrigerant by density and internal energy from tables, for simulation: pure fluids, blends and any mixture.
//!
//! Mass and energy are what a simulation carries from step to step, so density and energy are what a table is asked by: they are kept exactly,
//! and enthalpy is energy plus pressure over density. The plane is cut at the saturation curve and laid out along it: over the density, and over
//! the part of the way from the saturation curve up to the hottest state (one phase) or down to the coldest (two phases), so that no patch crosses
//! a kink. Each patch is a polynomial through the full model at 6 by 6 Chebyshev nodes; a patch that is not good enough is cut in four; where the
//! smallest is not, and outside the table, the full model answers. Towards vacuum the tables go on to a density of zero: there the density itself
//! is the coordinate, in which a thin gas is straight.
//!
//! A mixture keeps its composition as a whole; in two phases liquid and vapour are in equilibrium, each with its own composition, and pressure
//! falls along an isotherm as more evaporates.
//!
//! Range: 200 K (or 0.55 of the critical temperature, or the lowest that the model answers) to 470 K (or 1.35 of the critical temperature),
//! up to 30 MPa, in the densest liquid a little more; two phases of a mixture up to 0.985 of the critical temperature. Bounds, tested at a million random states: temperature within
//! 3e-6 of itself; pressure within 1e-5 of itself, or within what 1e-6 of the density makes of it, which in a stiff liquid is more; densities of
//! both phases within 1e-5 of themselves, their enthalpies within 5 J/kg, the entropy within 0.05 J/(kg K).

mod alone;
mod blend;
mod build;
mod source;

use wide::{f64x2, f64x4};

use crate::lanes::{Lanes, ln};
use crate::mixture::curves::MixtureCurves;
use crate::pieces::{along, along_with_slope, surface, surface_with_slopes};
use crate::{Error, Fluid, Given, RawState, Substance};
use blend::BlendSource;
use build::Maker;
pub(crate) use source::Single;
use source::{PureSource, Source};
use stemwise_units::{Density, SpecificEnergy};

/// Nodes of a patch in each direction.
const SIDE: usize = 6;
/// Patches of a region before cutting, and how often one may be cut.
const ALONG: usize = 8;
const ACROSS: usize = 4;
const CUTS: u32 = 4;
/// Pieces of the edges of a segment.
const EDGES: usize = 32;
const EDGE_TERMS: usize = 8;

/// Temperature and pressure at a density and an energy.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TableState {
    /// Temperature, K.
    pub kelvin: f64,
    /// Absolute pressure, Pa.
    pub pascal: f64,
    /// Whether there are two phases.
    pub two_phase: bool,
}

/// A state with its slopes, and both phases where there are two.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TableDetail {
    /// Temperature, K.
    pub kelvin: f64,
    /// Absolute pressure, Pa.
    pub pascal: f64,
    /// Specific enthalpy, J/kg: energy plus pressure over density.
    pub enthalpy: f64,
    /// Specific entropy, J/(kg K).
    pub entropy: f64,
    /// Slope of the pressure by density at constant energy, Pa m³/kg.
    pub pressure_by_density: f64,
    /// Slope of the pressure by energy at constant density, Pa kg/J.
    pub pressure_by_energy: f64,
    /// Slope of the temperature by density at constant energy, K m³/kg.
    pub temperature_by_density: f64,
    /// Slope of the temperature by energy at constant density, K kg/J.
    pub temperature_by_energy: f64,
    /// Both phases, where there are two.
    pub phases: Option<TablePhases>,
}

/// Liquid and vapour in equilibrium. Their parts add up: to the volume exactly, to the enthalpy to the last places.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TablePhases {
    /// The part of the mass that is vapour, 0 to 1.
    pub vapour_mass: f64,
    /// The part of the volume that is vapour, 0 to 1.
    pub vapour_volume: f64,
    /// Density of the liquid, kg/m³.
    pub liquid_density: f64,
    /// Density of the vapour, kg/m³.
    pub vapour_density: f64,
    /// Enthalpy of the liquid, J/kg.
    pub liquid_enthalpy: f64,
    /// Enthalpy of the vapour, J/kg.
    pub vapour_enthalpy: f64,
}

impl TableDetail {
    /// The speed of sound, m/s; in two phases that of a mixture that stays in equilibrium, far below either phase's own.
    ///
    /// ```
    /// use stemwise_thermo::{Fluid, StateTable};
    /// let table = StateTable::new(Fluid::named("R-134a")?).unwrap();
    /// let found = table.detail(4.2, 400e3)?;
    /// assert!((140.0..200.0).contains(&found.speed_of_sound(4.2)));
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn speed_of_sound(&self, density: f64) -> f64 {
        // dp/drho at constant entropy, where du = p/rho² drho.
        let along = self.pressure_by_density + self.pascal / (density * density) * self.pressure_by_energy;
        along.max(0.0).sqrt()
    }

    /// Heat capacity at constant volume, J/(kg K); in two phases that of both together with what evaporates.
    ///
    /// ```
    /// use stemwise_thermo::{Fluid, StateTable};
    /// let table = StateTable::new(Fluid::named("R-134a")?).unwrap();
    /// assert!(table.detail(4.2, 400e3)?.isochoric_heat() > 700.0);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn isochoric_heat(&self) -> f64 {
        1.0 / self.temperature_by_energy
    }
}

/// Tables of one refrigerant at one composition.
///
/// ```
/// use stemwise_thermo::{StateTable, Substance};
/// let table = StateTable::of(Substance::named("R-454B")?)?;
/// let state = table.state(50.0, 380e3)?;
/// assert!(state.two_phase && table.bytes() < 8 << 20);
/// let phases = table.detail(50.0, 380e3)?.phases.unwrap();
/// assert!(phases.liquid_density > 50.0 && phases.vapour_density < 50.0);
/// assert!(table.state(50.0, f64::NAN).is_err());
/// # Ok::<(), stemwise_thermo::Error>(())
/// ```
#[derive(Debug)]
pub struct StateTable {
    substance: Substance,
    gas_constant: f64,
    /// The lowest temperature of the tables and the highest of the model, K.
    coldest: f64,
    hottest: f64,
    segments: Vec<Segment>,
}

/// A range of densities.
#[derive(Debug)]
struct Segment {
    spacing: Spacing,
    edges: Vec<Edge>,
    single: Region,
    double: Option<Region>,
}

/// A piece of the edges of a segment, as powers from -1 to 1 over the piece.
#[derive(Clone, Copy, Debug)]
struct Edge {
    /// Energy at the bottom of one phase, J/kg, and one over the way from there to the top: what a look-up has to divide by is kept as it needs it.
    single: [f64x2; EDGE_TERMS],
    /// Energy at the bottom of two phases; temperature at the bottom of one phase.
    double: [f64x2; EDGE_TERMS],
}

/// How a coordinate from 0 to 1 runs over a range of densities: about as the logarithm in the middle and as the density itself at the thin end;
/// from zero on as the density.
#[derive(Clone, Copy, Debug)]
struct Spacing {
    low: f64,
    high: f64,
    /// One over the density at which the one turns into the other.
    bend: f64,
    stretch: f64,
}

/// The plane of one kind of states in a segment; coordinates from 0 to 1.
#[derive(Debug, Default)]
struct Region {
    /// The patch of each smallest cell; 0: none, otherwise one more than its place.
    cells: Vec<[u16; finest(ACROSS)]>,
    patches: Vec<Patch>,
    details: Vec<Detail>,
}

#[derive(Clone, Debug)]
struct Patch {
    /// Middle and one over half the width, in both coordinates.
    middle: [f64; 2],
    scale: [f64; 2],
    /// Temperature, and pressure over density: powers of the first coordinate within powers of the second.
    terms: [[f64x2; SIDE]; SIDE],
}

/// What is asked for less often.
#[derive(Clone, Debug)]
struct Detail {
    /// In one phase with `R ln(rho)` added.
    entropy: [[f64; SIDE]; SIDE],
    /// Density of the liquid, density of the vapour over pressure, enthalpies.
    phases: Option<Box<[[f64x4; SIDE]; SIDE]>>,
}

/// A place in the tables, or past them: then it is in no cell.
struct Place<'a> {
    segment: &'a Segment,
    region: &'a Region,
    a: f64,
    b: f64,
    two_phase: bool,
}

/// The whole number below one that is not negative, as a place and as a number, quicker than by a cast; of a whole number itself or the one below,
/// for what lies on the border of two cells may be looked up in either. What is negative, too large or no number gets a place past all others.
#[inline(always)]
fn below(number: f64) -> (usize, f64) {
    /// 1.5 * 2^52: numbers of that size are whole, and what was added stands in their low bits.
    const WHOLE: f64 = 6_755_399_441_055_744.0;
    let moved = (number - 0.5) + WHOLE;
    let place = moved.to_bits().wrapping_sub(WHOLE.to_bits());
    (usize::try_from(place).unwrap_or(usize::MAX), moved - WHOLE)
}

const fn finest(count: usize) -> usize {
    count << CUTS
}

impl Spacing {
    fn new(low: f64, high: f64) -> Self {
        let bend = if low > 0.0 { 1.0 / (low * high).sqrt() } else { 0.0 };
        Self { low, high, bend, stretch: (1.0 + bend * high) / (high - low) }
    }

    fn at(&self, rho: f64) -> f64 {
        (rho - self.low) * self.stretch / (1.0 + self.bend * rho)
    }

    fn slope(&self, rho: f64) -> f64 {
        let below = 1.0 + self.bend * rho;
        self.stretch * (1.0 + self.bend * self.low) / (below * below)
    }

    fn density(&self, a: f64) -> f64 {
        (a + self.stretch * self.low) / (self.stretch - a * self.bend)
    }
}

impl Patch {
    fn local(&self, a: f64, b: f64) -> [f64; 2] {
        [(a - self.middle[0]) * self.scale[0], (b - self.middle[1]) * self.scale[1]]
    }

    #[inline(always)]
    fn at(&self, x: f64, y: f64) -> f64x2 {
        surface(&self.terms, x, y)
    }
}

impl Detail {
    fn at(&self, x: f64, y: f64) -> (f64, [f64; 4]) {
        let phases = self.phases.as_ref().map_or(f64x4::ZERO, |terms| surface(terms, x, y));
        (surface(&self.entropy, x, y), phases.to_array())
    }
}

impl Region {
    #[inline(always)]
    fn find(&self, a: f64, b: f64) -> Option<usize> {
        let cell = |part: f64, count: usize| below(part * finest(count) as f64).0;
        let id = *self.cells.get(cell(a, ALONG))?.get(cell(b, ACROSS))?;
        usize::from(id).checked_sub(1)
    }

    fn keep(&mut self, patch: Patch, detail: Detail, corner: [f64; 2], size: [f64; 2]) {
        let Ok(id) = u16::try_from(self.patches.len() + 1) else { return };
        self.patches.push(patch);
        self.details.push(detail);
        let range = |at: usize, count: usize| {
            let cell = |part: f64| libm::round(part * finest(count) as f64) as usize;
            cell(corner[at])..cell(corner[at] + size[at])
        };
        for line in self.cells.get_mut(range(0, ALONG)).into_iter().flatten() {
            line.get_mut(range(1, ACROSS)).into_iter().flatten().for_each(|slot| *slot = id);
        }
    }

    fn bytes(&self) -> usize {
        let boxed = self.details.iter().filter(|detail| detail.phases.is_some()).count();
        size_of_val(self.cells.as_slice())
            + size_of_val(self.patches.as_slice())
            + size_of_val(self.details.as_slice())
            + boxed * size_of::<[[f64x4; SIDE]; SIDE]>()
    }
}

impl Segment {
    #[inline(always)]
    fn edge(&self, a: f64) -> Option<(&Edge, f64)> {
        let along = a * EDGES as f64;
        let (piece, whole) = below(along);
        Some((self.edges.get(piece)?, 2.0 * (along - whole) - 1.0))
    }

    /// Bottom of one phase, top of one phase, bottom of two phases, J/kg; temperature at the bottom of one phase.
    fn edges_at(&self, a: f64) -> [f64; 4] {
        self.edge(a).map_or([f64::NAN; 4], |(edge, s)| {
            let ([bottom, per_width], [floor, start]) =
                (along(&edge.single, s).to_array(), along(&edge.double, s).to_array());
            [bottom, bottom + 1.0 / per_width, floor, start]
        })
    }

    #[inline(always)]
    fn place(&self, rho: f64, u: f64) -> Option<Place<'_>> {
        let a = self.spacing.at(rho);
        let (edge, s) = self.edge(a)?;
        let [bottom, per_width] = along(&edge.single, s).to_array();
        let two_phase = u < bottom;
        let (region, b) = if two_phase {
            let [floor, _] = along(&edge.double, s).to_array();
            (self.double.as_ref()?, (bottom - u) / (bottom - floor))
        } else {
            (&self.single, (u - bottom) * per_width)
        };
        Some(Place { segment: self, region, a, b, two_phase })
    }
}

impl Place<'_> {
    /// Slopes of the second coordinate by the first and by the energy.
    fn slopes(&self) -> (f64, f64) {
        let Some((edge, s)) = self.segment.edge(self.a) else { return (f64::NAN, f64::NAN) };
        let [[bottom, per_width], [by_bottom, by_per_width]] = with_slope(&edge.single, s);
        if self.two_phase {
            let [[floor, _], [by_floor, _]] = with_slope(&edge.double, s);
            let width = bottom - floor;
            ((by_bottom - self.b * (by_bottom - by_floor)) / width, -1.0 / width)
        } else {
            (self.b * by_per_width / per_width - by_bottom * per_width, per_width)
        }
    }
}

/// Values on a piece of the edges and their slopes along the segment.
fn with_slope(powers: &[f64x2; EDGE_TERMS], s: f64) -> [[f64; 2]; 2] {
    let [value, slope] = along_with_slope(powers, s);
    [value.to_array(), (slope * (2.0 * EDGES as f64)).to_array()]
}

impl StateTable {
    /// Makes the tables from the full model; none for a fluid without saturation curves.
    ///
    /// ```
    /// use stemwise_thermo::{Fluid, StateTable};
    /// let table = StateTable::new(Fluid::named("R-134a")?).unwrap();
    /// assert_eq!(table.substance().name(), "R-134a");
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn new(fluid: &'static Fluid) -> Option<Self> {
        Self::of(Substance::Pure(fluid)).ok()
    }

    /// Makes the tables of any substance from the full model, in a tenth of a second to a second.
    ///
    /// # Errors
    /// [`Error::NotConverged`] for a fluid without saturation curves, and for a mixture whose bubble and dew lines don't meet in a critical point.
    ///
    /// ```
    /// use stemwise_thermo::{StateTable, Substance};
    /// let table = StateTable::of(Substance::named("R-32")?)?;
    /// assert!(table.state(10.0, 450e3)?.pascal > 0.0);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn of(substance: Substance) -> Result<Self, Error> {
        let kelvin = substance.critical_temperature().as_k();
        let (gas_constant, coldest, segments) =
            Self::parts(&substance).ok_or(Error::NotConverged { what: "saturation curve", kelvin })?;
        let hottest = substance.temperatures().1.as_k();
        Ok(Self { substance, gas_constant, coldest, hottest, segments })
    }

    fn parts(substance: &Substance) -> Option<(f64, f64, Vec<Segment>)> {
        let Some(mixture) = substance.mixture() else {
            let fluid = substance.components().first().copied()?;
            return Self::made(&PureSource::new(fluid)?);
        };
        let anew: MixtureCurves;
        let curves = match mixture.curves() {
            Some(curves) => curves,
            None => {
                anew = mixture.new_curves()?;
                &anew
            }
        };
        Self::made(&BlendSource::new(mixture, curves)?)
    }

    fn made(source: &impl Source) -> Option<(f64, f64, Vec<Segment>)> {
        Some((source.gas_constant(), source.range().cold, Maker::new(source).segments()?))
    }

    /// What the tables are of.
    ///
    /// ```
    /// use stemwise_thermo::{Fluid, StateTable};
    /// let table = StateTable::new(Fluid::named("R-134a")?).unwrap();
    /// assert_eq!(table.substance().components().len(), 1);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub const fn substance(&self) -> &Substance {
        &self.substance
    }

    #[inline(always)]
    fn segment(&self, density: f64) -> Option<&Segment> {
        self.segments.iter().find(|segment| density < segment.spacing.high).filter(|_| density > 0.0)
    }

    #[inline(always)]
    fn place(&self, density: f64, energy: f64) -> Option<Place<'_>> {
        self.segment(density)?.place(density, energy)
    }

    /// From the tables alone: density in kg/m³, energy in J/kg. None outside them and where they are not good enough.
    ///
    /// ```
    /// use stemwise_thermo::{Fluid, StateTable};
    /// let table = StateTable::new(Fluid::named("R-134a")?).unwrap();
    /// assert!(!table.look_up(4.2, 400e3).unwrap().two_phase);
    /// assert!(table.look_up(1e6, 400e3).is_none());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn look_up(&self, density: f64, energy: f64) -> Option<TableState> {
        let place = self.place(density, energy)?;
        let patch = place.region.patches.get(place.region.find(place.a, place.b)?)?;
        let [x, y] = patch.local(place.a, place.b);
        let [kelvin, over] = patch.at(x, y).to_array();
        Some(TableState { kelvin, pascal: over * density, two_phase: place.two_phase })
    }

    /// The same with slopes and both phases.
    ///
    /// ```
    /// use stemwise_thermo::{Fluid, StateTable};
    /// let table = StateTable::new(Fluid::named("R-134a")?).unwrap();
    /// let (short, long) = (table.look_up(4.2, 400e3).unwrap(), table.look_up_detail(4.2, 400e3).unwrap());
    /// assert_eq!(short.pascal, long.pascal);
    /// assert!(table.look_up_detail(1e6, 400e3).is_none());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn look_up_detail(&self, density: f64, energy: f64) -> Option<TableDetail> {
        let place = self.place(density, energy)?;
        let at = place.region.find(place.a, place.b)?;
        let (patch, detail) = (place.region.patches.get(at)?, place.region.details.get(at)?);
        let [x, y] = patch.local(place.a, place.b);
        let [here, by_x, by_y] = surface_with_slopes(&patch.terms, x, y).map(f64x2::to_array);
        let (b_by_a, b_by_u) = place.slopes();
        let a_by_rho = place.segment.spacing.slope(density);
        let by_rho = |k: usize| {
            let by_b = by_y[k] * patch.scale[1];
            (by_x[k] * patch.scale[0] + by_b * b_by_a) * a_by_rho
        };
        let by_u = |k: usize| by_y[k] * patch.scale[1] * b_by_u;
        let (entropy, phases) = detail.at(x, y);
        let pascal = here[1] * density;
        let enthalpy = energy + here[1];
        let gas = if place.two_phase {
            0.0
        } else {
            let [log, _] = ln(Lanes::splat(density.max(f64::MIN_POSITIVE))).to_array();
            self.gas_constant * log
        };
        Some(TableDetail {
            kelvin: here[0],
            pascal,
            enthalpy,
            entropy: entropy - gas,
            pressure_by_density: here[1] + density * by_rho(1),
            pressure_by_energy: density * by_u(1),
            temperature_by_density: by_rho(0),
            temperature_by_energy: by_u(0),
            phases: place.two_phase.then(|| {
                let [liquid, over, h_l, h_v] = phases;
                TablePhases::new(density, enthalpy, [liquid, over * pascal], [h_l, h_v])
            }),
        })
    }

    /// From the tables, or else by the full model.
    ///
    /// # Errors
    /// As [`Substance::state`].
    ///
    /// ```
    /// use stemwise_thermo::{Fluid, StateTable};
    /// let table = StateTable::new(Fluid::named("R-134a")?).unwrap();
    /// assert!(table.state(50.0, 300e3)?.two_phase);
    /// assert!(table.state(-1.0, 300e3).is_err());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn state(&self, density: f64, energy: f64) -> Result<TableState, Error> {
        if let Some(found) = self.look_up(density, energy) {
            return Ok(found);
        }
        let raw = self.full(density, energy)?;
        Ok(TableState { kelvin: raw.t, pascal: raw.p, two_phase: both(&raw) })
    }

    /// The same with slopes and both phases.
    ///
    /// # Errors
    /// As [`Substance::state`].
    ///
    /// ```
    /// use stemwise_thermo::{Fluid, StateTable};
    /// let table = StateTable::new(Fluid::named("R-134a")?).unwrap();
    /// let found = table.detail(50.0, 300e3)?;
    /// assert!(found.phases.is_some() && found.enthalpy > 300e3);
    /// assert!(table.detail(-1.0, 300e3).is_err());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn detail(&self, density: f64, energy: f64) -> Result<TableDetail, Error> {
        match self.look_up_detail(density, energy) {
            Some(found) => Ok(found),
            None => self.full_detail(density, energy),
        }
    }

    fn given(density: f64, energy: f64) -> Given {
        Given::DensityEnergy(Density::from_kg_per_m3(density), SpecificEnergy::from_j_per_kg(energy))
    }

    fn full(&self, density: f64, energy: f64) -> Result<RawState, Error> {
        self.substance.raw_state(Self::given(density, energy))
    }

    /// By the full model, with slopes by differences to whichever sides it answers.
    fn full_detail(&self, density: f64, energy: f64) -> Result<TableDetail, Error> {
        let state = self.substance.state(Self::given(density, energy))?;
        let raw = *state.raw();
        let by = |step: f64, at: &dyn Fn(f64) -> Result<RawState, Error>| {
            let ends = (at(step).map(|raw| (raw, step)), at(-step).map(|raw| (raw, -step)));
            let (one, two) = match ends {
                (Ok(one), Ok(two)) => (one, two),
                (Ok(one), Err(_)) | (Err(_), Ok(one)) => (one, (raw, 0.0)),
                (Err(error), Err(_)) => return Err(error),
            };
            let across = one.1 - two.1;
            Ok(((one.0.t - two.0.t) / across, (one.0.p - two.0.p) / across))
        };
        let (temperature_by_density, pressure_by_density) =
            by(1e-5 * density, &|step| self.full(density + step, energy))?;
        let (temperature_by_energy, pressure_by_energy) = by(5.0, &|step| self.full(density, energy + step))?;
        Ok(TableDetail {
            kelvin: raw.t,
            pascal: raw.p,
            enthalpy: raw.h,
            entropy: raw.s,
            pressure_by_density,
            pressure_by_energy,
            temperature_by_density,
            temperature_by_energy,
            phases: if both(&raw) { Some(self.phases(&state)?) } else { None },
        })
    }

    /// The phases of a state of the full model.
    fn phases(&self, state: &crate::MixtureState) -> Result<TablePhases, Error> {
        let raw = state.raw();
        let (Some(liquid), Some(vapour)) = (raw.rho_l, raw.rho_v) else {
            return Err(Error::NotConverged { what: "phase fraction", kelvin: raw.t });
        };
        let t = stemwise_units::Temperature::from_k(raw.t);
        let enthalpies = match (self.substance.mixture(), state.liquid(), state.vapour()) {
            (Some(mixture), Some(x), Some(y)) => {
                [mixture.enthalpy_of(raw.t, liquid, x), mixture.enthalpy_of(raw.t, vapour, y)]
            }
            _ => {
                let at = |q| self.substance.raw_state(Given::TemperatureQuality(t, q)).map(|raw| raw.h);
                [at(0.0)?, at(1.0)?]
            }
        };
        Ok(TablePhases::new(raw.rho, raw.h, [liquid, vapour], enthalpies))
    }

    /// How many patches there are.
    ///
    /// ```
    /// use stemwise_thermo::{Fluid, StateTable};
    /// let table = StateTable::new(Fluid::named("R-134a")?).unwrap();
    /// assert!(table.patches() > 100);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn patches(&self) -> usize {
        let count = |region: &Region| region.patches.len();
        self.segments
            .iter()
            .map(|segment| count(&segment.single) + segment.double.as_ref().map_or(0, count))
            .sum()
    }

    /// Memory, bytes.
    ///
    /// ```
    /// use stemwise_thermo::{Fluid, StateTable};
    /// let table = StateTable::new(Fluid::named("R-134a")?).unwrap();
    /// assert!(table.bytes() < 8 << 20);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn bytes(&self) -> usize {
        let segment = |segment: &Segment| {
            size_of::<Segment>()
                + size_of_val(segment.edges.as_slice())
                + segment.single.bytes()
                + segment.double.as_ref().map_or(0, Region::bytes)
        };
        size_of::<Self>() + self.segments.iter().map(segment).sum::<usize>()
    }
}

impl TablePhases {
    /// The parts follow from the volume; what is left of the enthalpy is given to both phases alike.
    fn new(density: f64, enthalpy: f64, [liquid, vapour]: [f64; 2], [h_l, h_v]: [f64; 2]) -> Self {
        let part = (1.0 / density - 1.0 / liquid) / (1.0 / vapour - 1.0 / liquid);
        let part = part.clamp(0.0, 1.0);
        let rest = enthalpy - (h_l + part * (h_v - h_l));
        Self {
            vapour_mass: part,
            vapour_volume: (part * density / vapour).min(1.0),
            liquid_density: liquid,
            vapour_density: vapour,
            liquid_enthalpy: h_l + rest,
            vapour_enthalpy: h_v + rest,
        }
    }
}

/// Whether a state of the full model has both phases.
fn both(raw: &RawState) -> bool {
    raw.q.is_some_and(|q| q > 0.0 && q < 1.0)
}
