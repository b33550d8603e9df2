//! Simulated circuits with faults that the ranker has not seen: other volumes, heat transfer, fans, compressors and settings than the file says,
//! pressure drops that its balance leaves out, and instruments that are off by anything within their class.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]
#![allow(dead_code, reason = "not every test uses all of it")]

use stemwise_circuit::{Assembly, Circuit, Rig, examples, read};
use stemwise_readings::{
    Evidence, FaultKind, FaultRanker, Instrument, Item, Measured, MeteringKind, ModelRanker, Ranking,
    Reading, ReadingSet, Value, standards, work_out,
};
use stemwise_rehearse::{SteadyAsk, SteadyBalance, SteadyKind, SteadyPlant};
use stemwise_thermo::Substance;
use stemwise_units::{Pressure, PressureDifference};

/// SplitMix64 (G. L. Steele, D. Lea & C. H. Flood, OOPSLA 2014).
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) const fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Anywhere between.
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Normal, by the sum of twelve.
    pub(crate) fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.between(0.0, 1.0)).sum::<f64>() - 6.0
    }
}

/// One system: what its file says, and some that were built by it.
pub(crate) struct System {
    pub(crate) name: &'static str,
    pub(crate) substance: Substance,
    pub(crate) plant: SteadyPlant,
    built: Vec<SteadyPlant>,
}

fn circuit(name: &str) -> Circuit {
    let text = examples().iter().find(|it| it.name == name).unwrap().text;
    read(text.as_bytes()).circuit.unwrap()
}

impl System {
    pub(crate) fn new(name: &'static str, dice: &mut Dice) -> Self {
        let circuit = circuit(name);
        let substance = Substance::named(&circuit.refrigerant).unwrap();
        let plant = |circuit| SteadyPlant::new(&substance, &Assembly::new(circuit, Rig::usual())).unwrap();
        let built = (0..24)
            .map(|_| {
                let mut other = circuit.clone();
                for space in &mut other.graph.spaces {
                    space.volume.value = space.volume.value * libm::exp(0.06 * dice.normal());
                    if let Some(approach) = &mut space.approach {
                        approach.value = approach.value * libm::exp(0.05 * dice.normal());
                    }
                }
                plant(other)
            })
            .collect();
        Self { name, plant: plant(circuit), built, substance }
    }
}

/// What is wrong with a simulated circuit, and what was read there.
pub(crate) struct Case {
    pub(crate) faults: Vec<(FaultKind, f64)>,
    pub(crate) ranking: Ranking,
    /// The same with what it showed when it was well.
    pub(crate) with_healthy: Option<Ranking>,
}

/// Sizes that are drawn: from what just shows to what a system still runs with.
fn drawn(kind: FaultKind, by_bulb: bool, dice: &mut Dice) -> f64 {
    match kind {
        FaultKind::Undercharge => dice.between(0.10, 0.45),
        FaultKind::Overcharge => dice.between(0.10, 0.45),
        FaultKind::NonCondensables => dice.between(0.6, 4.0),
        FaultKind::LiquidRestriction => dice.between(0.30, 0.85),
        FaultKind::MeteringStarved if by_bulb => dice.between(3.0, 9.0),
        FaultKind::MeteringFlooding if by_bulb => dice.between(2.5, 9.0),
        FaultKind::MeteringStarved => dice.between(0.2, 0.6),
        FaultKind::MeteringFlooding => dice.between(0.25, 1.2),
        FaultKind::CondenserFouling | FaultKind::EvaporatorFouling => dice.between(0.25, 0.80),
        FaultKind::CompressorValves => dice.between(0.12, 0.5),
    }
}

fn pick(dice: &mut Dice) -> FaultKind {
    FaultKind::ALL[(dice.between(0.0, FaultKind::ALL.len() as f64) as usize).min(FaultKind::ALL.len() - 1)]
}

/// None, one, or two faults: 25, 65 and 10 in a hundred.
fn wrong(dice: &mut Dice) -> Vec<FaultKind> {
    let luck = dice.between(0.0, 1.0);
    let first = pick(dice);
    if luck < 0.25 {
        return Vec::new();
    }
    if luck < 0.90 {
        return vec![first];
    }
    loop {
        let second = pick(dice);
        if first.beside(second) {
            let mut both = vec![first, second];
            both.sort_unstable();
            return both;
        }
    }
}

/// The air of a service call.
fn weather(system: &System, dice: &mut Dice) -> SteadyAsk {
    let mut ask = *system.plant.design();
    ask.outdoor_k = dice.between(293.0, 311.0);
    ask.indoor_k += dice.between(-2.5, 2.5);
    // The balance takes the humidity of its design where nobody reads the wet bulb: a cold room is damper than a living room.
    ask.humidity = (ask.humidity + dice.between(-0.15, 0.15)).clamp(0.2, 0.95);
    ask
}

/// A sound circuit as it was built.
fn built(ask: &mut SteadyAsk, dice: &mut Dice) {
    let mut spread = |value: &mut f64, standard: f64| *value *= libm::exp(standard * dice.normal());
    let tuning = &mut ask.tuning;
    spread(&mut tuning.condenser, 0.06);
    spread(&mut tuning.evaporator, 0.06);
    spread(&mut tuning.condenser_fan, 0.05);
    spread(&mut tuning.evaporator_fan, 0.05);
    spread(&mut tuning.swept, 0.025);
    spread(&mut tuning.losses, 0.08);
    spread(&mut tuning.opening, 0.03);
    spread(&mut tuning.superheat, 0.12);
    spread(&mut tuning.shell, 0.25);
    spread(&mut tuning.line, 0.25);
    spread(&mut tuning.charge, 0.015);
}

/// The readings of a balance with what it leaves out.
fn readings(found: &SteadyBalance, ask: &SteadyAsk, dice: &mut Dice) -> Vec<(Reading, f64)> {
    let first = found.evaporators[0];
    let lines = dice.between(0.0, 0.025);
    let discharge = dice.between(0.0, 4.0);
    vec![
        (Reading::SuctionPressure, found.suction_pa * (1.0 - lines)),
        (Reading::DischargePressure, found.discharge_pa * (1.0 + 0.006 * dice.normal())),
        (Reading::SuctionLine, found.suction_line_k + 0.5 * dice.normal()),
        (Reading::EvaporatorOutlet, first.outlet_k + 0.5 * dice.normal()),
        (Reading::LiquidLine, found.liquid_line_k - dice.between(0.0, 0.6)),
        (Reading::LiquidLineEnd, found.liquid_end_k - dice.between(0.0, 0.6)),
        (Reading::DischargeLine, found.discharge_line_k - discharge),
        (Reading::OntoCondenser, ask.outdoor_k),
        (Reading::OffCondenser, found.condenser_off_k + 0.4 * dice.normal()),
        (Reading::OntoEvaporator, ask.indoor_k),
        (Reading::OffEvaporator, first.air_off_k + 0.4 * dice.normal()),
        (Reading::Power, found.power_w * (1.0 + 0.015 * dice.normal())),
    ]
}

fn instrument(reading: Reading) -> Instrument {
    let words = match reading.measured() {
        Measured::Pressure => "1 % of reading",
        Measured::Temperature
            if matches!(
                reading,
                Reading::OntoCondenser
                    | Reading::OffCondenser
                    | Reading::OntoEvaporator
                    | Reading::OffEvaporator
            ) =>
        {
            "0.5 K, immersed"
        }
        Measured::Temperature => "0.7 K, insulated",
        _ => "2 % of reading",
    };
    Instrument::parse(words, reading.measured()).unwrap()
}

/// One call: none where the system would not run so, or where the fault makes no difference that anybody would call one.
pub(crate) fn case(system: &System, dice: &mut Dice, healthy: bool) -> Option<Case> {
    let by_bulb = system.plant.kind() == SteadyKind::BySuperheat;
    let plant =
        &system.built[(dice.between(0.0, system.built.len() as f64) as usize).min(system.built.len() - 1)];
    let mut ask = weather(system, dice);
    built(&mut ask, dice);
    let well = plant.solve(&ask).ok()?;
    let faults: Vec<(FaultKind, f64)> =
        wrong(dice).into_iter().map(|kind| (kind, drawn(kind, by_bulb, dice))).collect();
    for (kind, size) in &faults {
        // Each by itself must cost 4 % of capacity or of efficiency.
        let mut alone = ask;
        kind.put(*size, plant, &mut alone);
        let found = plant.solve(&alone).ok()?;
        let part = |now: f64, was: f64| (now / was - 1.0).abs();
        let cop = |it: &SteadyBalance| it.capacity_w / it.power_w;
        if part(found.capacity_w, well.capacity_w) < 0.04 && part(cop(&found), cop(&well)) < 0.04 {
            return None;
        }
    }
    faults.iter().for_each(|(kind, size)| kind.put(*size, plant, &mut ask));
    let found = plant.solve(&ask).ok()?;
    let metering = if by_bulb { MeteringKind::Thermostatic } else { MeteringKind::Fixed };
    let true_readings = readings(&found, &ask, dice);
    let set = read_off(system, true_readings, metering, dice);
    let ranking = rank(system, &set, &[]);
    let with_healthy = healthy.then(|| rank(system, &set, &of_well(&well, dice)));
    Some(Case { faults, ranking, with_healthy })
}

/// What instruments make of what is there, each off by anything within its class.
pub(crate) fn read_off<'s>(
    system: &'s System,
    there: Vec<(Reading, f64)>,
    metering: MeteringKind,
    dice: &mut Dice,
) -> ReadingSet<'s> {
    let items = there
        .into_iter()
        .map(|(reading, value)| {
            let instrument = instrument(reading);
            let gauge = if reading.measured() == Measured::Pressure { value - 101_325.0 } else { value };
            let off = instrument.limit(value, gauge);
            Item { reading, value: Value::Si(value + dice.between(-off, off)), instrument: Some(instrument) }
        })
        .collect();
    ReadingSet {
        substance: &system.substance,
        atmosphere: Pressure::from_pa(101_325.0),
        atmosphere_within: PressureDifference::from_kpa(0.1),
        items,
        metering,
        phases: 1,
        given_targets: Vec::new(),
    }
}

/// What somebody noted when it was well, each within 1.5 K.
fn of_well(well: &SteadyBalance, dice: &mut Dice) -> Vec<(String, f64, f64)> {
    let shown = [
        ("superheat", well.superheat_k),
        ("subcooling", well.subcooling_k),
        ("evaporating", well.evaporating_k),
        ("condensing-dew", well.condensing_dew_k),
        ("discharge-line", well.discharge_line_k - 2.0),
    ];
    shown.map(|(id, value)| (id.to_owned(), value + 0.7 * dice.normal(), 1.5)).into()
}

pub(crate) fn rank(system: &System, set: &ReadingSet<'_>, healthy: &[(String, f64, f64)]) -> Ranking {
    let worked = work_out(set);
    let readings: Vec<(Reading, f64)> = set
        .items
        .iter()
        .map(|item| match item.value {
            Value::Gauge(gauge) => (item.reading, gauge + set.atmosphere.as_pa()),
            Value::Si(si) => (item.reading, si),
        })
        .collect();
    let standards = standards(set);
    let evidence = Evidence {
        worked: &worked,
        readings: &readings,
        standards: &standards,
        metering: set.metering,
        healthy,
    };
    ModelRanker { plant: &system.plant, atmosphere_pa: set.atmosphere.as_pa() }.rank(&evidence)
}

/// What came of many calls.
#[derive(Default)]
pub(crate) struct Tally {
    pub(crate) all: u32,
    pub(crate) first: u32,
    pub(crate) fell_back: u32,
    pub(crate) sized: u32,
    pub(crate) within: u32,
    /// For each tenth of stated probability: suspects, the sum of their probabilities, how many were so.
    pub(crate) tenths: [(u32, f64, u32); 10],
    pub(crate) confused: Vec<(String, String, u32)>,
    pub(crate) added_wrongly: u32,
    pub(crate) may_add: u32,
}

impl Tally {
    pub(crate) fn count(&mut self, case: &Case) {
        let truth = if case.faults.is_empty() {
            "none".to_owned()
        } else {
            case.faults.iter().map(|(kind, _)| kind.id()).collect::<Vec<_>>().join("+")
        };
        self.all += 1;
        if !case.ranking.calibrated {
            self.fell_back += 1;
        }
        // By published signs there may be no suspect at all.
        let first = case.ranking.suspects.first();
        let named = first.map_or_else(|| "no suspect".to_owned(), |first| first.id.clone());
        if named == truth {
            self.first += 1;
            if let (Some((low, high)), Some((_, size))) = (first.and_then(|it| it.size), case.faults.first())
            {
                self.sized += 1;
                self.within += u32::from(low <= *size && *size <= high);
            }
        }
        let pair = (truth.clone(), named);
        match self.confused.iter_mut().find(|(a, b, _)| *a == pair.0 && *b == pair.1) {
            Some((.., count)) => *count += 1,
            None => self.confused.push((pair.0, pair.1, 1)),
        }
        for suspect in &case.ranking.suspects {
            let tenth = &mut self.tenths[((suspect.weight * 10.0) as usize).min(9)];
            tenth.0 += 1;
            tenth.1 += suspect.weight;
            tenth.2 += u32::from(suspect.id == truth);
        }
        if case.ranking.may_add == stemwise_readings::MayAdd::Yes {
            self.may_add += 1;
            self.added_wrongly += u32::from(!truth.contains("undercharge"));
        }
    }

    /// Both together.
    pub(crate) fn add(&mut self, other: &Self) {
        self.all += other.all;
        self.first += other.first;
        self.fell_back += other.fell_back;
        self.sized += other.sized;
        self.within += other.within;
        self.may_add += other.may_add;
        self.added_wrongly += other.added_wrongly;
        for (one, other) in self.tenths.iter_mut().zip(&other.tenths) {
            *one = (one.0 + other.0, one.1 + other.1, one.2 + other.2);
        }
        for (truth, said, count) in &other.confused {
            match self.confused.iter_mut().find(|(a, b, _)| a == truth && b == said) {
                Some((.., sum)) => *sum += count,
                None => self.confused.push((truth.clone(), said.clone(), *count)),
            }
        }
    }

    pub(crate) fn part(&self) -> f64 {
        f64::from(self.first) / f64::from(self.all.max(1))
    }

    pub(crate) fn covered(&self) -> f64 {
        f64::from(self.within) / f64::from(self.sized.max(1))
    }

    /// Two standard deviations of [`Self::covered`], were it 90 %.
    pub(crate) fn covered_chance(&self) -> f64 {
        2.0 * (0.9 * 0.1 / f64::from(self.sized.max(1))).sqrt()
    }

    /// By how much the worst tenth is off by more than so much and two and a half standard deviations of what it holds.
    pub(crate) fn beyond(&self, allowed: f64) -> f64 {
        let tenths = self.tenths.iter().filter(|(n, ..)| *n > 0);
        tenths
            .map(|(n, stated, so)| {
                let (n, stated) = (f64::from(*n), stated / f64::from(*n));
                let chance = 2.5 * (stated * (1.0 - stated) / n).sqrt();
                (stated - f64::from(*so) / n).abs() - allowed - chance
            })
            .fold(f64::MIN, f64::max)
    }

    /// The mean distance between stated and true part over the tenths, each by how many suspects it holds.
    pub(crate) fn unreliable(&self) -> f64 {
        let all: f64 = self.tenths.iter().map(|(n, ..)| f64::from(*n)).sum();
        self.tenths.iter().map(|(_, stated, so)| (stated - f64::from(*so)).abs()).sum::<f64>() / all.max(1.0)
    }

    /// The largest distance over the tenths with at least so many suspects.
    pub(crate) fn worst(&self, least: u32) -> f64 {
        self.tenths
            .iter()
            .filter(|(n, ..)| *n >= least)
            .map(|(n, stated, so)| (stated - f64::from(*so)).abs() / f64::from(*n))
            .fold(0.0, f64::max)
    }

    pub(crate) fn say(&self, name: &str) -> String {
        let mut wrong: Vec<&(String, String, u32)> =
            self.confused.iter().filter(|(a, b, _)| a != b).collect();
        wrong.sort_by_key(|(.., n)| core::cmp::Reverse(*n));
        let wrong: Vec<String> = wrong.iter().take(8).map(|(a, b, n)| format!("{a} as {b}: {n}")).collect();
        let tenths: Vec<String> = self
            .tenths
            .iter()
            .map(|(n, stated, so)| {
                format!(
                    "{:.2}/{:.2} ({n})",
                    stated / f64::from((*n).max(1)),
                    f64::from(*so) / f64::from((*n).max(1))
                )
            })
            .collect();
        format!(
            "{name}: {} circuits, first right {:.1} %, size within {:.1} % of {}, stated/true by tenths {}; mean off {:.3}, worst {:.3}; fell back {}; may add {} (wrongly {}); most often taken for another: {}",
            self.all,
            100.0 * self.part(),
            100.0 * self.covered(),
            self.sized,
            tenths.join(" "),
            self.unreliable(),
            self.worst(100),
            self.fell_back,
            self.may_add,
            self.added_wrongly,
            wrong.join(", ")
        )
    }
}
