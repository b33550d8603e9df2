//! The phase envelope of a mixture: its bubble and dew lines as one curve through the critical point.
//!
//! The curve is followed by how dense the phase about to form is against the phase that is there: `s = ln(rho_forming / rho_there)`.
//! That runs from a cold bubble point (far below zero) through zero, the critical point, to a cold dew point (far above zero), and
//! temperature, pressure and compositions are smooth in it, so that nothing has to be switched on the way and the critical point and
//! both maxima are found by interpolation. Unknowns are logarithms of densities, as in U. K. Deiters, I. H. Bell, AIChE J. 64 (2018)
//! 2745-2757; that a natural variable carries one through the critical point is M. L. Michelsen's, Fluid Phase Equilib. 4 (1980) 1-10.

use stemwise_units::{Density, Pressure, Temperature};

use crate::mixture::equilibrium::{Phases, Side, Spec, sum};
use crate::mixture::helmholtz::{GAS_CONSTANT, Model, Vector};
use crate::mixture::solve::{MOST, System};
use crate::{Error, Mixture, MoleFractions, Substance};

/// Where the points are near the critical point. The first three carry the interpolation through it.
const NEAR: [f64; 8] = [0.08, 0.16, 0.24, 0.36, 0.5, 0.7, 0.9, 1.15];
/// Nearer to the critical point than this the phases are too alike to be solved for: interpolated.
const TOO_NEAR: f64 = 3e-3;
/// The step beyond those.
const STRIDE: f64 = 0.25;
/// A halved step below this ends the curve.
const LEAST_STEP: f64 = 1e-3;
/// A line is drawn down to this pressure, Pa, unless its equation ends before.
const LEAST_PRESSURE: f64 = 1000.0;
const CONVERGED: f64 = 1e-11;
/// Parts of the reducing temperature at which to begin.
const SURE: [f64; 3] = [0.85, 0.75, 0.9];
const MOST_POINTS: usize = 400;

/// Which line a point is on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Line {
    /// Liquid about to boil.
    Bubble,
    /// Vapour about to condense.
    Dew,
}

/// A point of the envelope.
#[derive(Clone, Debug, PartialEq)]
pub struct EnvelopePoint {
    /// On which line; the critical point itself is on both, and is called a bubble point.
    pub line: Line,
    /// Temperature.
    pub temperature: Temperature,
    /// Absolute pressure.
    pub pressure: Pressure,
    /// Density of the phase that is there.
    pub density: Density,
    /// Density of the phase about to form.
    pub forming_density: Density,
    /// What the phase about to form consists of.
    pub forming: MoleFractions,
}

/// The phase envelope: bubble line from cold to the critical point, dew line from there to cold.
#[derive(Clone, Debug, PartialEq)]
pub struct Envelope {
    /// Points in the order of the curve; the critical point is between the last bubble point and the first dew point.
    pub points: Vec<EnvelopePoint>,
    /// Where both lines meet and both phases are the same.
    pub critical: EnvelopePoint,
    /// The highest temperature at which two phases exist.
    pub cricondentherm: EnvelopePoint,
    /// The highest pressure at which two phases exist.
    pub cricondenbar: EnvelopePoint,
}

impl Mixture {
    /// The phase envelope, down to 1 kPa or the lowest temperature that is answered on both lines.
    ///
    /// Every point has equal pressures and fugacities in both phases.
    ///
    /// # Errors
    /// [`Error::NotConverged`] where the bubble line doesn't lead through a critical point to the dew line.
    ///
    /// ```
    /// use stemwise_thermo::Substance;
    /// let envelope = Substance::named("R-407C")?.envelope()?;
    /// assert!((envelope.critical.temperature.as_celsius() - 86.2).abs() < 0.1);
    /// assert!(envelope.cricondentherm.temperature > envelope.critical.temperature);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn envelope(&self) -> Result<Envelope, Error> {
        let mut curve = Curve::new(&self.model, &self.z);
        let coldest = self.temperature_range().0.as_k();
        let cold = |node: &Node| node.t() < coldest || node.p < LEAST_PRESSURE;
        curve.start(self.point.0);
        curve.up(cold);
        curve.down(cold);
        let marks = curve.marks();
        let (critical, hottest, highest) =
            marks.ok_or(Error::NotConverged { what: "critical point", kelvin: self.point.0 })?;
        let nodes = curve.nodes.iter().filter(|node| node.s != 0.0 && !cold(node));
        Ok(Envelope {
            points: nodes.filter_map(|node| self.point_of(node)).collect(),
            critical: self.marked(&critical)?,
            cricondentherm: self.marked(&hottest)?,
            cricondenbar: self.marked(&highest)?,
        })
    }

    fn marked(&self, node: &Node) -> Result<EnvelopePoint, Error> {
        self.point_of(node).ok_or(Error::NotConverged { what: "critical point", kelvin: node.t() })
    }

    fn point_of(&self, node: &Node) -> Option<EnvelopePoint> {
        let n = self.model.len();
        let formed: Vec<f64> = node.x.iter().skip(2).take(n).map(|ln| libm::exp(*ln)).collect();
        let masses = self.components().iter().map(|fluid| fluid.molar_mass_kg_per_mol());
        let forming_density = formed.iter().zip(masses).map(|(rho, molar)| rho * molar).sum();
        Some(EnvelopePoint {
            line: if node.s <= 0.0 { Line::Bubble } else { Line::Dew },
            temperature: Temperature::from_k(node.t()),
            pressure: Pressure::from_pa(node.p),
            density: Density::from_kg_per_m3(node.rho() * self.molar_mass),
            forming_density: Density::from_kg_per_m3(forming_density),
            forming: MoleFractions::of_parts(&formed).ok()?,
        })
    }
}

impl Substance {
    /// The phase envelope of a mixture; of a pure fluid the saturation curve, whose end is all three marks.
    ///
    /// # Errors
    /// As [`Mixture::envelope`].
    ///
    /// ```
    /// use stemwise_thermo::{Line, Substance};
    /// let envelope = Substance::named("R-290")?.envelope()?;
    /// assert!((envelope.critical.temperature.as_celsius() - 96.74).abs() < 0.01);
    /// assert_eq!(envelope.points[0].line, Line::Bubble);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn envelope(&self) -> Result<Envelope, Error> {
        match self.mixture() {
            Some(mixture) => mixture.envelope(),
            None => self.pure_envelope(),
        }
    }

    fn pure_envelope(&self) -> Result<Envelope, Error> {
        const STEPS: u32 = 40;
        let (low, high) = (self.lowest_temperature().as_k(), self.critical_temperature().as_k());
        let forming = MoleFractions::of_parts(&[1.0])?;
        let point = |line, kelvin: f64, (p, there, other): (f64, f64, f64)| EnvelopePoint {
            line,
            temperature: Temperature::from_k(kelvin),
            pressure: Pressure::from_pa(p),
            density: Density::from_kg_per_m3(there),
            forming_density: Density::from_kg_per_m3(other),
            forming: forming.clone(),
        };
        let mut points = Vec::new();
        let mut dew = Vec::new();
        for step in 0..STEPS {
            let kelvin = low + f64::from(step) / f64::from(STEPS) * (high - low);
            let at = self.saturation_raw(kelvin)?;
            if at.bubble >= LEAST_PRESSURE {
                points.push(point(Line::Bubble, kelvin, (at.bubble, at.liquid, at.vapour)));
                dew.push(point(Line::Dew, kelvin, (at.dew, at.vapour, at.liquid)));
            }
        }
        points.extend(dew.into_iter().rev());
        let rho = self
            .components()
            .first()
            .map_or(f64::NAN, |fluid| fluid.eos().top.density * fluid.molar_mass_kg_per_mol());
        let critical = point(Line::Bubble, high, (self.critical_pressure().as_pa(), rho, rho));
        let (cricondentherm, cricondenbar) = (critical.clone(), critical.clone());
        Ok(Envelope { points, critical, cricondentherm, cricondenbar })
    }
}

/// Where two phases end: the critical point (K, Pa, mol/m³), the highest temperature (K) and the highest pressure (Pa). Where the bubble
/// line doesn't lead through a critical point, as far as it leads.
pub(crate) fn ends(model: &Model, z: &Vector, point: (f64, f64)) -> ((f64, f64, f64), f64, f64) {
    let mut curve = Curve::new(model, z);
    curve.start(point.0);
    curve.up(|node| node.s > NEAR[3] && node.dx[0] < 0.0 && node.dp < 0.0);
    if let Some((critical, hottest, highest)) = curve.marks() {
        let hottest = hottest.t().max(critical.t());
        return ((critical.t(), critical.p, critical.rho()), hottest, highest.p.max(critical.p));
    }
    let last = curve.nodes.last().map_or((point.0, 0.0, point.1), |node| (node.t(), node.p, node.rho()));
    let most = |of: fn(&Node) -> f64, least| curve.nodes.iter().map(of).fold(least, f64::max);
    (last, most(Node::t, last.0), most(|node| node.p, last.1))
}

/// Bubble (`q` 0) or dew point at a temperature or at a pressure, near the critical point too; none where there is none. Of two dew points
/// at one temperature, that at the lower pressure; of two at one pressure, the colder.
pub(crate) fn on_line(model: &Model, z: &Vector, reducing: f64, at: Spec, q: f64) -> Option<Phases> {
    let gap = |node: &Node| match at {
        Spec::Pressure(p) => libm::log(node.p / p),
        Spec::Temperature(t) => node.x[0] - libm::log(t),
        Spec::Quality(_) | Spec::Density(_) => f64::NAN,
    };
    let mut curve = Curve::new(model, z);
    curve.start(reducing);
    let colder = q < 0.5 && curve.nodes.first().is_some_and(|node| gap(node) > 0.0);
    curve.up(|node| node.s > NEAR[2] && (q < 0.5 || (gap(node) < 0.0 && node.dx[0] < 0.0 && node.dp < 0.0)));
    if colder {
        curve.down(|node| gap(node) < 0.0);
    }
    curve.close()?;
    let node = curve.passing(q, gap)?;
    let n = model.len();
    let there = z.map(|z| node.rho() * z);
    let forming = core::array::from_fn(|i| if i < n { libm::exp(node.x[i + 2]) } else { 0.0 });
    let (liquid, vapour) = if q < 0.5 { (there, forming) } else { (forming, there) };
    Some(Phases { t: node.t(), p: node.p, liquid, vapour, q })
}

/// The bubble and dew line as one curve over the density of the phase that is there, through the critical point.
pub(crate) struct Rim<'a>(Curve<'a>);

impl<'a> Rim<'a> {
    /// None where the bubble line doesn't lead through a critical point.
    pub(crate) fn new(model: &'a Model, z: &'a Vector, reducing: f64) -> Option<Self> {
        let mut curve = Curve::new(model, z);
        curve.start(reducing);
        curve.up(|node| node.s > NEAR[7] && node.dx[0] < 0.0 && node.dp < 0.0);
        curve.close()?;
        Some(Self(curve))
    }

    /// The temperature at which a molar density is that of a saturated phase, K; none far from the critical point.
    pub(crate) fn temperature(&self, rho: f64) -> Option<f64> {
        let log = libm::log(rho);
        let around = |pair: &&[Node]| pair[0].x[1] >= log && pair[1].x[1] <= log;
        let pair = self.0.nodes.windows(2).find(around)?;
        let (low, high) = (&pair[0], &pair[1]);
        let mut s = low.s + (high.s - low.s) * (low.x[1] - log) / (low.x[1] - high.x[1]);
        for turn in 0..20 {
            let node = self.0.at(s)?;
            let step = (node.x[1] - log) / node.dx[1];
            // Next to the critical point the last digits don't settle.
            if step.abs() < if turn < 6 { 1e-7 } else { 1e-4 } {
                return Some(libm::exp(node.x[0] - step * node.dx[0]));
            }
            s = (s - step).clamp(low.s, high.s);
        }
        None
    }
}

/// A point of the curve with its tangent.
#[derive(Clone, Copy, Debug)]
struct Node {
    s: f64,
    /// Logarithms of the temperature, of the molar density of the phase that is there, and of the densities in the other.
    x: [f64; MOST],
    /// Slopes of those by `s`.
    dx: [f64; MOST],
    p: f64,
    /// Slope of the logarithm of the pressure.
    dp: f64,
}

impl Node {
    fn t(&self) -> f64 {
        libm::exp(self.x[0])
    }
    fn rho(&self) -> f64 {
        libm::exp(self.x[1])
    }
}

/// The curve as far as it has been followed.
struct Curve<'a> {
    model: &'a Model,
    z: &'a Vector,
    /// In the order of `s`.
    nodes: Vec<Node>,
}

impl<'a> Curve<'a> {
    const fn new(model: &'a Model, z: &'a Vector) -> Self {
        Self { model, z, nodes: Vec::new() }
    }

    /// A bubble point at a temperature well below the critical one, where a start by Raoult's law is good enough.
    fn start(&mut self, reducing: f64) {
        let n = self.model.len();
        let rough = |part: f64| {
            let t = part * reducing;
            let specs = [Spec::Temperature(t), Spec::Quality(0.0)];
            let found = self.model.two_phases(self.z, specs, self.model.rough_phases(t, self.z, 0.0))?;
            self.model.far_apart(&found).then_some(found)
        };
        let Some(found) = SURE.into_iter().find_map(rough) else { return };
        let mut x = [0.0; MOST];
        (x[0], x[1]) = (libm::log(found.t), libm::log(sum(n, &found.liquid)));
        x.iter_mut().skip(2).zip(&found.vapour).take(n).for_each(|(slot, rho)| *slot = libm::log(*rho));
        let s = libm::log(sum(n, &found.vapour) / sum(n, &found.liquid));
        self.nodes.extend(self.solve(s, x));
    }

    /// Onwards to hotter bubble points, through the critical point and to colder dew points.
    fn up(&mut self, end: impl Fn(&Node) -> bool) {
        while let (Some(&here), true) = (self.nodes.last(), self.nodes.len() < MOST_POINTS) {
            let before = self.nodes.iter().rev().nth(1).copied();
            let Some(found) = self.step(&here, before.as_ref(), 1.0) else { break };
            self.nodes.push(found);
            if found.s > 0.0 && end(&found) {
                break;
            }
        }
    }

    /// Down the bubble line to the cold.
    fn down(&mut self, end: impl Fn(&Node) -> bool) {
        let mut colder = Vec::new();
        let mut next = self.nodes.first().copied().zip(self.nodes.get(1).copied());
        while let (Some((here, before)), true) = (next, colder.len() < MOST_POINTS) {
            let Some(found) = self.step(&here, Some(&before), -1.0) else { break };
            colder.push(found);
            next = (!end(&found)).then_some((found, here));
        }
        colder.reverse();
        colder.append(&mut self.nodes);
        self.nodes = colder;
    }

    /// The next place of the grid, or as far as Newton gets on the way there.
    fn step(&self, here: &Node, before: Option<&Node>, sign: f64) -> Option<Node> {
        let mut next = sign * next_place(sign * here.s);
        while (next - here.s).abs() > LEAST_STEP {
            let guess = ahead(here, before, next);
            if let Some(found) = self.solve(next, guess) {
                return Some(found);
            }
            next = here.s + 0.5 * (next - here.s);
            if next.abs() < NEAR[0] {
                return None;
            }
        }
        None
    }

    /// Newton at one place of the curve.
    fn solve(&self, s: f64, start: [f64; MOST]) -> Option<Node> {
        let size = self.model.len() + 2;
        let mut x = start;
        let mut before = f64::INFINITY;
        for _ in 0..25 {
            let (system, there, forming) = self.equations(s, &x);
            let step = system.clone().solve()?;
            let largest = step.iter().take(size).fold(0.0f64, |most, value| most.max(value.abs()));
            let damp = if largest > 0.3 { 0.3 / largest } else { 1.0 };
            x.iter_mut().zip(&step).take(size).for_each(|(value, step)| *value += damp * step);
            // The nearer to the critical point, the less the last digits settle: then to where the step stops getting smaller.
            let noise = (2e-11 / (s * s * s).abs()).clamp(1e-8, 1e-5);
            if largest < CONVERGED || (largest < noise && largest > 0.5 * before) {
                return self.accepted(s, x, system, &there, &forming);
            }
            before = largest;
        }
        None
    }

    /// The equations at a place: equal fugacities, equal pressures, the place itself; and both phases.
    fn equations(&self, s: f64, x: &[f64; MOST]) -> (System, Side, Side) {
        let n = self.model.len();
        let (t, rho) = (libm::exp(x[0]), libm::exp(x[1]));
        let densities: Vector = core::array::from_fn(|i| if i < n { libm::exp(x[i + 2]) } else { 0.0 });
        let there = Side::at(self.model, t, self.z.map(|z| rho * z));
        let forming = Side::at(self.model, t, densities);
        let mut system = System::new(n + 2);
        for i in 0..n {
            system.set(i, 0, t * (forming.residual.by_t[i] - there.residual.by_t[i]));
            system.set(i, 1, -(0..n).map(|j| there.log_f_slope(i, j)).sum::<f64>());
            (0..n).for_each(|j| system.set(i, j + 2, forming.log_f_slope(i, j)));
            system.right(i, there.log_f(i) - forming.log_f(i));
        }
        let total = sum(n, &densities);
        // Pressures in units of the thinner phase's density.
        let scale = total.min(rho);
        system.set(n, 0, t * (forming.residual.z_rho_t - there.residual.z_rho_t) / scale);
        system.set(n, 1, -sum(n, &there.z_slopes) / scale);
        for (j, rho) in densities.iter().enumerate().take(n) {
            system.set(n, j + 2, forming.z_slopes[j] / scale);
            system.set(n + 1, j + 2, rho / total);
        }
        system.right(n, (there.residual.z_rho - forming.residual.z_rho) / scale);
        system.set(n + 1, 1, -1.0);
        system.right(n + 1, s - libm::log(total / rho));
        (system, there, forming)
    }

    /// Checks what was found, and gives it its pressure and tangent.
    fn accepted(
        &self,
        s: f64,
        x: [f64; MOST],
        mut system: System,
        there: &Side,
        forming: &Side,
    ) -> Option<Node> {
        let n = self.model.len();
        let equal = (0..n).all(|i| (there.log_f(i) - forming.log_f(i)).abs() < 1e-8);
        let (thin, column) = if s < 0.0 { (forming, None) } else { (there, Some(1)) };
        let z = thin.residual.z_rho;
        let apart = (there.residual.z_rho - forming.residual.z_rho).abs();
        let stiff = sum(n, &there.z_slopes).max(sum(n, &forming.z_slopes));
        if !(equal && z > 0.0 && apart <= 1e-9 * z + 1e-11 * stiff) {
            return None;
        }
        (0..n + 2).for_each(|row| system.right(row, 0.0));
        system.right(n + 1, 1.0);
        let dx = system.solve()?;
        let t = libm::exp(x[0]);
        let by_density: f64 = match column {
            Some(column) => sum(n, &there.z_slopes) * dx[column],
            None => (0..n).map(|j| forming.z_slopes[j] * dx[j + 2]).sum(),
        };
        let dp = (1.0 + t * thin.residual.z_rho_t / z) * dx[0] + by_density / z;
        Some(Node { s, x, dx, p: GAS_CONSTANT * t * z, dp })
    }

    /// Any place between the ends: solved for, or interpolated where the phases are too alike.
    fn at(&self, s: f64) -> Option<Node> {
        let above = self.nodes.iter().position(|node| node.s > s)?;
        let (low, high) = (self.nodes.get(above.checked_sub(1)?)?, self.nodes.get(above)?);
        if s.abs() >= NEAR[0] {
            return self.solve(s, hermite(low, high, s));
        }
        let rough = self.interpolated(s)?;
        let solved = if s.abs() < TOO_NEAR { None } else { self.solve(s, rough.x) };
        Some(solved.unwrap_or(rough))
    }

    /// By the polynomial through the points around the critical point, and that itself where it is known.
    fn interpolated(&self, s: f64) -> Option<Node> {
        let mut near: Vec<&Node> = self.nodes.iter().collect();
        near.sort_by(|a, b| a.s.abs().total_cmp(&b.s.abs()));
        near.truncate(if near.first().is_some_and(|node| node.s == 0.0) { 7 } else { 6 });
        let on_both = |side: f64| near.iter().filter(|node| node.s * side > 0.0).count() >= 2;
        if !(on_both(1.0) && on_both(-1.0)) {
            return None;
        }
        let weights = weights(&near, s);
        let blend = |of: &dyn Fn(&Node) -> f64| -> f64 {
            near.iter().zip(&weights).map(|(node, weight)| weight * of(node)).sum()
        };
        Some(Node {
            s,
            x: core::array::from_fn(|k| blend(&|node| node.x[k])),
            dx: core::array::from_fn(|k| blend(&|node| node.dx[k])),
            p: libm::exp(blend(&|node| libm::log(node.p))),
            dp: blend(&|node| node.dp),
        })
    }

    /// The critical point, the hottest and the highest; none where the curve doesn't lead through a critical point.
    fn marks(&mut self) -> Option<(Node, Node, Node)> {
        let critical = self.close()?;
        let hottest = self.summit(|node| node.dx[0], |node| node.x[0])?;
        let highest = self.summit(|node| node.dp, |node| node.p)?;
        Some((critical, hottest, highest))
    }

    /// Finds the critical point and makes it one of the nodes.
    fn close(&mut self) -> Option<Node> {
        let rough = self.interpolated(0.0)?;
        let exact = Criterion::new(self.model, self.z, &rough).and_then(|criterion| criterion.solve(&rough));
        let critical = exact.unwrap_or(rough);
        let at = self.nodes.iter().position(|node| node.s > 0.0)?;
        self.nodes.insert(at, critical);
        Some(critical)
    }

    /// Where a value that a function gives is passed: on the bubble line the first time, on the dew line the last time.
    fn passing(&self, q: f64, gap: impl Fn(&Node) -> f64) -> Option<Node> {
        let side = |pair: &&[Node]| if q < 0.5 { pair[1].s <= 0.0 } else { pair[0].s >= 0.0 };
        let mut passed =
            self.nodes.windows(2).filter(side).filter(|pair| gap(&pair[0]) * gap(&pair[1]) <= 0.0);
        let pair = if q < 0.5 { passed.next() } else { passed.last() }?;
        let (mut low, mut high) = (pair[0], pair[1]);
        for turn in 0..60 {
            let (a, b) = (gap(&low), gap(&high));
            let share = if turn % 3 == 2 { 0.5 } else { (a / (a - b)).clamp(0.01, 0.99) };
            let node = self.at(low.s + share * (high.s - low.s))?;
            let here = gap(&node);
            if here.abs() < 1e-11 || high.s - low.s < 1e-10 {
                let (system, there, forming) = self.equations(node.s, &node.x);
                return self.accepted(node.s, node.x, system, &there, &forming);
            }
            if here * a > 0.0 { low = node } else { high = node }
        }
        None
    }

    /// Where a value is highest: its slope falls through zero there.
    fn summit(&self, slope: impl Fn(&Node) -> f64, value: impl Fn(&Node) -> f64) -> Option<Node> {
        let tops = self.nodes.windows(2).filter(|pair| slope(&pair[0]) > 0.0 && slope(&pair[1]) <= 0.0);
        let (low, high) = tops
            .map(|pair| (pair[0], pair[1]))
            .max_by(|a, b| value(&a.1).max(value(&a.0)).total_cmp(&value(&b.1).max(value(&b.0))))?;
        let (mut low, mut high) = (low, high);
        for turn in 0..40 {
            let (a, b) = (slope(&low), slope(&high));
            // False position, and halving in every third turn, so that neither end stays.
            let share = if turn % 3 == 2 { 0.5 } else { (a / (a - b)).clamp(0.02, 0.98) };
            let Some(node) = self.at(low.s + share * (high.s - low.s)) else { break };
            if high.s - low.s < 1e-7 || slope(&node).abs() < 1e-11 {
                return Some(node);
            }
            if slope(&node) > 0.0 { low = node } else { high = node }
        }
        Some(if slope(&low).abs() < slope(&high).abs() { low } else { high })
    }
}

/// The conditions of a critical point: the matrix of second slopes of the Helmholtz energy has an eigenvalue of zero, and the third slope
/// along its vector is zero (R. A. Heidemann, A. M. Khalil, AIChE J. 26 (1980) 769-779, in densities).
struct Criterion<'a> {
    model: &'a Model,
    z: &'a Vector,
    /// The vector at the start, in square roots of densities.
    along: Vector,
}

impl<'a> Criterion<'a> {
    /// The phases part in the direction of the vector wanted.
    fn new(model: &'a Model, z: &'a Vector, rough: &Node) -> Option<Self> {
        let n = model.len();
        let part = |i: usize| (rough.dx[i + 2] - rough.dx[1]) * (z[i] * rough.rho()).sqrt();
        let along = unit(n, core::array::from_fn(|i| if i < n { part(i) } else { 0.0 }))?;
        Some(Self { model, z, along })
    }

    /// Newton on temperature and density, with slopes by differences.
    fn solve(&self, rough: &Node) -> Option<Node> {
        const SMALL: f64 = 1e-5;
        let (mut t, mut rho) = (rough.t(), rough.rho());
        for _ in 0..12 {
            let (a, b) = self.at(t, rho)?;
            let (at, bt) = self.at(t * (1.0 + SMALL), rho)?;
            let (ar, br) = self.at(t, rho * (1.0 + SMALL))?;
            let [at, bt, ar, br] = [at - a, bt - b, ar - a, br - b].map(|change| change / SMALL);
            let det = at * br - ar * bt;
            let (by_t, by_rho) = ((ar * b - br * a) / det, (bt * a - at * b) / det);
            t *= 1.0 + by_t;
            rho *= 1.0 + by_rho;
            let strayed = (t / rough.t() - 1.0).abs() > 1e-3 || (rho / rough.rho() - 1.0).abs() > 2e-2;
            if strayed || !by_t.is_finite() || !by_rho.is_finite() {
                return None;
            }
            if by_t.abs() < 1e-11 && by_rho.abs() < 1e-8 {
                return Some(self.node(t, rho, rough));
            }
        }
        None
    }

    fn node(&self, t: f64, rho: f64, rough: &Node) -> Node {
        let mut x = rough.x;
        (x[0], x[1]) = (libm::log(t), libm::log(rho));
        for (slot, z) in x.iter_mut().skip(2).zip(self.z).take(self.model.len()) {
            *slot = libm::log(rho * z);
        }
        let there = Side::at(self.model, t, self.z.map(|z| rho * z));
        Node { s: 0.0, x, p: GAS_CONSTANT * t * there.residual.z_rho, ..*rough }
    }

    /// The smallest eigenvalue, and the third slope along its vector.
    fn at(&self, t: f64, rho: f64) -> Option<(f64, f64)> {
        let n = self.model.len();
        let densities = self.z.map(|z| rho * z);
        let side = Side::at(self.model, t, densities);
        let entry = |i: usize, j: usize| {
            let own = if i == j { 1.0 } else { 0.0 };
            own + (densities[i] * densities[j]).sqrt() * side.residual.bend[i][j]
        };
        let mut u = self.along;
        for _ in 0..3 {
            let mut system = System::new(n);
            for (i, part) in u.iter().enumerate().take(n) {
                (0..n).for_each(|j| system.set(i, j, entry(i, j)));
                system.right(i, *part);
            }
            // An exactly singular matrix has the vector already.
            let Some(found) = system.solve() else { break };
            let found = core::array::from_fn(|i| if i < n { found[i] } else { 0.0 });
            u = unit(n, found)?;
        }
        if (0..n).map(|i| u[i] * self.along[i]).sum::<f64>() < 0.0 {
            u = u.map(|value| -value);
        }
        let value = (0..n).map(|i| (0..n).map(|j| u[i] * entry(i, j) * u[j]).sum::<f64>()).sum();
        let change: Vector = core::array::from_fn(|i| u[i] * densities[i].sqrt());
        let bend = |far: f64| {
            let moved: Vector = core::array::from_fn(|i| densities[i] + far * change[i]);
            self.second_slope(t, &moved, &change)
        };
        let far = 2e-3 / (0..n).fold(0.0f64, |most, i| most.max((change[i] / densities[i]).abs()));
        let (near, wide) = (bend(far) - bend(-far), bend(2.0 * far) - bend(-2.0 * far));
        Some((value, (8.0 * near - wide) / (12.0 * far)))
    }

    /// Second slope of the Helmholtz energy over RT along a change of the densities.
    fn second_slope(&self, t: f64, densities: &Vector, change: &Vector) -> f64 {
        let n = self.model.len();
        let residual = self.model.residual(t, densities);
        let row = |i: usize| -> f64 {
            let others: f64 = (0..n).map(|j| residual.bend[i][j] * change[j]).sum();
            change[i] * (change[i] / densities[i] + others)
        };
        (0..n).map(row).sum()
    }
}

fn unit(n: usize, vector: Vector) -> Option<Vector> {
    let length = vector.iter().take(n).map(|value| value * value).sum::<f64>().sqrt();
    (length > 0.0 && length.is_finite()).then(|| vector.map(|value| value / length))
}

/// The next place of the grid above one.
fn next_place(s: f64) -> f64 {
    let last = NEAR[NEAR.len() - 1];
    let small = 1e-9;
    if s < -last - small {
        let steps = ((-s - last) / STRIDE - small).ceil() - 1.0;
        return -(last + STRIDE * steps.max(0.0));
    }
    let below = NEAR.iter().rev().map(|place| -place);
    let found = below.chain(NEAR).find(|place| *place > s + small);
    found.unwrap_or_else(|| last + STRIDE * (((s - last) / STRIDE + small).floor() + 1.0))
}

/// Where the next point should be: by both last points and their tangents, or along the tangent.
fn ahead(here: &Node, before: Option<&Node>, s: f64) -> [f64; MOST] {
    match before {
        Some(before) => hermite(before, here, s),
        None => core::array::from_fn(|k| here.x[k] + (s - here.s) * here.dx[k]),
    }
}

/// The cubic through two points with their slopes.
fn hermite(one: &Node, two: &Node, s: f64) -> [f64; MOST] {
    let h = two.s - one.s;
    let u = (s - one.s) / h;
    let (from, to) = ((1.0 + 2.0 * u) * (1.0 - u) * (1.0 - u), u * u * (3.0 - 2.0 * u));
    let (out, into) = (h * u * (1.0 - u) * (1.0 - u), h * u * u * (u - 1.0));
    core::array::from_fn(|k| from * one.x[k] + to * two.x[k] + out * one.dx[k] + into * two.dx[k])
}

/// Lagrange's weights.
fn weights(nodes: &[&Node], s: f64) -> Vec<f64> {
    let weight = |i: usize, node: &&Node| {
        let others = nodes.iter().enumerate().filter(|(j, _)| *j != i);
        others.map(|(_, other)| (s - other.s) / (node.s - other.s)).product()
    };
    nodes.iter().enumerate().map(|(i, node)| weight(i, node)).collect()
}
