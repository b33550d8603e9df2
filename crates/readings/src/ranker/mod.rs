//! Faults ranked by a model of this circuit: its steady balance fitted to the readings under each single fault and each plausible pair.
//!
//! What a file doesn't know of a circuit (heat transfer, air flow, losses, the charge that it takes) has a prior and is fitted along; instruments
//! count with their uncertainty, the balance with its own. Probabilities follow by Laplace's method (D. J. C. MacKay, Information Theory, Inference,
//! and Learning Algorithms, 2003, chapter 27) from even odds for each kind of fault; sizes have intervals that hold them with 90 %. Both are
//! compared with outcomes over simulated circuits in the tests.

mod bayes;
mod hypothesis;
mod linear;
mod observe;

use stemwise_rehearse::{SteadyAsk, SteadyBalance, SteadyPlant};

use crate::faults::{
    Evidence, FaultRanker, Feature, MayAdd, NextMeasurement, Ranking, SignRules, Suspect, chance_words, loss,
    minutes,
};
use crate::moist::{MoistAir, water_pa};
use crate::set::Reading;
use crate::uncertain::normal;
use bayes::{Fit, Known, Problem, felt};
use observe::{OBSERVED, by_part, own};

pub use hypothesis::FaultKind;

/// Prior odds: nothing wrong, one fault, two; assumed.
const NOTHING: f64 = 0.25;
const ONE: f64 = 0.65;
const TWO: f64 = 0.10;
/// Evidence counts for more than its own figures: over simulated circuits, which are off by less than the balance's doubts allow, stated
/// probabilities of 75 and 86 % were right in 90 and 95 %.
const SHARPER: f64 = 1.25;
/// Pairs are made of one of the first few and one of some more of the likeliest single faults.
const PAIRING: usize = 2;
const PAIRED: usize = 6;
/// Humidity where nobody read the wet bulb is known this well.
const HUMIDITY: f64 = 0.10;
/// Fewer readings than this decide nothing.
const FEWEST: usize = 5;
/// Suspects below this probability are not named.
const NAMED: f64 = 0.005;

/// Ranks by the circuit's own steady balance; by published signs where that can't be.
#[derive(Debug)]
pub struct ModelRanker<'a> {
    /// The circuit.
    pub plant: &'a SteadyPlant,
    /// The atmosphere, Pa.
    pub atmosphere_pa: f64,
}

/// What a derived value should be on this circuit under this air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expected {
    /// The derived value's id.
    pub id: &'static str,
    /// SI.
    pub value: f64,
    /// Standard uncertainty, SI: how well the circuit is known, and how well the balance describes it.
    pub standard: f64,
}

/// The source of what the balance foretells.
pub const BY_BALANCE: &str = "running balance of this circuit under this air, sizes from its file";

impl ModelRanker<'_> {
    /// What the derived values should be now; none without both air temperatures, or where there is no balance.
    pub fn expected(&self, evidence: &Evidence<'_>) -> Option<Vec<Expected>> {
        let problem = self.problem(evidence).ok()?;
        let list = problem.foretold_by(|found| derived(found, &problem.base))?;
        Some(list.into_iter().map(|(id, value, standard)| Expected { id, value, standard }).collect())
    }

    fn problem(&self, evidence: &Evidence<'_>) -> Result<Problem<'_>, String> {
        let value = |reading: Reading| {
            evidence.readings.iter().find(|(it, _)| *it == reading).map(|(_, value)| *value)
        };
        let standard = |reading: Reading| {
            evidence.standards.iter().find(|(it, _)| *it == reading).map_or(0.5, |(_, value)| *value)
        };
        let (Some(outdoor), Some(indoor)) = (value(Reading::OntoCondenser), value(Reading::OntoEvaporator))
        else {
            return Err("the air onto the condenser and onto the evaporator must both be read".into());
        };
        let humidity = value(Reading::WetBulbOnto).and_then(|wet| {
            let air = MoistAir::by_bulbs(indoor, wet, self.atmosphere_pa)?;
            let pascal = air.ratio * self.atmosphere_pa / (0.621_945 + air.ratio);
            Some((pascal / water_pa(indoor)?).clamp(0.02, 0.98))
        });
        let base = SteadyAsk {
            outdoor_k: outdoor,
            indoor_k: indoor,
            humidity: humidity.unwrap_or(self.plant.design().humidity),
            air_pa: self.atmosphere_pa,
            ..*self.plant.design()
        };
        let power = evidence.worked.get("power").map(|it| (it.value.value, it.value.standard));
        let read = OBSERVED.map(|reading| {
            let (value, standard) = match value(reading) {
                Some(value) => (value, standard(reading)),
                None if reading == Reading::Power => power?,
                None => return None,
            };
            let own = own(reading);
            if by_part(reading) {
                let part = standard / value;
                (value > 0.0).then(|| (libm::log(value), (part * part + own * own).sqrt()))
            } else {
                Some((value, (standard * standard + own * own).sqrt()))
            }
        });
        let air = [
            standard(Reading::OntoCondenser),
            standard(Reading::OntoEvaporator),
            if humidity.is_some() { 0.03 } else { HUMIDITY },
        ];
        let felt = felt(self.plant, &base);
        let mut problem = Problem { plant: self.plant, base, read, air, felt, known: None };
        problem.known = known(&problem, evidence);
        Ok(problem)
    }

    /// By published signs, with why and with what the balance expects.
    fn fall_back(&self, evidence: &Evidence<'_>, why: &str) -> Ranking {
        let expected = if evidence.healthy.is_empty() { self.expected(evidence) } else { None };
        let healthy: Vec<(String, f64, f64)> =
            expected.iter().flatten().map(|it| (it.id.to_owned(), it.value, 1.5 * it.standard)).collect();
        let with =
            Evidence { healthy: if healthy.is_empty() { evidence.healthy } else { &healthy }, ..*evidence };
        let mut ranking = SignRules.rank(&with);
        ranking
            .remarks
            .insert(0, format!("Ranked by published signs, not by the model of this circuit: {why}."));
        ranking
    }
}

impl FaultRanker for ModelRanker<'_> {
    fn rank(&self, evidence: &Evidence<'_>) -> Ranking {
        let problem = match self.problem(evidence) {
            Ok(problem) => problem,
            Err(why) => return self.fall_back(evidence, &why),
        };
        let count = problem.read.iter().flatten().count();
        let pressures = problem.read.iter().take(3).flatten().count();
        if count < FEWEST || pressures == 0 {
            let why =
                format!("{count} readings are too few for it; it takes {FEWEST}, a pressure among them");
            return self.fall_back(evidence, &why);
        }
        let Some(well) = problem.well() else {
            return self.fall_back(evidence, "it finds no running balance under this air");
        };
        let mut fits = hypotheses(&problem, &well, evidence);
        fits.sort_by(|one, other| other.1.total_cmp(&one.1));
        let Some((best, _)) = fits.first() else {
            return self.fall_back(evidence, "it finds no running balance under this air");
        };
        // The squares of so many standard normal numbers lie below this with 99.9 %.
        let most = count as f64 + 3.1 * (2.0 * count as f64).sqrt() + 4.0;
        if best.squares > most {
            let why = format!(
                "no fault makes it agree with the readings (squares {:.0}, expected {count}); a reading may be wrong, or the circuit differs from its file",
                best.squares
            );
            return self.fall_back(evidence, &why);
        }
        self.ranking(evidence, &problem, &fits)
    }
}

impl ModelRanker<'_> {
    fn ranking(&self, evidence: &Evidence<'_>, problem: &Problem<'_>, fits: &[(Fit, f64)]) -> Ranking {
        let foretold = problem.foretold();
        let features =
            foretold.as_ref().map_or_else(Vec::new, |(_, shown, spread)| features(problem, shown, spread));
        let suspects: Vec<Suspect> = fits
            .iter()
            .filter(|(_, weight)| *weight > NAMED)
            .map(|(fit, weight)| self.suspect(problem, fit, *weight, &features))
            .collect();
        let mut remarks = vec![
            "The probabilities follow from this circuit's running balance; over simulated circuits they agree with how often each fault was there. Sizes hold with 90 %."
                .to_owned(),
        ];
        if evidence.healthy.is_empty() {
            remarks.push("How far this circuit is from what its file says is assumed; readings taken when it was well would tell.".into());
        } else if problem.known.is_some() {
            remarks.push(
                "What it read when it was well narrows how far this circuit is from what its file says."
                    .into(),
            );
        }
        if self.plant.evaporators() > 1 {
            remarks.push("The air and the outlet of the first evaporator stand for all of them.".into());
        }
        if self.plant.has_receiver() {
            remarks.push("A receiver takes up what is too much or too little until it is full or empty: till then no reading shows the charge.".into());
        }
        Ranking {
            method: "running balance of this circuit, fitted to the readings under each fault and pair of faults",
            calibrated: true,
            next: next(problem, fits),
            may_add: may_add(evidence, fits),
            stakes: stakes(fits),
            suspects,
            features,
            remarks,
        }
    }

    fn suspect(&self, problem: &Problem<'_>, fit: &Fit, weight: f64, features: &[Feature]) -> Suspect {
        let sizes: Vec<String> = fit
            .faults
            .iter()
            .zip(&fit.intervals)
            .map(|(fault, (low, high))| fault.size(self.plant, *low, *high))
            .collect();
        let (in_favour, against) = words(problem, fit, features);
        Suspect {
            id: id(&fit.faults),
            name: name(&fit.faults),
            weight,
            size: fit.intervals.first().copied().filter(|_| fit.faults.len() == 1),
            sizes,
            in_favour,
            against,
            source: "running balance of this circuit".into(),
        }
    }
}

fn id(faults: &[FaultKind]) -> String {
    if faults.is_empty() {
        "none".into()
    } else {
        faults.iter().map(|it| it.id()).collect::<Vec<_>>().join("+")
    }
}

fn name(faults: &[FaultKind]) -> String {
    if faults.is_empty() {
        "nothing wrong".into()
    } else {
        faults.iter().map(|it| it.words()).collect::<Vec<_>>().join(", and ")
    }
}

/// Every hypothesis that could be fitted, with its probability.
fn hypotheses(problem: &Problem<'_>, well: &Fit, evidence: &Evidence<'_>) -> Vec<(Fit, f64)> {
    // Only the liquid line's end parts what narrows before it from what narrows at the device.
    let end = evidence.readings.iter().any(|(it, _)| *it == Reading::LiquidLineEnd);
    let fixed = problem.plant.kind() == stemwise_rehearse::SteadyKind::Fixed;
    let kinds: Vec<FaultKind> = FaultKind::ALL
        .into_iter()
        .zip(problem.felt)
        .filter(|(kind, felt)| felt.is_some() && (*kind != FaultKind::MeteringStarved || end || !fixed))
        .map(|(kind, _)| kind)
        .collect();
    let mut singles: Vec<Fit> = kinds
        .iter()
        .filter_map(|kind| {
            let start = problem.start(*kind, well)?;
            problem.fit(&[*kind], &[start], Some(well))
        })
        .collect();
    singles.sort_by(|one, other| other.evidence.total_cmp(&one.evidence));
    let mut pairs = Vec::new();
    for (at, one) in singles.iter().take(PAIRING).enumerate() {
        for other in singles.iter().take(PAIRED).skip(at + 1) {
            let (Some(first), Some(second)) = (one.faults.first(), other.faults.first()) else { continue };
            if first.beside(*second) {
                pairs.extend(pair(problem, one, other));
            }
        }
    }
    let possible = kinds
        .iter()
        .enumerate()
        .flat_map(|(at, one)| kinds.iter().skip(at + 1).filter(move |other| one.beside(**other)))
        .count();
    let mut all: Vec<(Fit, f64)> = vec![(well.clone(), well.evidence + libm::log(NOTHING))];
    all.extend(singles.into_iter().map(|fit| {
        let odds = fit.evidence + libm::log(ONE / kinds.len() as f64);
        (fit, odds)
    }));
    all.extend(pairs.into_iter().map(|fit| {
        let odds = fit.evidence + libm::log(TWO / possible as f64);
        (fit, odds)
    }));
    let most = all.iter().map(|(_, odds)| *odds).fold(f64::MIN, f64::max);
    let part = |odds: f64| libm::exp(SHARPER * (odds - most));
    let sum: f64 = all.iter().map(|(_, odds)| part(*odds)).sum();
    all.iter_mut().for_each(|(_, odds)| *odds = part(*odds) / sum);
    all
}

/// Both faults together, from the size of the one and half the size of the other, both ways; the better fit.
fn pair(problem: &Problem<'_>, one: &Fit, other: &Fit) -> Option<Fit> {
    let (mut faults, mut start) = (one.faults.clone(), one.sizes.clone());
    faults.extend(&other.faults);
    let second = other.faults.first()?;
    let (low, high) = problem.range(*second);
    let size = other.sizes.first()?;
    start.push((0.5 * (low + size)).clamp(low, high));
    let mut order: Vec<usize> = (0..faults.len()).collect();
    order.sort_by_key(|at| faults[*at]);
    let faults: Vec<FaultKind> = order.iter().map(|at| faults[*at]).collect();
    let start: Vec<f64> = order.iter().map(|at| start[*at]).collect();
    problem.fit(&faults, &start, Some(one))
}

/// What each reading should be with nothing wrong, and how it stands to that.
fn features(problem: &Problem<'_>, shown: &observe::Shown, spread: &observe::Shown) -> Vec<Feature> {
    OBSERVED
        .iter()
        .enumerate()
        .filter_map(|(at, reading)| {
            let (value, standard) = problem.read[at]?;
            let within = (spread[at] * spread[at] + own(*reading) * own(*reading)).sqrt();
            let off = value - shown[at];
            let higher = normal((off - within) / standard);
            let lower = normal((-off - within) / standard);
            let (value, usual, within) = if by_part(*reading) {
                let usual = libm::exp(shown[at]);
                (libm::exp(value), usual, within * usual)
            } else {
                (value, shown[at], within)
            };
            Some(Feature {
                id: reading.word(),
                name: reading.word(),
                value,
                usual,
                within,
                source: BY_BALANCE.into(),
                chances: [lower, (1.0 - lower - higher).max(0.0), higher],
            })
        })
        .collect()
}

/// What speaks for a fit and against it.
fn words(problem: &Problem<'_>, fit: &Fit, features: &[Feature]) -> (Vec<String>, Vec<String>) {
    let (mut in_favour, mut against) = (Vec::new(), Vec::new());
    for (at, reading) in OBSERVED.iter().enumerate() {
        let Some((value, standard)) = problem.read[at] else { continue };
        let Some(feature) = features.iter().find(|it| it.id == reading.word()) else { continue };
        let sign = feature.sign();
        let left = (value - fit.shown[at]) / standard;
        if left.abs() > 1.6 {
            let word = if left > 0.0 { "higher" } else { "lower" };
            against.push(format!("{} is {word} than it would be with this", reading.word()));
        } else if fit.faults.is_empty() {
            if sign == crate::faults::Sign::Same {
                in_favour.push(format!("{} is as usual", reading.word()));
            }
        } else if sign != crate::faults::Sign::Same {
            in_favour.push(format!("{} is {}, as with this", reading.word(), sign.word()));
        }
    }
    (in_favour, against)
}

/// The reading that takes the most doubt away for its minutes.
fn next(problem: &Problem<'_>, fits: &[(Fit, f64)]) -> Option<NextMeasurement> {
    let top: Vec<&(Fit, f64)> = fits.iter().take(6).filter(|(_, weight)| *weight > 0.01).collect();
    let mut best: Option<(f64, NextMeasurement)> = None;
    for (at, reading) in OBSERVED.iter().enumerate() {
        if problem.read[at].is_some() || (*reading == Reading::LiquidPressure && problem.read[1].is_some()) {
            continue;
        }
        let value = top.first().map_or(0.0, |(fit, _)| fit.shown[at]);
        let si = if by_part(*reading) { libm::exp(value) } else { value };
        let instrument = crate::Instrument::usual(reading.measured(), si).standard(si, si, None);
        let instrument = if by_part(*reading) { instrument / si.max(1e-9) } else { instrument };
        let of = |fit: &Fit| {
            let parts = [fit.spread[at], own(*reading), instrument];
            (fit.shown[at], parts.iter().map(|part| part * part).sum::<f64>().sqrt())
        };
        let bits = information(&top.iter().map(|(fit, weight)| (*weight, of(fit))).collect::<Vec<_>>());
        let cost = minutes(*reading);
        let worth = bits / cost;
        if bits > 0.03 && best.as_ref().is_none_or(|(most, _)| worth > *most) {
            let parts = tells_apart(&top, at, *reading);
            let next = NextMeasurement {
                read: vec![*reading],
                gives: format!("{:.2} bits of what is in doubt", bits),
                parts,
                minutes: cost,
                bits,
            };
            best = Some((worth, next));
        }
    }
    best.map(|(_, next)| next)
}

/// What the first two suspects would show.
fn tells_apart(top: &[&(Fit, f64)], at: usize, reading: Reading) -> String {
    let (Some((one, _)), Some((other, _))) = (top.first(), top.get(1)) else { return String::new() };
    let off = one.shown[at] - other.shown[at];
    let much = if by_part(reading) {
        format!("{:.0} %", 100.0 * libm::expm1(off.abs()))
    } else {
        format!("{:.1} K", off.abs())
    };
    let word = if off > 0.0 { "higher" } else { "lower" };
    format!("with {} it is {much} {word} than with {}", name(&one.faults), name(&other.faults))
}

/// How many bits a reading would tell about which of some normal distributions it comes from.
fn information(of: &[(f64, (f64, f64))]) -> f64 {
    let sum: f64 = of.iter().map(|(weight, _)| weight).sum();
    if of.len() < 2 || sum <= 0.0 {
        return 0.0;
    }
    let density = |x: f64, (middle, standard): (f64, f64)| {
        let z = (x - middle) / standard;
        libm::exp(-0.5 * z * z) / (standard * core::f64::consts::TAU.sqrt())
    };
    let low = of.iter().map(|(_, (m, s))| m - 5.0 * s).fold(f64::MAX, f64::min);
    let high = of.iter().map(|(_, (m, s))| m + 5.0 * s).fold(f64::MIN, f64::max);
    let narrow = of.iter().map(|(_, (_, s))| *s).fold(f64::MAX, f64::min);
    let count = (((high - low) / narrow * 4.0) as usize).clamp(80, 800);
    let step = (high - low) / count as f64;
    (0..=count)
        .map(|at| {
            let x = low + step * at as f64;
            let mixed: f64 = of.iter().map(|(weight, it)| weight / sum * density(x, *it)).sum();
            of.iter()
                .map(|(weight, it)| {
                    let own = density(x, *it);
                    if own > 1e-300 { weight / sum * own * libm::log2(own / mixed) * step } else { 0.0 }
                })
                .sum::<f64>()
        })
        .sum::<f64>()
        .max(0.0)
}

/// Only where too little refrigerant is nearly sure and a restriction is not, and where subcooling was read.
fn may_add(evidence: &Evidence<'_>, fits: &[(Fit, f64)]) -> MayAdd {
    let weight = |wanted: &[FaultKind]| -> f64 {
        let has = |fit: &Fit| fit.faults.iter().any(|fault| wanted.contains(fault));
        fits.iter().filter(|(fit, _)| has(fit)).map(|(_, weight)| weight).sum()
    };
    let lacks = weight(&[FaultKind::Undercharge]);
    let narrow = weight(&[FaultKind::LiquidRestriction, FaultKind::MeteringStarved]);
    let subcooling = evidence.worked.get("subcooling").is_some();
    if lacks < 0.15 {
        MayAdd::NotCalledFor
    } else if lacks > 0.9 && narrow < 0.05 && subcooling {
        MayAdd::Yes
    } else {
        MayAdd::NotParted
    }
}

/// What it costs to act on the first suspect where the second is true.
fn stakes(fits: &[(Fit, f64)]) -> Option<String> {
    let ((first, _), (second, weight)) = (fits.first()?, fits.get(1)?);
    let first_kind = first.faults.first()?;
    let lost = loss(first_kind.id())?;
    Some(format!(
        "To act on {} where it is {} ({}) costs {lost}.",
        name(&first.faults),
        name(&second.faults),
        chance_words(*weight)
    ))
}

/// Derived values by their ids, as the balance has them.
fn derived(found: &SteadyBalance, ask: &SteadyAsk) -> Vec<(&'static str, f64)> {
    let first = found.evaporators.first().copied().unwrap_or_default();
    let dew = found.condensing_dew_k;
    vec![
        ("evaporating", found.evaporating_k),
        ("condensing-bubble", found.condensing_k),
        ("condensing-dew", dew),
        ("compression-ratio", found.discharge_pa / found.suction_pa),
        ("superheat", found.superheat_k),
        ("evaporator-superheat", first.superheat_k),
        ("subcooling", found.subcooling_k),
        ("discharge-superheat", found.discharge_line_k - dew),
        ("discharge-line", found.discharge_line_k),
        ("condensing-over-air", 0.5 * (found.condensing_k + dew) - ask.outdoor_k),
        ("liquid-over-air", found.liquid_line_k - ask.outdoor_k),
        ("condenser-air-rise", found.condenser_off_k - ask.outdoor_k),
        ("air-over-evaporating", ask.indoor_k - found.evaporating_k),
        ("evaporator-approach", first.air_off_k - found.evaporating_k),
        ("evaporator-air-drop", ask.indoor_k - first.air_off_k),
        ("liquid-line-drop", found.liquid_line_k - found.liquid_end_k),
        ("power", found.power_w),
    ]
}

/// What the values of the sound circuit tell of it; none where none was given that the balance knows.
fn known(problem: &Problem<'_>, evidence: &Evidence<'_>) -> Option<Known> {
    let of = |found: &SteadyBalance, id: &str| {
        derived(found, &problem.base).into_iter().find(|(it, _)| *it == id).map(|(_, value)| value)
    };
    let well = problem.balance_at(None, None)?;
    let given: Vec<&(String, f64, f64)> =
        evidence.healthy.iter().filter(|(id, ..)| of(&well, id).is_some()).collect();
    if given.is_empty() {
        return None;
    }
    // How far either way is nothing holds with 95 %.
    let standard = |(id, value, within): &&(String, f64, f64)| {
        let (within, own) = (0.5 * within, own_of(id, *value));
        (*value, (within * within + own * own).sqrt())
    };
    let healthy: Vec<(f64, f64)> = given.iter().map(standard).collect();
    problem.known_by(&healthy, |found| given.iter().map(|(id, ..)| of(found, id).unwrap_or(0.0)).collect())
}

/// How far the balance itself may be off in a derived value: two readings' worth of it.
fn own_of(id: &str, value: f64) -> f64 {
    match id {
        "power" => 0.02 * value,
        "compression-ratio" => 0.02 * value,
        "evaporating"
        | "condensing-bubble"
        | "condensing-dew"
        | "condensing-over-air"
        | "liquid-over-air" => 0.5,
        "discharge-line" | "discharge-superheat" => 2.0,
        "liquid-line-drop" => 0.5,
        _ => 0.8,
    }
}

impl Problem<'_> {
    /// Some values of the balance with nothing wrong, each with its standard uncertainty by the unknowns and by the balance itself.
    fn foretold_by(
        &self,
        values: impl Fn(&SteadyBalance) -> Vec<(&'static str, f64)>,
    ) -> Option<Vec<(&'static str, f64, f64)>> {
        let middle = self.balance_at(None, None)?;
        let at = values(&middle);
        let mut squares = vec![0.0; at.len()];
        for unknown in 0..bayes::LOOSE {
            let Some(moved) = self.balance_at(Some(unknown), Some(&middle)) else { continue };
            for (sum, ((_, there), (_, here))) in squares.iter_mut().zip(values(&moved).iter().zip(&at)) {
                *sum += (there - here) * (there - here);
            }
        }
        Some(
            at.iter()
                .zip(squares)
                .map(|((id, value), square)| {
                    let own = own_of(id, *value);
                    (*id, *value, (square + own * own).sqrt())
                })
                .collect(),
        )
    }
}
