//! The circuit at one guess of its unknowns: every flow, heat and mass, and how far the three conditions are off.

use stemwise_circuit::SpaceId;

use super::curves::{Curves, Edges};
use super::size::{Coil, Feed, Meter, SHELL, SteadyPlant};
use super::{SteadyAsk, SteadyTuning};
use crate::design::MOTOR;
use crate::equipment::compressor::Suction;
use crate::equipment::exchange::{AIR_CP, Air, CoilOutside, Frost, humidity_ratio};
use crate::equipment::flow::{Boiling, Expansion, Source};
use crate::equipment::moisture::saturation_pa;

/// J/(kg K), dry air.
pub(super) const AIR_GAS: f64 = 287.05;
/// Viscosities that are good enough where flow is turbulent, Pa s.
const LIQUID_VISCOSITY: f64 = 1.7e-4;
const VAPOUR_VISCOSITY: f64 = 1.2e-5;
/// Wet vapour by which an accumulator is full: what its bleed hole lets through (assumed).
const BLED: f64 = 0.05;

/// One evaporator in the balance; SI.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SteadyCoil {
    /// Pressure in it, Pa.
    pub pascal: f64,
    /// Mass flow, kg/s.
    pub kg_per_s: f64,
    /// Superheat at its outlet, K; 0 where what leaves is wet.
    pub superheat_k: f64,
    /// Vapour's part of what leaves, at most 1.
    pub quality: f64,
    /// Temperature of its outlet, K.
    pub outlet_k: f64,
    /// Heat that it takes up, W.
    pub heat_w: f64,
    /// The sensible part of it, W.
    pub sensible_w: f64,
    /// The air off it, K.
    pub air_off_k: f64,
    /// How far its metering device is open, 0 to 1; 1 for a fixed one.
    pub open: f64,
    /// The part of its area that is wet.
    pub wet: f64,
    /// Refrigerant in it, kg.
    pub kg: f64,
    pub(super) h_out: f64,
}

/// The balance; SI.
#[derive(Clone, Debug, PartialEq)]
pub struct SteadyBalance {
    /// Pressure at the compressor's suction, Pa.
    pub suction_pa: f64,
    /// Pressure at its discharge, air in it included, Pa.
    pub discharge_pa: f64,
    /// Dew temperature at the suction pressure, K.
    pub evaporating_k: f64,
    /// Bubble temperature at the discharge pressure, K.
    pub condensing_k: f64,
    /// Dew temperature there, K.
    pub condensing_dew_k: f64,
    /// Suction line at the compressor, K.
    pub suction_line_k: f64,
    /// Superheat there, K.
    pub superheat_k: f64,
    /// Discharge line, K.
    pub discharge_line_k: f64,
    /// Liquid line, K.
    pub liquid_line_k: f64,
    /// Its end before the metering device, K: colder where a restriction makes the liquid flash.
    pub liquid_end_k: f64,
    /// Bubble temperature at the discharge pressure less the liquid line, as gauges show it (air makes it look larger), K.
    pub subcooling_k: f64,
    /// Vapour's part of what leaves the condenser or receiver.
    pub liquid_quality: f64,
    /// Air off the condenser, K.
    pub condenser_off_k: f64,
    /// Air over the evaporators, m³/s, at the density of what comes.
    pub evaporator_air_m3_per_s: f64,
    /// The evaporators.
    pub evaporators: Vec<SteadyCoil>,
    /// Mass flow, kg/s.
    pub kg_per_s: f64,
    /// What the evaporators take up, W.
    pub capacity_w: f64,
    /// What the suction line takes up besides, W.
    pub line_w: f64,
    /// Electric power of the compressors, W.
    pub power_w: f64,
    /// What the condenser gives off, W.
    pub rejected_w: f64,
    /// What motor and shell give off, W.
    pub shell_w: f64,
    /// Parts of the condenser's area: vapour, two phases, liquid.
    pub zones: [f64; 3],
    /// How full the receiver is, by volume; none without one.
    pub receiver_level: Option<f64>,
    /// Refrigerant in each space of the circuit, kg.
    pub charge_kg: Vec<(SpaceId, f64)>,
    /// What the nameplate has more (or less) than the volumes take at the design point, kg: oil, and what the volumes in the file leave out.
    pub elsewhere_kg: f64,
    /// How often the equations were worked out.
    pub evaluations: u32,
    pub(super) x: [f64; 3],
}

/// Everything at one guess.
#[derive(Clone, Debug, Default)]
pub(super) struct Look {
    pub(super) off: [f64; 3],
    pub(super) mass: f64,
    p_suction: f64,
    p_discharge: f64,
    edges_low: Option<Edges>,
    t_suction: f64,
    drawn: Drawn,
    t_discharge: f64,
    t_liquid: f64,
    t_end: f64,
    subcooling: f64,
    quality: f64,
    zones: [f64; 3],
    t_air_off: f64,
    level: Option<f64>,
    coils: Vec<SteadyCoil>,
    flow: f64,
    line_w: f64,
    masses: Masses,
}

/// Masses by where they are, kg.
#[derive(Clone, Copy, Debug, Default)]
struct Masses {
    condenser: f64,
    discharge: f64,
    liquid: f64,
    receiver: f64,
    suction: f64,
    accumulator: f64,
}

/// What the compressors do.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Drawn {
    pub(super) flow: f64,
    pub(super) h_out: f64,
    power: f64,
    shell: f64,
}

/// Parts of a condenser's area; more or less than one in all where the guess is off.
#[derive(Clone, Copy, Debug)]
pub(super) struct Zones {
    pub(super) vapour: f64,
    pub(super) wet: f64,
    pub(super) liquid: f64,
}

/// Heat to a coil that is wet all over, W, and the sensible part of it.
#[derive(Clone, Copy, Debug)]
pub(super) struct WetHeat {
    pub(super) total: f64,
    sensible: f64,
}

impl Coil {
    /// The air on its way to the coil, with that part of the fan's flow.
    pub(super) fn air(&self, kelvin: f64, humidity: f64, pascal: f64, fan: f64) -> Air {
        Air {
            kg_per_s: self.outside.nominal_kg_per_s * fan.max(0.0),
            kelvin,
            humidity_ratio: humidity_ratio(humidity * saturation_pa(kelvin), pascal),
            pa: pascal,
        }
    }

    /// Conductance from the air to the refrigerant with that coefficient inside, if the whole coil were so, W/K.
    pub(super) fn through(&self, air: &Air, wall_k: f64, inside: f64) -> f64 {
        let (outer, inner) = (self.outside.contact_w_per_k(air, wall_k), inside * self.inside.area_m2);
        outer * inner / (outer + inner)
    }

    /// The same coil with another heat transfer and another fan.
    fn tuned(&self, transfer: f64, fan: f64) -> Self {
        Self {
            spaces: Vec::new(),
            outside: CoilOutside {
                nominal_w_per_k: self.outside.nominal_w_per_k * transfer,
                nominal_kg_per_s: self.outside.nominal_kg_per_s * fan,
                still_w_per_k: self.outside.still_w_per_k * transfer,
                ..self.outside
            },
            inside: crate::equipment::exchange::CoilInside {
                area_m2: self.inside.area_m2 * transfer,
                ..self.inside
            },
            volume: self.volume,
            air_k: self.air_k,
        }
    }
}

/// A difference, kept above nothing without a corner.
fn above(x: f64, width: f64) -> f64 {
    0.5 * (x + (x * x + width * width).sqrt())
}

/// Heat from the air to a coil that is wet all over, from that quality to the dew point: the wall's temperature follows from both sides.
pub(super) fn wet_heat(coil: &Coil, air: &Air, edges: &Edges, quality: f64) -> WetHeat {
    let inside = 0.5 * (edges.wet_kelvin(quality) + edges.dew);
    let inner = coil.inside.boiling * coil.inside.area_m2;
    let frost = Frost::default();
    let off = |wall: f64| {
        let found = coil.outside.exchange(air, wall, &frost);
        (found.total_w() - inner * (wall - inside), found)
    };
    let (mut low, mut high) = (inside, air.kelvin.max(inside + 0.1));
    let (mut at_low, mut at_high) = (off(low).0, off(high).0);
    let mut last = 0;
    for _ in 0..24 {
        let middle = (low * at_high - high * at_low) / (at_high - at_low);
        let (value, found) = off(middle);
        if value.abs() < 1e-9 * inner || (high - low) < 1e-10 || !middle.is_finite() {
            return WetHeat { total: inner * (middle - inside), sensible: found.sensible_w };
        }
        if value > 0.0 {
            (low, at_low) = (middle, value);
            if last == 1 {
                at_high *= 0.5;
            }
            last = 1;
        } else {
            (high, at_high) = (middle, value);
            if last == -1 {
                at_low *= 0.5;
            }
            last = -1;
        }
    }
    let found = off(0.5 * (low + high)).1;
    WetHeat { total: found.total_w(), sensible: found.sensible_w }
}

/// The zones of a condenser; `end` is how far the liquid comes to the air's temperature: 1 - e^(-end) of the way.
pub(super) fn condense(
    coil: &Coil,
    air: &Air,
    edges: &Edges,
    flow: f64,
    h_in: f64,
    h_out: f64,
    end: f64,
) -> Zones {
    let over = |kelvin: f64| above(kelvin - air.kelvin, 0.05);
    let wall = 0.8 * air.kelvin + 0.2 * edges.dew;
    let through = |inside: f64| coil.through(air, wall, inside);
    let superheat = edges.superheat(h_in);
    let vapour = if superheat > 0.0 {
        let heat = (h_in - edges.h_v) / superheat;
        let log = libm::log(over(edges.dew + superheat) / over(edges.dew));
        flow * heat * log / through(coil.inside.vapour)
    } else {
        0.0
    };
    let mean = 0.5 * (edges.dew + edges.wet_kelvin(edges.quality(h_out)));
    let from = h_in.min(edges.h_v);
    let wet = flow * (from - h_out.max(edges.h_l)) / (through(coil.inside.condensing) * over(mean));
    let liquid = flow * edges.cp_l * end.max(0.0) / through(coil.inside.liquid);
    Zones { vapour, wet, liquid }
}

impl Curves {
    /// Liquid, or liquid and vapour, before a metering device.
    pub(super) fn source(&self, edges: &Edges, pascal: f64, h: f64) -> Source {
        let quality = edges.quality(h);
        if quality <= 0.0 {
            let kelvin = edges.bubble - (edges.h_l - h) / edges.cp_l;
            let saturation = self.pressures(kelvin).0.min(pascal);
            let cold = self.at(saturation);
            let expansion = Expansion::boiling(&cold.boiling(saturation));
            return Source::liquid(pascal, cold.rho_l, LIQUID_VISCOSITY, expansion, saturation);
        }
        let (rho, void) = edges.mixed(quality);
        let boiling = Expansion::boiling(&edges.boiling(pascal));
        let expansion = Expansion::mixed(&Expansion::gas(edges.kappa), &boiling, void);
        let viscosity = void * VAPOUR_VISCOSITY + (1.0 - void) * LIQUID_VISCOSITY;
        Source::expanding(pascal, rho, viscosity, expansion)
    }
}

impl Edges {
    const fn boiling(&self, pascal: f64) -> Boiling {
        Boiling {
            liquid_kg_per_m3: self.rho_l,
            vapour_kg_per_m3: self.rho_v,
            liquid_cp_j_per_kg_k: self.cp_l,
            vaporisation_j_per_kg: self.h_v - self.h_l,
            temperature_k: self.bubble,
            saturation_pa: pascal,
        }
    }

    /// Density without slip, and the vapour's part of the volume.
    fn mixed(&self, quality: f64) -> (f64, f64) {
        let x = quality.clamp(0.0, 1.0);
        let volume = x / self.rho_v + (1.0 - x) / self.rho_l;
        (1.0 / volume, x / self.rho_v / volume)
    }

    /// Slope of the saturation curve by Clausius and Clapeyron, Pa/K.
    pub(super) fn slope(&self) -> f64 {
        (self.h_v - self.h_l) / (self.dew * (1.0 / self.rho_v - 1.0 / self.rho_l))
    }
}

impl SteadyPlant {
    /// Behind the crankcase pressure regulator, Pa.
    pub(super) fn behind_crankcase_regulator(&self, pascal: f64) -> f64 {
        self.crankcase.map_or(pascal, |most| pascal - above(pascal - most, 0.02 * most))
    }

    /// Enthalpy after the suction line, J/kg, and the heat that it takes up, W.
    pub(super) fn line_gain(&self, ask: &SteadyAsk, edges: &Edges, flow: f64, h: f64) -> (f64, f64) {
        let superheat = edges.superheat(h);
        let kelvin = if superheat > 0.0 { edges.dew + superheat } else { edges.wet_kelvin(edges.quality(h)) };
        let capacity = (flow * (edges.vapour(6.0).h - edges.h_v) / 6.0).max(1e-9);
        let passed = capacity * -libm::expm1(-self.suction_w_per_k * ask.tuning.line / capacity);
        let heat = passed * (ask.outdoor_k - kelvin);
        (h + heat / flow.max(1e-9), heat)
    }

    /// What the compressors draw from a pressure against another.
    pub(super) fn compress(&self, ask: &SteadyAsk, from: f64, to: f64, h: f64) -> Drawn {
        let (low, high) = (self.curves.at(from), self.curves.at(to));
        let superheat = low.superheat(h);
        let state = low.vapour(superheat);
        let wet = (1.0 - low.quality(h)).max(0.0);
        let (rho, s) = if wet > 0.0 {
            (low.mixed(1.0 - wet).0, state.s - wet * (low.h_v - low.h_l) / low.dew)
        } else {
            (state.rho, state.s)
        };
        let hot = high.vapour(0.0);
        let h_ideal = if s < hot.s {
            hot.h - (hot.s - s) * high.dew
        } else {
            high.vapour(high.superheat_by_entropy(s)).h
        };
        let tuning = &ask.tuning;
        let mut machine = self.machine;
        machine.swept_m3_per_s *= tuning.swept;
        machine.proportional_loss *= tuning.losses;
        machine.friction_pa *= tuning.losses;
        let suction = Suction { pa: from, kg_per_m3: rho, exponent: low.kappa };
        let running = machine.run_with(&suction, to, 1.0, (h_ideal - h).max(0.0));
        let power = running.shaft_w() / MOTOR;
        let shell = SHELL * tuning.shell * power;
        let (into_gas, shell) = if self.motor_in_refrigerant {
            (power - shell, shell)
        } else {
            (running.shaft_w() - shell, shell + power - running.shaft_w())
        };
        let flow = running.flow.kg_per_s * (1.0 - ask.faults.leak_back);
        Drawn { flow, h_out: h + into_gas / flow.max(1e-9), power, shell }
    }

    /// Everything at a guess: logarithms of suction and condensing pressure, and the end of the condenser or the receiver's level.
    pub(super) fn look(&self, ask: &SteadyAsk, x: [f64; 3]) -> Look {
        let (p_low, p_condensing) = (libm::exp(x[0]), libm::exp(x[1]));
        let edges = self.curves.at(p_condensing);
        let p_air = ask.faults.air_kg * AIR_GAS * edges.dew / self.air_room.max(1e-9);
        let p_discharge = p_condensing + p_air;
        let end = self.end(ask, &edges, x[2]);
        let source =
            self.curves.source(&edges_at(&self.curves, p_air, p_discharge, &edges), p_discharge, end.h);
        let coils: Vec<SteadyCoil> =
            self.feeds.iter().map(|feed| self.feed(ask, feed, p_low, end.h, &source)).collect();
        let flow: f64 = coils.iter().map(|coil| coil.kg_per_s).sum();
        let h_mixed = coils.iter().map(|coil| coil.kg_per_s * coil.h_out).sum::<f64>() / flow.max(1e-12);
        let low = self.curves.at(p_low);
        let (h_suction, line_w) = self.line_gain(ask, &low, flow, h_mixed);
        let p_suction = self.behind_crankcase_regulator(p_low);
        let drawn = self.compress(ask, p_suction, p_discharge, h_suction);
        let fan = ask.faults.condenser_air;
        let coil = self.condenser.tuned(ask.tuning.condenser, ask.tuning.condenser_fan);
        let air = coil.air(ask.outdoor_k, 0.0, ask.air_pa, fan);
        let zones = condense(&coil, &air, &edges, flow, drawn.h_out, end.h, end.exponent);
        let whole = zones.vapour + zones.wet + zones.liquid;
        let full = match self.head {
            Some(set) => (whole - 1.0).max(5.0 * (1.0 - p_condensing / set)),
            None => whole - 1.0,
        };
        let at_suction = self.curves.at(p_suction);
        let superheat = at_suction.superheat(h_suction);
        let mut look = Look {
            p_suction,
            p_discharge,
            t_suction: if superheat > 0.0 {
                at_suction.dew + superheat
            } else {
                at_suction.wet_kelvin(at_suction.quality(h_suction))
            },
            edges_low: Some(at_suction),
            drawn,
            t_discharge: edges.dew + edges.superheat(drawn.h_out),
            t_liquid: end.kelvin,
            t_end: self.line_end(ask, &coils, &source, p_discharge, &end),
            quality: end.quality,
            zones: [zones.vapour, zones.wet, zones.liquid + (1.0 - whole).max(0.0)],
            t_air_off: ask.outdoor_k + flow * (drawn.h_out - end.h) / (air.kg_per_s * AIR_CP).max(1e-9),
            level: self.has_receiver().then(|| x[2].clamp(0.0, 1.0)),
            flow,
            line_w,
            coils,
            ..Look::default()
        };
        look.subcooling = edges_at(&self.curves, p_air, p_discharge, &edges).bubble - end.kelvin;
        look.masses = self.masses(&look, &edges, &low, h_mixed);
        look.mass = look.masses.all() + look.coils.iter().map(|coil| coil.kg).sum::<f64>();
        let charge = self.nameplate * ask.faults.charge;
        let takes = (self.nameplate - self.elsewhere) * (ask.tuning.charge - 1.0) + self.elsewhere;
        look.off = [
            libm::log(drawn.flow.max(1e-12) / flow.max(1e-12)),
            full,
            (look.mass + takes - charge) / self.nameplate.max(1e-9),
        ];
        look
    }

    /// What leaves the condenser, or the receiver behind it.
    fn end(&self, ask: &SteadyAsk, edges: &Edges, along: f64) -> End {
        let beyond = if self.has_receiver() { along - 1.0 } else { along };
        let wet = if self.has_receiver() { (-along).max(0.0) } else { (-beyond).max(0.0) }.min(1.0);
        let exponent = beyond.max(0.0);
        let over = above(edges.bubble - ask.outdoor_k, 0.05);
        let subcooling = over * -libm::expm1(-exponent);
        let h = edges.h_l - edges.cp_l * subcooling + wet * (edges.h_v - edges.h_l);
        let kelvin = if wet > 0.0 { edges.wet_kelvin(wet) } else { edges.bubble - subcooling };
        End { h, kelvin, quality: wet, exponent }
    }

    /// An evaporator with what feeds it: by the opening, or where the valve and the superheat agree.
    fn feed(&self, ask: &SteadyAsk, feed: &Feed, p_low: f64, h_in: f64, source: &Source) -> SteadyCoil {
        let pascal = feed.floor.map_or(p_low, |floor| p_low + above(floor - p_low, 0.02 * floor));
        let edges = self.curves.at(pascal);
        let first = self.feeds.first().map_or(feed.coil.air_k, |first| first.coil.air_k);
        let kelvin = ask.indoor_k + feed.coil.air_k - first;
        let coil = feed.coil.tuned(ask.tuning.evaporator, ask.tuning.evaporator_fan);
        let air = coil.air(kelvin, ask.humidity, ask.air_pa, ask.faults.evaporator_air);
        let wet = wet_heat(&coil, &air, &edges, edges.quality(h_in));
        let stage = Stage { coil: &coil, air: &air, edges: &edges, wet, h_in, pascal };
        let factor = ask.faults.metering * ask.tuning.opening;
        let full = factor * feed.meter.full(source, pascal);
        let narrow = feed.meter.narrow(ask.faults.restriction, full / factor.max(1e-9));
        let passes = |open: f64| {
            let device = full * open;
            narrow.map_or(device, |narrow| device * narrow / (device * device + narrow * narrow).sqrt())
        };
        let open_at =
            |it: &SteadyCoil| feed.meter.open(&self.curves, &stage, it, &ask.tuning, ask.faults.bulb_k);
        if feed.meter.is_fixed() {
            let mut found = stage.with(passes(1.0));
            found.open = 1.0;
            return found;
        }
        // More flow is less superheat, which shuts the valve.
        let gap = |flow: f64| {
            let it = stage.with(flow);
            (passes(open_at(&it)) - flow, it)
        };
        let (mut less, mut more) =
            (passes(feed.meter.leak()), passes(1.0 + feed.meter.leak()) * (1.0 + 1e-9));
        let (mut at_less, mut at_more) = (gap(less).0.max(0.0), gap(more).0.min(0.0));
        let mut last = 0;
        let mut found = stage.with(less);
        for _ in 0..60 {
            if at_less <= 0.0 || more - less < 1e-12 * more {
                break;
            }
            let middle = (less * at_more - more * at_less) / (at_more - at_less);
            let (value, it) = gap(middle);
            found = it;
            if value.abs() < 1e-11 * more {
                break;
            }
            if value > 0.0 {
                (less, at_less) = (middle, value);
                if last == 1 {
                    at_more *= 0.5;
                }
                last = 1;
            } else {
                (more, at_more) = (middle, value);
                if last == -1 {
                    at_less *= 0.5;
                }
                last = -1;
            }
        }
        found.open = open_at(&found).min(1.0);
        found
    }

    /// The liquid line's end, behind a restriction: as cold as what flashes there.
    fn line_end(
        &self,
        ask: &SteadyAsk,
        coils: &[SteadyCoil],
        source: &Source,
        p_high: f64,
        end: &End,
    ) -> f64 {
        let Some((feed, coil)) = self.feeds.first().zip(coils.first()) else { return end.kelvin };
        let open = feed.meter.full(source, coil.pascal);
        let Some(narrow) = feed.meter.narrow(ask.faults.restriction, open) else { return end.kelvin };
        let part = (coil.kg_per_s / narrow.max(1e-12)).min(1.0);
        let between = p_high - (p_high - coil.pascal) * part * part;
        self.curves.at(between).bubble.min(end.kelvin)
    }

    fn masses(&self, look: &Look, edges: &Edges, low: &Edges, h_low: f64) -> Masses {
        let [vapour, wet, liquid] = look.zones;
        let whole = (vapour + wet + liquid).max(1e-9);
        let cold = self.curves.at(self.curves.pressures(look.t_liquid).0);
        let hot = edges.vapour(edges.superheat(look.drawn.h_out));
        let liquid_rho = if look.quality > 0.0 { edges.mixed(look.quality).0 } else { cold.rho_l };
        let quality = low.quality(h_low);
        let gas = if quality < 1.0 { low.mixed(quality).0 } else { low.vapour(low.superheat(h_low)).rho };
        let standing = ((1.0 - quality) / BLED).clamp(0.0, 1.0);
        let level = look.level.unwrap_or(0.0);
        Masses {
            condenser: self.condenser.volume / whole
                * (vapour * 0.5 * (hot.rho + edges.rho_v)
                    + wet * edges.mean_density(look.quality, 1.0)
                    + liquid * 0.5 * (edges.rho_l + cold.rho_l)),
            discharge: self.discharge.volume * hot.rho,
            liquid: self.liquid.volume * liquid_rho,
            receiver: self.receiver.volume * (level * edges.rho_l + (1.0 - level) * edges.rho_v),
            suction: self.suction.volume * gas,
            accumulator: self.accumulator.volume
                * (standing * low.rho_l + (1.0 - standing) * low.rho_v.min(gas)),
        }
    }

    /// The answer from the last look.
    pub(super) fn answer(&self, ask: &SteadyAsk, x: [f64; 3], look: Look, evaluations: u32) -> SteadyBalance {
        let low = look.edges_low.unwrap_or_else(|| self.curves.at(look.p_suction));
        let mut charge_kg: Vec<(SpaceId, f64)> = Vec::new();
        for (held, kg) in [
            (&self.discharge, look.masses.discharge),
            (&self.liquid, look.masses.liquid),
            (&self.receiver, look.masses.receiver),
            (&self.suction, look.masses.suction),
            (&self.accumulator, look.masses.accumulator),
        ] {
            charge_kg.extend(held.spaces.iter().map(|(space, volume)| (*space, kg * volume / held.volume)));
        }
        let each = 1.0 / self.condenser.spaces.len().max(1) as f64;
        charge_kg.extend(self.condenser.spaces.iter().map(|space| (*space, look.masses.condenser * each)));
        for (feed, coil) in self.feeds.iter().zip(&look.coils) {
            charge_kg.extend(feed.coil.spaces.iter().map(|space| (*space, coil.kg)));
        }
        charge_kg.sort_by_key(|(space, _)| space.index());
        let air_flow: f64 = self.feeds.iter().map(|feed| feed.coil.outside.nominal_kg_per_s).sum();
        let takes = (self.nameplate - self.elsewhere) * (ask.tuning.charge - 1.0) + self.elsewhere;
        SteadyBalance {
            suction_pa: look.p_suction,
            discharge_pa: look.p_discharge,
            evaporating_k: low.dew,
            condensing_k: look.t_liquid + look.subcooling,
            condensing_dew_k: self.curves.at(look.p_discharge).dew,
            suction_line_k: look.t_suction,
            superheat_k: (look.t_suction - low.dew).max(0.0),
            discharge_line_k: look.t_discharge,
            liquid_line_k: look.t_liquid,
            liquid_end_k: look.t_end,
            subcooling_k: look.subcooling,
            liquid_quality: look.quality,
            condenser_off_k: look.t_air_off,
            evaporator_air_m3_per_s: air_flow
                * ask.tuning.evaporator_fan
                * ask.faults.evaporator_air
                * AIR_GAS
                * ask.indoor_k
                / ask.air_pa,
            kg_per_s: look.flow,
            capacity_w: look.coils.iter().map(|coil| coil.heat_w).sum(),
            line_w: look.line_w,
            power_w: look.drawn.power,
            rejected_w: (look.t_air_off - ask.outdoor_k) * self.condenser_air(ask),
            shell_w: look.drawn.shell,
            zones: look.zones,
            receiver_level: look.level,
            charge_kg,
            elsewhere_kg: takes,
            evaluations,
            evaporators: look.coils,
            x,
        }
    }

    /// Heat that the condenser's air takes for each kelvin, W/K.
    fn condenser_air(&self, ask: &SteadyAsk) -> f64 {
        self.condenser.outside.nominal_kg_per_s
            * ask.tuning.condenser_fan
            * ask.faults.condenser_air.max(0.0)
            * AIR_CP
    }
}

/// Both ends of the dome at the pressure that air has raised.
fn edges_at(curves: &Curves, air: f64, pascal: f64, edges: &Edges) -> Edges {
    if air > 0.0 { curves.at(pascal) } else { *edges }
}

impl Masses {
    fn all(&self) -> f64 {
        self.condenser + self.discharge + self.liquid + self.receiver + self.suction + self.accumulator
    }
}

/// What leaves the condenser.
struct End {
    h: f64,
    kelvin: f64,
    quality: f64,
    exponent: f64,
}

/// An evaporator under given air, at a pressure.
struct Stage<'a> {
    coil: &'a Coil,
    air: &'a Air,
    edges: &'a Edges,
    wet: WetHeat,
    h_in: f64,
    pascal: f64,
}

impl Stage<'_> {
    /// With that flow, kg/s.
    fn with(&self, flow: f64) -> SteadyCoil {
        let edges = self.edges;
        let flow = flow.max(1e-9);
        let needed = flow * (edges.h_v - self.h_in);
        let start = edges.quality(self.h_in);
        let mut found = SteadyCoil {
            pascal: self.pascal,
            kg_per_s: flow,
            wet: 1.0,
            quality: 1.0,
            ..SteadyCoil::default()
        };
        let density;
        if needed >= self.wet.total {
            found.heat_w = self.wet.total;
            found.sensible_w = self.wet.sensible;
            found.h_out = self.h_in + self.wet.total / flow;
            found.quality = edges.quality(found.h_out);
            found.outlet_k = edges.wet_kelvin(found.quality);
            density = edges.mean_density(start, found.quality);
        } else {
            let wet = needed / self.wet.total;
            let heat = (edges.vapour(6.0).h - edges.h_v) / 6.0;
            let through = self.coil.through(self.air, edges.dew + 2.0, self.coil.inside.vapour);
            let over = self.air.kelvin - edges.dew;
            let nearer = -libm::expm1(-through * (1.0 - wet) / (flow * heat));
            found.superheat_k = (over * nearer).max(0.0);
            let vapour = edges.vapour(found.superheat_k);
            (found.outlet_k, found.h_out, found.wet) = (vapour.t, vapour.h, wet);
            let dry = flow * (vapour.h - edges.h_v);
            found.heat_w = needed + dry;
            found.sensible_w = self.wet.sensible * wet + dry;
            density = wet * edges.mean_density(start, 1.0) + (1.0 - wet) * 0.5 * (edges.rho_v + vapour.rho);
        }
        found.kg = self.coil.volume * density;
        found.air_off_k = self.air.kelvin - found.sensible_w / (self.air.kg_per_s * AIR_CP).max(1e-9);
        found
    }
}

impl Meter {
    const fn is_fixed(&self) -> bool {
        matches!(self, Self::Orifice(_) | Self::Capillary(_))
    }

    /// What passes it fully open, kg/s.
    fn full(&self, source: &Source, down_pa: f64) -> f64 {
        match self {
            Self::Orifice(opening) | Self::Electronic { opening, .. } => {
                opening.into_pressure(source, down_pa)
            }
            Self::Valve(valve) => valve.opening.into_pressure(source, down_pa),
            Self::Capillary(capillary) => capillary.into_pressure(source, down_pa),
        }
        .kg_per_s
        .max(1e-12)
    }

    /// What a restriction would pass alone, by the part of the pressure difference that it takes where the device is open as at the design point.
    fn narrow(&self, part: f64, full: f64) -> Option<f64> {
        let open = if self.is_fixed() { 1.0 } else { 2.0 / 3.0 };
        (part > 0.0).then(|| full * open * ((1.0 - part.min(0.999)) / part).sqrt())
    }

    /// How far a shut one is open.
    fn leak(&self) -> f64 {
        match self {
            Self::Valve(valve) => valve.bleed_m2 / valve.opening.area_m2,
            Self::Electronic { leak, .. } => *leak,
            _ => 1.0,
        }
    }

    /// How far it is open for what leaves the evaporator.
    fn open(
        &self,
        curves: &Curves,
        stage: &Stage<'_>,
        it: &SteadyCoil,
        tuning: &SteadyTuning,
        bulb_k: f64,
    ) -> f64 {
        match self {
            Self::Valve(valve) => {
                let mut valve = *valve;
                valve.static_superheat_k *= tuning.superheat;
                let bulb = curves.pressures(it.outlet_k + bulb_k).1;
                let (position, ..) = valve.position(bulb, stage.pascal, stage.edges.slope());
                valve.opened(position).area_m2 / valve.opening.area_m2
            }
            Self::Electronic { target, held, at, leak, .. } => {
                let off = it.superheat_k + bulb_k - target * tuning.superheat;
                leak + (at + off / held).clamp(0.0, 1.0)
            }
            _ => 1.0,
        }
    }
}
