//! Cells and links: what they are made of, what leaves a cell, and what passes through a link at given states of its ends.

use super::cell::{Amounts, COUNTED, ENERGY, Eval, GASES};
use super::number::Number;
use crate::equipment::compressor::{Displacement, work_of};
use crate::equipment::recovery::RecoveryMachine;
use crate::equipment::smooth::lesser;
use crate::equipment::vacuum::{Gas, Rarefied, VacuumPump};

/// A volume with its wall.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Cell {
    /// m³.
    pub(crate) volume: f64,
    /// Heat capacity of the wall, J/K.
    pub(crate) wall: f64,
    /// Fluid to wall, W/K.
    pub(crate) inner: f64,
    /// Wall to surroundings, W/K.
    pub(crate) outer: f64,
    /// Temperature of the surroundings, K.
    pub(crate) around: f64,
    /// Heat put into the fluid by a heater, W.
    pub(crate) heater: f64,
    /// Heat put onto the wall besides: water that freezes on it, or frost that melts (less than nothing), W.
    pub(crate) onto_wall: f64,
    /// Its coil, if it is one.
    pub(crate) coil: Option<Coil>,
    /// Boundless: its state never changes, what comes and goes is counted.
    pub(crate) boundless: bool,
    /// Water that boils off its wall, if that is wet.
    pub(crate) seep: Option<Seep>,
    /// Oil in it that holds refrigerant.
    pub(crate) pool: Option<Pool>,
}

/// Water vapour that leaves a wet wall (comes down on it, if less than nothing) over a step: a straight line in the vapour's pressure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Seep {
    /// At that pressure, kg/s.
    pub(crate) kg_per_s: f64,
    /// Its slope, kg/(s Pa).
    pub(crate) per_pa: f64,
    /// The vapour's pressure that it was drawn at, Pa.
    pub(crate) at_pa: f64,
    /// Enthalpy of the vapour that leaves, J/kg.
    pub(crate) enthalpy: f64,
    /// Heat that it takes from the wall, J/kg.
    pub(crate) heat: f64,
}

impl Seep {
    /// kg/s.
    #[inline]
    pub(crate) fn flow<N: Number>(&self, eval: &Eval<N>) -> N {
        (eval.water_pa() + -self.at_pa) * self.per_pa + self.kg_per_s
    }
}

/// Oil that takes refrigerant up and lets it go towards equilibrium, which over a step is a straight line in the refrigerant's pressure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Pool {
    /// Dissolved in equilibrium at that pressure, kg.
    pub(crate) kg: f64,
    /// Its slope, kg/Pa, at least 0.
    pub(crate) per_pa: f64,
    /// The refrigerant's pressure that it was drawn at, Pa.
    pub(crate) at_pa: f64,
    /// No more than this is ever dissolved, kg.
    pub(crate) most: f64,
    /// How long it takes, s.
    pub(crate) lag: f64,
    /// Enthalpy of what leaves, J/kg.
    pub(crate) enthalpy: f64,
    /// Heat that it takes from the wall, J/kg.
    pub(crate) heat: f64,
}

impl Pool {
    /// What leaves it over a step of that length that begins with so much dissolved, kg/s; less than nothing is taken up. What is dissolved at the end follows the
    /// pressure at the end.
    #[inline]
    pub(crate) fn flow<N: Number>(&self, eval: &Eval<N>, dissolved: f64, h: f64) -> N {
        let equilibrium = (eval.p_r + -self.at_pa) * self.per_pa + self.kg;
        (equilibrium.at_least(0.0).at_most(self.most) * -1.0 + dissolved) * (1.0 / (self.lag + h))
    }
}

impl Cell {
    /// Wall to fluid at a state, W/K; hardly anything in it takes up hardly any heat.
    #[inline]
    pub(crate) fn inner_at<N: Number>(&self, eval: &Eval<N>) -> N {
        let there = eval.rho / (eval.rho + 0.05) * self.inner;
        self.coil.as_ref().map_or(there, |coil| there * coil.working(eval.alpha))
    }

    /// Temperature that the wall feels, K.
    #[inline]
    pub(crate) fn felt<N: Number>(&self, eval: &Eval<N>) -> N {
        let glide = self.coil.as_ref().map_or(0.0, |coil| coil.glide);
        if glide <= 0.0 {
            return eval.t;
        }
        eval.t + (N::fixed(1.0) - eval.alpha) * (eval.t_v - eval.t) * glide
    }

    /// Wall to surroundings at a state, W/K.
    #[inline]
    pub(crate) fn outer_at<N: Number>(&self, eval: &Eval<N>) -> N {
        let coil = self.coil.as_ref();
        coil.map_or(N::fixed(self.outer), |coil| coil.working(eval.alpha) * (coil.fan * self.outer))
    }
}

/// What makes a coil of a cell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Coil {
    /// Whether it condenses in normal flow (its outlet is liquid) or evaporates.
    pub(crate) condenses: bool,
    /// The part of the volume that liquid fills when it works as designed.
    pub(crate) wet: f64,
    /// Transfer units of the part that superheats or subcools, at that filling.
    pub(crate) units: f64,
    /// Heat capacities of vapour and liquid there, J/(kg K).
    pub(crate) cp_v: f64,
    pub(crate) cp_l: f64,
    /// Part of the design's air flow.
    pub(crate) fan: f64,
    /// How far a blend's temperature, as the wall feels it, lies from the cell's towards the dew point: flow through a coil passes all
    /// temperatures from one end to the other, while what rests has one.
    pub(crate) glide: f64,
}

/// Where in its cell an end of a link is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Draw {
    /// Takes what is there, mixed.
    Mixed,
    /// At the bottom or on a dip tube: liquid, as long as it fills more than this part of the volume.
    Bottom(f64),
    /// At the top: vapour, until liquid fills more than this part.
    Top(f64),
    /// The far end of a coil in normal flow.
    Coil,
}

/// An end of a link.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct LinkEnd {
    pub(crate) cell: usize,
    pub(crate) draw: Draw,
}

/// How the opening of a passage follows the pressures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Gate {
    /// It doesn't.
    Free,
    /// Opens as the pressure before it rises from the first to the second value, Pa.
    Upstream(f64, f64),
    /// Shuts as the pressure behind it rises from the first to the second value, Pa.
    Downstream(f64, f64),
}

/// A way for fluid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Passage {
    /// Effective area when open: area times discharge coefficient, or over the root of the loss, m².
    pub(crate) area: f64,
    /// 128 L / (pi d⁴) of a tube, 1/m³; 0 for an orifice.
    pub(crate) laminar: f64,
    /// What molecules add in a vacuum.
    pub(crate) rarefied: Option<Rarefied>,
    /// How far it is open from a to b, and from b to a: 0 to 1.
    pub(crate) open: f64,
    pub(crate) back: f64,
    /// What the pressures do to it.
    pub(crate) gate: Gate,
}

/// A compressor in the circuit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Machine {
    pub(crate) law: Displacement,
    /// Part of full speed; 0 stands.
    pub(crate) speed: f64,
    /// Isentropic exponent for pressure and volume.
    pub(crate) kappa: f64,
    /// Real isentropic work over the formula's, at the design point.
    pub(crate) work: f64,
    /// The motor's efficiency.
    pub(crate) motor: f64,
    /// Part of the motor's heat that goes into the suction side.
    pub(crate) in_refrigerant: f64,
    /// Valves: part of the swept volume that still passes (1 sound).
    pub(crate) valves: f64,
    /// Leak area back, m²: through the discharge valves, always.
    pub(crate) leak: f64,
    /// Area of its valves, m²: standing, what has more pressure on the suction side lifts them.
    pub(crate) reeds: f64,
}

/// What leaves a recovery machine's cooler: vapour, or liquid where the pressure condenses it a little above the air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Cooled {
    /// Temperature of the air, K.
    pub(crate) air: f64,
    /// Saturation pressure somewhat above that, Pa.
    pub(crate) saturation: f64,
    /// Enthalpies, J/kg.
    pub(crate) vapour: f64,
    pub(crate) liquid: f64,
    /// Isentropic exponent of the vapour.
    pub(crate) exponent: f64,
}

/// What a link is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Law {
    Passage(Passage),
    Compressor(Machine),
    /// A recovery machine, what leaves its cooler, and its part of full speed.
    Recovery {
        machine: RecoveryMachine,
        cooled: Cooled,
        speed: f64,
    },
    /// A vacuum pump, and its part of full speed.
    Vacuum {
        pump: VacuumPump,
        speed: f64,
    },
    /// A pump of a fixed mass flow (charging by scale), kg/s, as long as the source has more pressure than the target.
    Fixed {
        rate: f64,
    },
}

impl Law {
    /// Whether anything may pass from a to b, and from b to a.
    pub(crate) fn ways(&self) -> (bool, bool) {
        match self {
            Self::Passage(passage) => (passage.open > 0.0, passage.back > 0.0),
            Self::Compressor(machine) => (true, machine.leak > 0.0),
            Self::Recovery { .. } | Self::Vacuum { .. } | Self::Fixed { .. } => (self.runs(), false),
        }
    }

    /// Whether nothing may pass, whatever the states.
    pub(crate) fn is_shut(&self) -> bool {
        match self {
            Self::Passage(passage) => passage.open <= 0.0 && passage.back <= 0.0,
            Self::Compressor(_) => false,
            Self::Recovery { .. } | Self::Vacuum { .. } | Self::Fixed { .. } => !self.runs(),
        }
    }

    /// Whether a machine runs here.
    pub(crate) fn runs(&self) -> bool {
        match self {
            Self::Passage(_) => false,
            Self::Compressor(machine) => machine.speed > 0.0,
            Self::Recovery { speed, .. } | Self::Vacuum { speed, .. } => *speed > 0.0,
            Self::Fixed { rate } => *rate > 0.0,
        }
    }
}

/// A link between two cells.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Link {
    pub(crate) a: LinkEnd,
    pub(crate) b: LinkEnd,
    /// Height of a above b, m.
    pub(crate) drop: f64,
    pub(crate) law: Law,
}

/// What leaves a cell.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Stream<N = f64> {
    pub(crate) rho: N,
    pub(crate) h: N,
    /// Mass part that is liquid.
    pub(crate) liquid: N,
    /// Mass fractions of the gases.
    w: [N; COUNTED - GASES],
    /// Density of the vapour.
    rho_v: N,
}

impl<N: Number> Stream<N> {
    #[inline]
    fn gases(&self) -> N {
        let [air, nitrogen, water] = self.w;
        air + nitrogen + water
    }

    #[inline]
    fn carried(&self, flow: N) -> Amounts<N> {
        let [air, nitrogen, water] = self.w.map(|w| flow * w);
        [flow - air - nitrogen - water, flow * self.h, air, nitrogen, water]
    }
}

#[inline]
fn smooth<N: Number>(x: N) -> N {
    let value = x.value().clamp(0.0, 1.0);
    x.through(value * value * (3.0 - 2.0 * value), 6.0 * value * (1.0 - value))
}

impl Coil {
    /// The part of the surface that the change of phase has.
    #[inline]
    pub(crate) fn working<N: Number>(&self, alpha: N) -> N {
        if self.condenses {
            // Liquid that backs up takes surface away.
            let flooded = (alpha + -self.wet).at_least(0.0) * (1.0 / (1.0 - self.wet));
            (N::fixed(1.0) - flooded).at_least(0.03)
        } else {
            // The dry end takes up little heat.
            (alpha * (-1.0 / (0.68 * self.wet))).exp() * -0.97 + 1.0
        }
    }

    /// Temperature at which the phase that leaves at the far end begins, K.
    #[inline]
    fn saturated<N: Number>(&self, eval: &Eval<N>) -> N {
        if self.condenses { eval.t_l } else { eval.t_v }
    }

    /// Temperature at the far end, for the phase that leaves there.
    pub(crate) fn outlet<N: Number>(&self, cell: &Cell, eval: &Eval<N>) -> N {
        let units = if self.condenses {
            (eval.alpha * (1.0 / self.wet)).at_most(3.0) * self.units
        } else {
            (eval.alpha * (-1.0 / (0.68 * self.wet))).exp() * self.units
        };
        // Without its fan a coil still has a tenth by natural convection (common practice).
        let left = (units * -self.fan.max(0.1)).exp();
        (self.saturated(eval) + -cell.around) * left + cell.around
    }
}

/// What leaves a cell at an end.
pub(crate) fn stream<N: Number>(cell: &Cell, eval: &Eval<N>, draw: Draw) -> Stream<N> {
    let liquid = match draw {
        Draw::Mixed => {
            let vapour = N::fixed(1.0) - eval.x;
            let w = eval.w.map(|w| w * vapour);
            return Stream { rho: eval.rho, h: eval.h, liquid: eval.x, w, rho_v: eval.rho_v };
        }
        Draw::Bottom(from) => smooth(eval.alpha * (1.0 / from)),
        Draw::Top(from) => smooth((eval.alpha + -from) * (1.0 / (1.0 - from))),
        Draw::Coil => match &cell.coil {
            Some(coil) if coil.condenses => smooth(eval.alpha * (1.0 / coil.wet)),
            Some(coil) => smooth((eval.alpha + -2.0 * coil.wet) * (1.0 / (1.0 - 2.0 * coil.wet))),
            None => eval.x,
        },
    };
    let vapour = N::fixed(1.0) - liquid;
    let (mut h_l, mut h_v, mut rho_v) = (eval.h_l, eval.h_v, eval.rho_v);
    if let (Draw::Coil, Some(coil)) = (draw, &cell.coil) {
        let t = coil.outlet(cell, eval);
        let from = coil.saturated(eval);
        if coil.condenses {
            h_l = h_l + (t - from) * coil.cp_l;
        } else {
            h_v = h_v + (t - from) * coil.cp_v;
            rho_v = rho_v * from / t;
        }
    }
    let rho = N::fixed(1.0) / (liquid / eval.rho_l + vapour / rho_v);
    let w = eval.w.map(|w| w * vapour);
    Stream { rho, h: liquid * h_l + vapour * h_v, liquid, w, rho_v }
}

/// What passes a link: out of a, into b, kg/s and W. They differ by the power that a machine adds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Flux<N = f64> {
    pub(crate) out: Amounts<N>,
    pub(crate) into: Amounts<N>,
}

impl<N: Number> Flux<N> {
    fn none() -> Self {
        Self { out: [N::fixed(0.0); COUNTED], into: [N::fixed(0.0); COUNTED] }
    }
}

impl Flux {
    /// Mass, kg/s.
    pub(crate) fn mass(&self) -> f64 {
        self.out[0] + self.out[GASES..].iter().sum::<f64>()
    }
}

/// Gravity, m/s².
const GRAVITY: f64 = 9.80665;
/// Pa s: vapour of a refrigerant, and its liquid (rough means over fluids and temperatures; laminar flow matters in vacuum and in hoses).
const THIN: f64 = 1.3e-5;
const RUNNY: f64 = 1.8e-4;
/// Critical pressure drop over the pressure upstream, and what expansion takes off the flow there: for a vapour with an isentropic exponent of 1.1,
/// and what an exponent of 1.4 (gases) adds. Together they give the critical flow of an ideal nozzle, 0.628 and 0.685 times area times the
/// root of density times pressure (any textbook of gas dynamics).
const CHOKED: [f64; 2] = [0.415, 0.057];
const EXPANDS: [f64; 2] = [0.311, -0.016];
/// Above this molecules add less than 0.1 % in any bore of a rig or circuit, Pa.
const DENSE: f64 = 2e4;
/// Liquid that flashes (common practice).
const FLASHING: f64 = 0.9;

impl Passage {
    /// Mass flow under a positive pressure difference, kg/s.
    fn flow<N: Number>(&self, open: N, from: &Stream<N>, p_up: N, dp: N) -> N {
        if dp.value() <= 0.0 || open.value() <= 0.0 {
            return N::fixed(0.0);
        }
        let one = N::fixed(1.0);
        let vapour = one - from.liquid;
        let gases = from.gases();
        let p_up = p_up.at_least(1e-9);
        let limit = p_up * ((gases * CHOKED[1] + CHOKED[0]) * vapour + from.liquid * FLASHING);
        let part = (dp / limit).at_most(1.0);
        let expansion = one - (gases * EXPANDS[1] + EXPANDS[0]) * part * vapour;
        let area = open * expansion * self.area;
        // Squared: no slope runs to infinity.
        let turbulent = area * area * from.rho * dp.lesser(limit) * 2.0;
        let mean = from.rho * (one - (dp / p_up).at_most(1.0) * vapour * 0.5);
        let viscosity = from.liquid * RUNNY + vapour * THIN;
        // Below a hundred pascals, or half a per cent, the flow is taken as linear.
        let small = p_up * 0.5 / (p_up * 5e-3 + 100.0);
        let slow = viscosity * self.laminar / (mean * open) + (small / (from.rho * 2.0)).root() / area;
        let viscous = dp * 2.0 / (slow + (slow * slow + dp * dp * 4.0 / turbulent).root());
        match &self.rarefied {
            Some(rarefied) if p_up.value() < DENSE => {
                let gas = Gas { rt_j_per_kg: p_up.value() / from.rho_v.value(), viscosity_pa_s: THIN };
                let down = (p_up - dp).at_least(0.0);
                let found = rarefied.between(p_up.value(), down.value(), &gas);
                let molecular = p_up.through_two(down, found.kg_per_s, [found.per_a_pa, found.per_b_pa]);
                viscous + molecular * open * vapour
            }
            _ => viscous,
        }
    }

    /// Whether its gate is shut at these pressures of its ends, Pa.
    pub(crate) fn shut_by_pressure(&self, a: f64, b: f64) -> bool {
        match self.gate {
            Gate::Free => false,
            Gate::Upstream(from, _) => a <= from * 1.02,
            Gate::Downstream(_, to) => b >= to,
        }
    }

    fn opening<N: Number>(&self, a: &Eval<N>, b: &Eval<N>) -> (N, N) {
        let part =
            |value: N, from: f64, to: f64| ((value + -from) * (1.0 / (to - from))).at_least(0.0).at_most(1.0);
        let part = match self.gate {
            Gate::Free => return (N::fixed(self.open), N::fixed(self.back)),
            Gate::Upstream(from, to) => part(a.p, from, to),
            Gate::Downstream(from, to) => N::fixed(1.0) - part(b.p, from, to),
        };
        (part * self.open, part * self.back)
    }
}

impl Gate {
    /// Whether what is behind it holds it shut.
    fn is_held_shut(self, behind: f64) -> bool {
        matches!(self, Self::Downstream(_, to) if behind >= to)
    }
}

impl Law {
    /// Whether fluid may come through as pressures meet, the pressure behind it being this, Pa.
    pub(crate) fn joins(&self, behind: f64) -> bool {
        match self {
            Self::Passage(passage) => !self.is_shut() && !passage.gate.is_held_shut(behind),
            _ => false,
        }
    }
}

impl Machine {
    /// Swept volume a second at full speed, m³/s.
    pub(crate) const fn swept(&self) -> f64 {
        self.law.swept_m3_per_s
    }

    /// Mass flow (kg/s), shaft power (W), electric power (W).
    pub(crate) fn run<N: Number>(&self, from: &Stream<N>, p_a: N, p_b: N) -> (N, N, N) {
        if self.speed <= 0.0 {
            return (N::fixed(0.0), N::fixed(0.0), N::fixed(0.0));
        }
        let ratio = (p_b / p_a.at_least(1.0)).at_most(400.0);
        let (filled, slope) = self.law.volumetric(ratio.value(), self.kappa);
        // Liquid that is drawn in doesn't fill the cylinder.
        let rho = from.rho.lesser(from.rho_v * 4.0);
        let sweep = self.speed * self.swept();
        let flow = ratio.through(filled, slope) * rho * (self.valves * sweep);
        let each = work_of(p_a.at_least(1.0), from.rho_v, self.kappa, ratio) * self.work;
        let shaft = flow * each * (1.0 + self.law.proportional_loss) + self.law.friction_pa * sweep;
        (flow, shaft, shaft * (1.0 / self.motor))
    }
}

/// What passes a link at given states of its ends.
pub(crate) fn flux<N: Number>(link: &Link, cells: [&Cell; 2], a: &Eval<N>, b: &Eval<N>) -> Flux<N> {
    match &link.law {
        Law::Passage(passage) => through(passage, link, cells, a, b),
        Law::Compressor(machine) => compress(machine, link, cells, a, b),
        Law::Recovery { .. } | Law::Vacuum { .. } | Law::Fixed { .. } => rigged(link, cells, a, b),
    }
}

fn through<N: Number>(
    passage: &Passage,
    link: &Link,
    cells: [&Cell; 2],
    a: &Eval<N>,
    b: &Eval<N>,
) -> Flux<N> {
    let (open, back) = passage.opening(a, b);
    let mut passed = [N::fixed(0.0); COUNTED];
    let dp = a.p - b.p;
    // Both may flow at once: liquid falls while vapour rises.
    let head = GRAVITY * link.drop;
    if open.value() > 0.0 && dp.value() + 1500.0 * head.max(0.0) > 0.0 {
        let from = stream(cells[0], a, link.a.draw);
        let flow = passage.flow(open, &from, a.p, dp + from.rho * head);
        if flow.value() > 0.0 {
            passed = from.carried(flow);
        }
    }
    if back.value() > 0.0 && -dp.value() + 1500.0 * (-head).max(0.0) > 0.0 {
        let from = stream(cells[1], b, link.b.draw);
        let flow = passage.flow(back, &from, b.p, -dp - from.rho * head);
        if flow.value() > 0.0 {
            let carried = from.carried(flow);
            passed.iter_mut().zip(carried).for_each(|(slot, part)| *slot = *slot - part);
        }
    }
    Flux { out: passed, into: passed }
}

fn compress<N: Number>(
    machine: &Machine,
    link: &Link,
    cells: [&Cell; 2],
    a: &Eval<N>,
    b: &Eval<N>,
) -> Flux<N> {
    let mut flux = Flux::none();
    if machine.speed > 0.0 {
        let from = stream(cells[0], a, link.a.draw);
        let (flow, shaft, electric) = machine.run(&from, a.p, b.p);
        flux.out = from.carried(flow);
        flux.into = flux.out;
        flux.into[ENERGY] = flux.into[ENERGY] + shaft;
        flux.out[ENERGY] = flux.out[ENERGY] - (electric - shaft) * machine.in_refrigerant;
    }
    let stands = machine.speed <= 0.0;
    if machine.leak > 0.0 || stands {
        let area = machine.reeds.max(1e-12);
        let reeds = Passage {
            area,
            laminar: 0.0,
            rarefied: Some(Rarefied::Aperture { area_m2: area, hydraulic_diameter_m: area.sqrt() }),
            open: if stands { 1.0 } else { 0.0 },
            back: machine.leak / area,
            gate: Gate::Free,
        };
        let back = through(&reeds, link, cells, a, b);
        for at in 0..COUNTED {
            flux.out[at] = flux.out[at] + back.out[at];
            flux.into[at] = flux.into[at] + back.into[at];
        }
    }
    flux
}

fn rigged<N: Number>(link: &Link, cells: [&Cell; 2], a: &Eval<N>, b: &Eval<N>) -> Flux<N> {
    let from = stream(cells[0], a, link.a.draw);
    let one = N::fixed(1.0);
    match link.law {
        Law::Vacuum { pump, speed } => {
            // By pressure times volume; gas over that is its mass.
            let found = pump.flow(a.p.value(), 1.0, false);
            let drawn = a.p.through(found.kg_per_s, found.per_a_pa) / a.p.at_least(1e-9);
            let carried = from.carried(drawn * from.rho.lesser(from.rho_v * 2.0) * speed);
            Flux { out: carried, into: carried }
        }
        Law::Recovery { machine, cooled, speed } => {
            let ratio = b.p / a.p.at_least(1.0);
            let (filled, slope) = machine.compressor.volumetric(ratio.value(), cooled.exponent);
            let swept = ratio.through(filled, slope) * from.rho * machine.compressor.swept_m3_per_s;
            // It throttles its own inlet where liquid comes.
            let (passed, by_swept, _) = lesser(swept.value(), machine.liquid_kg_per_s);
            let rate = swept.through(passed, by_swept) * speed;
            let out = from.carried(rate);
            let mut into = out;
            // Its condenser cools what it moves to the air, and condenses it where the cylinder's pressure is high enough.
            let mut gas = N::fixed(0.0);
            for (&flow, kind) in out[GASES..].iter().zip(super::cell::GAS) {
                gas = gas + flow * (kind.cp() * cooled.air);
            }
            let condenses = smooth((b.p * (1.0 / cooled.saturation) + -0.95) * (1.0 / 0.2));
            let refrigerant = condenses * cooled.liquid + (one - condenses) * cooled.vapour;
            into[ENERGY] = rate * (one - from.gases()) * refrigerant + gas;
            Flux { out, into }
        }
        Law::Fixed { rate } => {
            let eager = smooth((a.p - b.p) / (a.p * 0.02 + 100.0));
            let carried = from.carried(eager * rate);
            Flux { out: carried, into: carried }
        }
        Law::Passage(_) | Law::Compressor(_) => Flux::none(),
    }
}
