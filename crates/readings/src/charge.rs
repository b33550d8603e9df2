//! Charging: by weight, by subcooling, by superheat; how much, how fast, when to stop and wait; as liquid or vapour, and why.

use stemwise_thermo::{
    Composition, Content, Draw, Fill, FractionationError, Fresh, Given, Substance, Until, Vessel,
};
use stemwise_units::{Length, LinearDensity, Mass, MassFlow, Temperature, Time, Volume};

use crate::target::{Against, MeteringKind, Target};
use crate::uncertain::{Input, Uncertain, propagate, rectangular};

/// After a change the system runs so long before it is read again: California Title 24 RA3.2.
pub const SETTLING: Time = Time::from_s(15.0 * 60.0);
/// The first step where nothing is known of this system's answer, as a part of the charge; common practice: small steps.
const FIRST_STEP: f64 = 0.04;
/// No step is larger than this part of the charge.
const LARGEST_STEP: f64 = 0.08;
/// A step goes only so far of the way that the last one foretells, so that it does not overshoot.
const PART_OF_WAY: f64 = 0.6;
/// Subcooling above this with a high superheat points to a restriction: 15 °F, the top of what is common, K.
const HIGH_SUBCOOLING: f64 = 15.0 / 1.8;
/// Liquid that trickles into a running suction line leaves so much superheat; common practice, K.
const LEFT_SUPERHEAT: f64 = 5.0;

/// What flows in a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LineKind {
    /// Liquid.
    Liquid,
    /// Vapour.
    Vapour,
}

/// A line of the field piping.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FieldLine {
    /// What flows in it.
    pub kind: LineKind,
    /// Inside diameter.
    pub bore: Length,
    /// Its length.
    pub length: Length,
}

/// A charge by weight.
#[derive(Debug)]
pub struct ByWeight<'a> {
    /// The refrigerant.
    pub substance: &'a Substance,
    /// The nameplate's charge.
    pub nameplate: Mass,
    /// For how much field piping the nameplate's charge is; none of it where nobody says.
    pub included: Length,
    /// The lines of the field piping.
    pub lines: Vec<FieldLine>,
    /// The maker's rate for more or less piping, and the allowance it already counts with; goes before geometry.
    pub rate: Option<LinearDensity>,
    /// How warm the liquid is in normal running.
    pub liquid: Temperature,
    /// The dew point in the vapour line in normal running.
    pub vapour: Temperature,
    /// By how much the scale may be off.
    pub scale: Mass,
}

/// What to weigh in.
#[derive(Clone, Debug, PartialEq)]
pub struct WeighIn {
    /// All of it, kg.
    pub total: Uncertain,
    /// What the piping adds to the nameplate, or takes from it, kg.
    pub allowance: f64,
    /// What each line holds by its geometry, kg: for comparison where the maker's rate counts.
    pub lines: Vec<f64>,
    /// Whether the maker's rate counts.
    pub by_rate: bool,
}

impl ByWeight<'_> {
    /// The charge; none where the refrigerant has no saturation at these temperatures.
    ///
    /// ```
    /// use stemwise_readings::{ByWeight, FieldLine, LineKind};
    /// use stemwise_thermo::Substance;
    /// use stemwise_units::{Length, LinearDensity, Mass, Temperature};
    /// let fluid = Substance::named("R-410A")?;
    /// let ask = ByWeight {
    ///     substance: &fluid,
    ///     nameplate: Mass::from_lb(6.0),
    ///     included: Length::from_ft(50.0), // 13.5 oz at 0.27 oz/ft
    ///     lines: vec![FieldLine { kind: LineKind::Liquid, bore: Length::from_mm(4.83), length: Length::from_ft(25.0) }],
    ///     rate: Some(LinearDensity::from_oz_per_ft(0.27)),
    ///     liquid: Temperature::from_celsius(40.0),
    ///     vapour: Temperature::from_celsius(7.0),
    ///     scale: Mass::from_oz(0.5),
    /// };
    /// // facts.md 7.2: 25 ft of 1/4 in: 0.27 x 25 - 13.5 = -6.75 oz.
    /// assert!((Mass::from_kg(ask.weigh_in().unwrap().allowance).as_oz() + 6.75).abs() < 1e-9);
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn weigh_in(&self) -> Option<WeighIn> {
        let liquid = self.substance.saturation_raw(self.liquid.as_k()).ok()?.liquid;
        let vapour = self.substance.saturation_raw(self.vapour.as_k()).ok()?.vapour;
        let by_length = |line: &FieldLine| {
            let density = if line.kind == LineKind::Liquid { liquid } else { vapour };
            core::f64::consts::FRAC_PI_4 * line.bore.as_m() * line.bore.as_m() * density
        };
        let lines: Vec<f64> = self.lines.iter().map(|line| by_length(line) * line.length.as_m()).collect();
        let longer = |line: &FieldLine| line.length.as_m() - self.included.as_m();
        let geometry: f64 = self.lines.iter().map(|line| by_length(line) * longer(line)).sum();
        let liquid_line = self.lines.iter().find(|line| line.kind == LineKind::Liquid);
        let allowance = match (self.rate, liquid_line) {
            (Some(rate), Some(line)) => rate.as_kg_per_m() * longer(line),
            _ => geometry,
        };
        let inputs = [
            Input::new("scale", 0.0, rectangular(self.scale.as_kg())),
            // Makers' rates lie 15 to 40 % above what the liquid line alone holds; geometry with the vapour line is taken as good to 15 %.
            Input::new(
                "allowance for piping",
                allowance,
                rectangular(if self.rate.is_some() { 0.05 } else { 0.15 } * allowance.abs()),
            ),
        ];
        let nameplate = self.nameplate.as_kg();
        let total = propagate(&inputs, |x| Some(nameplate + x.iter().sum::<f64>()))?;
        Some(WeighIn { total, allowance, lines, by_rate: self.rate.is_some() && liquid_line.is_some() })
    }
}

/// By what the charge is trimmed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TrimBy {
    /// Subcooling: thermostatic and electronic valves.
    Subcooling,
    /// Superheat: fixed metering.
    Superheat,
}

/// An earlier step of this job.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EarlierStep {
    /// What was added (negative: recovered), kg.
    pub added: f64,
    /// Subcooling or superheat before it, K.
    pub before: f64,
}

/// Where a trim stands.
#[derive(Debug)]
pub struct Trim<'a> {
    /// By what.
    pub by: TrimBy,
    /// What meters.
    pub metering: MeteringKind,
    /// Subcooling or superheat now, K.
    pub now: &'a Uncertain,
    /// What it should be.
    pub target: &'a Target,
    /// Subcooling, where superheat is what counts, K.
    pub subcooling: Option<&'a Uncertain>,
    /// Superheat, where subcooling is what counts, K.
    pub superheat: Option<&'a Uncertain>,
    /// The whole charge.
    pub charge: Mass,
    /// What is known to be in there already.
    pub holds: Option<Mass>,
    /// Since the last change.
    pub since: Option<Time>,
    /// The last step.
    pub earlier: Option<EarlierStep>,
}

/// What to do next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NextStep {
    /// Add so much, then wait and read again.
    Add(Mass),
    /// Recover so much, then wait and read again.
    Recover(Mass),
    /// Wait so long before reading again.
    Wait(Time),
    /// The charge is right as far as these instruments tell.
    Stop,
    /// Do not change the charge: something else must be looked at first.
    LeaveAlone,
}

/// The next step with its reasons.
#[derive(Clone, Debug, PartialEq)]
pub struct Advice {
    /// What to do.
    pub step: NextStep,
    /// Why, in sentences.
    pub why: Vec<String>,
}

impl Trim<'_> {
    /// The next step. Refrigerant is never to be added on what could as well be a restriction.
    pub fn next(&self) -> Advice {
        let advice = |step, why: &str| Advice { step, why: vec![why.to_owned()] };
        if let Some(since) = self.since.filter(|since| since.as_s() < SETTLING.as_s()) {
            let left = Time::from_s(SETTLING.as_s() - since.as_s());
            return advice(
                NextStep::Wait(left),
                "The system runs 15 minutes after each change before it is read (California Title 24 RA3.2).",
            );
        }
        let lacks = match (self.by, self.target.judge(self.now)) {
            (_, Against::Within) => {
                return advice(
                    NextStep::Stop,
                    "It is within its target, the instruments' uncertainty counted in.",
                );
            }
            (_, Against::Doubtful) => {
                return advice(
                    NextStep::Stop,
                    "It is so near its target that these instruments can't tell: adding or taking out would be a guess. Better instruments, or the charge \
                     by weight, would tell.",
                );
            }
            (TrimBy::Subcooling, Against::Below) | (TrimBy::Superheat, Against::Above) => true,
            _ => false,
        };
        if lacks {
            let hot = self.by == TrimBy::Subcooling && self.now.value + self.now.expanded() < 0.0;
            if hot {
                return advice(
                    NextStep::LeaveAlone,
                    "The liquid line is hotter than liquid at that pressure can be: a probe or a gauge is wrong, it is another refrigerant, there is air in it, \
                     or the condenser can't do its work. Find that first; refrigerant would hide it.",
                );
            }
            if let Some(why) = self.not_undercharge() {
                return Advice { step: NextStep::LeaveAlone, why };
            }
            if let Some(holds) = self.holds.filter(|holds| holds.as_kg() >= self.charge.as_kg()) {
                let say = format!(
                    "It holds its full charge by weight already ({:.2} kg of {:.2} kg): what the readings show is not for want of refrigerant.",
                    holds.as_kg(),
                    self.charge.as_kg()
                );
                return advice(NextStep::LeaveAlone, &say);
            }
        }
        self.amount(lacks)
    }

    /// Why a reading that asks for refrigerant is no undercharge, or can't be told from a restriction.
    fn not_undercharge(&self) -> Option<Vec<String>> {
        match (self.by, self.subcooling, self.superheat) {
            (TrimBy::Superheat, None, _) => Some(vec![
                "High superheat alone can be too little refrigerant or a restricted liquid line: both starve the evaporator. Read the liquid line and \
                 the liquid pressure first: subcooling is low with too little refrigerant and high with a restriction (rules of Rossi and Braun)."
                    .into(),
            ]),
            (TrimBy::Superheat, Some(subcooling), _) if subcooling.above(HIGH_SUBCOOLING) > 0.5 => Some(vec![format!(
                "Superheat is high and so is subcooling ({:.1} K): liquid is there and does not get through. Look for a restriction (drier, strainer, \
                 metering device, kinked line) before anything is added.",
                subcooling.value
            )]),
            (TrimBy::Superheat, Some(subcooling), _) if subcooling.above(HIGH_SUBCOOLING) > 0.05 => Some(vec![
                "Superheat is high, and these instruments can't tell whether subcooling is high too: that would be a restriction. Read it more closely \
                 before anything is added."
                    .into(),
            ]),
            (TrimBy::Subcooling, _, Some(superheat)) if superheat.value + superheat.expanded() < 2.0 => Some(vec![
                "Subcooling is low but so is superheat: refrigerant that lacks would raise superheat. Look at the valve, its bulb, and the compressor's \
                 valves before anything is added."
                    .into(),
            ]),
            _ => None,
        }
    }

    fn amount(&self, lacks: bool) -> Advice {
        let middle = match (self.target.low, self.target.high) {
            (Some(low), Some(high)) => (low + high) / 2.0,
            (Some(one), None) | (None, Some(one)) => one,
            (None, None) => self.now.value,
        };
        let charge = self.charge.as_kg();
        let largest = LARGEST_STEP * charge;
        let (mut kg, mut why) = match self.earlier.filter(|earlier| earlier.added.abs() > 0.0) {
            Some(earlier) => {
                let answer = (self.now.value - earlier.before) / earlier.added;
                let sign = if self.by == TrimBy::Subcooling { 1.0 } else { -1.0 };
                // An answer within the instruments' doubt, or the wrong way round, foretells nothing.
                if answer * sign <= 0.0 || (self.now.value - earlier.before).abs() < self.now.standard {
                    return Advice {
                        step: NextStep::LeaveAlone,
                        why: vec![
                            "The last step did not move the reading as a change of charge would. Do not go on adding or taking out: look for another fault.".into(),
                        ],
                    };
                }
                let way = ((middle - self.now.value) / answer).abs();
                (
                    PART_OF_WAY * way,
                    format!(
                        "The last step moved it by {:.1} K; this one goes {:.0} % of the way that is left.",
                        self.now.value - earlier.before,
                        100.0 * PART_OF_WAY
                    ),
                )
            }
            None => (
                FIRST_STEP * charge,
                format!(
                    "How this system answers is not known yet: the first step is {:.0} % of the charge.",
                    100.0 * FIRST_STEP
                ),
            ),
        };
        if kg > largest {
            kg = largest;
            why.push_str(&format!(" No step is larger than {:.0} % of the charge.", 100.0 * LARGEST_STEP));
        }
        if let (true, Some(holds)) = (lacks, self.holds) {
            kg = kg.min(charge - holds.as_kg());
        }
        let step =
            if lacks { NextStep::Add(Mass::from_kg(kg)) } else { NextStep::Recover(Mass::from_kg(kg)) };
        let after = "Then let it run 15 minutes and read again.".to_owned();
        Advice { step, why: vec![why, after] }
    }
}

/// As what a refrigerant leaves its cylinder for charging.
#[derive(Clone, Debug, PartialEq)]
pub struct AsWhat {
    /// Whether it must be liquid.
    pub liquid: bool,
    /// The glide at 25 °C, K.
    pub glide: f64,
    /// What stands over the liquid of a fresh cylinder, parts by mass; where they differ.
    pub vapour: Option<Composition>,
    /// Why, in a sentence.
    pub why: String,
}

/// Liquid or vapour, and why.
///
/// # Errors
/// [`FractionationError`] where the refrigerant has no liquid at 25 °C.
pub fn as_what(substance: &Substance) -> Result<AsWhat, FractionationError> {
    let at = Temperature::from_celsius(25.0);
    if substance.mixture().is_none() {
        return Ok(AsWhat {
            liquid: false,
            glide: 0.0,
            vapour: None,
            why: "One substance: liquid and vapour are the same. Vapour into a running suction line, liquid into the high side of a standing system.".into(),
        });
    }
    let vessel = Vessel::new(substance, at, Fill::VolumeLiquid(Volume::from_l(1.0), 0.7))?;
    let content = vessel.content()?;
    let pressure = content.pressure;
    let both = substance.saturation_at_pressure(pressure).map_err(FractionationError::Thermo)?;
    let glide = both.dew.temperature() - both.bubble.temperature();
    let off = content
        .vapour
        .mass
        .values()
        .iter()
        .zip(content.overall.mass.values())
        .map(|(v, l)| (v - l).abs())
        .fold(0.0, f64::max);
    let why = if off > 0.005 {
        format!(
            "A blend: what stands over the liquid has other parts, by up to {:.0} % of the mass, so it leaves the cylinder as liquid. Into a running \
             suction line it is throttled so slowly that it boils on the way.",
            100.0 * off
        )
    } else {
        "A blend whose vapour has almost the parts of its liquid; liquid all the same, so that the parts stay right to the last of the cylinder.".into()
    };
    Ok(AsWhat { liquid: true, glide: glide.as_k(), vapour: Some(content.vapour), why })
}

/// How fast liquid may trickle into a running suction line so that it all boils and some superheat stays; none where there is none to spare.
pub fn fastest(
    substance: &Substance,
    flow: MassFlow,
    suction_pa: f64,
    suction_line: Temperature,
    cylinder: Temperature,
) -> Option<MassFlow> {
    let dew = substance.saturation_at_pressure(stemwise_units::Pressure::from_pa(suction_pa)).ok()?.dew;
    let liquid = substance.saturation_at(cylinder).ok()?.bubble.raw().h;
    let at = |t: f64| {
        let given =
            Given::TemperaturePressure(Temperature::from_k(t), stemwise_units::Pressure::from_pa(suction_pa));
        substance.raw_state(given).ok().map(|state| state.h)
    };
    let left = dew.temperature().as_k() + LEFT_SUPERHEAT;
    if suction_line.as_k() <= left {
        return None;
    }
    let (now, after) = (at(suction_line.as_k())?, at(left)?);
    // flow (now - after) = trickle (after - liquid)
    Some(MassFlow::from_kg_per_s(flow.as_kg_per_s() * (now - after) / (after - liquid)))
}

/// A blend that has leaked, and what topping up makes of it.
#[derive(Clone, Debug, PartialEq)]
pub struct ToppedUp {
    /// After the leak.
    pub leaked: Content,
    /// After the top-up with fresh liquid.
    pub topped_up: Content,
    /// Whether every part is within its tolerance after the leak.
    pub leaked_within: bool,
    /// Whether every part is within its tolerance after the top-up.
    pub topped_up_within: bool,
    /// Where the tolerances come from.
    pub tolerance_source: &'static str,
}

/// What a leak of so much, out of the vapour or the liquid, and a top-up to the full charge make of a blend at rest.
///
/// # Errors
/// [`FractionationError`] where the charge does not fit the volume, or nothing is left.
pub fn topped_up(
    substance: &Substance,
    at: Temperature,
    volume: Volume,
    charge: Mass,
    lost: Mass,
    out: Draw,
) -> Result<ToppedUp, FractionationError> {
    let mut vessel = Vessel::new(substance, at, Fill::VolumeMass(volume, charge))?;
    vessel.draw(out, Until::PartLeft(1.0 - lost.as_kg() / charge.as_kg()), &[])?;
    let leaked = vessel.content()?;
    vessel.top_up(lost, Fresh::Liquid)?;
    let topped_up = vessel.content()?;
    let deviation = substance.deviation(&topped_up.overall.mass);
    Ok(ToppedUp {
        leaked_within: substance.deviation(&leaked.overall.mass).is_within(),
        topped_up_within: deviation.is_within(),
        tolerance_source: deviation.source,
        leaked,
        topped_up,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::target::Word;

    fn target(low: f64, high: f64) -> Target {
        Target { low: Some(low), high: Some(high), word: Word::Given, source: "plate".into() }
    }

    fn trim<'a>(
        by: TrimBy,
        now: &'a Uncertain,
        target: &'a Target,
        subcooling: Option<&'a Uncertain>,
    ) -> Trim<'a> {
        Trim {
            by,
            metering: MeteringKind::Unknown,
            now,
            target,
            subcooling,
            superheat: None,
            charge: Mass::from_kg(2.0),
            holds: None,
            since: None,
            earlier: None,
        }
    }

    #[test]
    fn lines_by_geometry() {
        // facts.md 7.2: liquid at 40 °C in copper tube, oz/ft: 1/4 (4.83 mm) R-410A 0.192; 3/8 (7.90) R-410A 0.514, R-22 0.595, R-134a 0.604, R-32
        // 0.471, R-404A 0.508, R-290 0.246; 1/2 (10.92) R-410A 0.983; 5/8 (13.84) 1.58.
        for (fluid, bore, oz) in [
            ("R-410A", 4.83, 0.192),
            ("R-410A", 7.90, 0.514),
            ("R-22", 7.90, 0.595),
            ("R-134a", 7.90, 0.604),
            ("R-32", 7.90, 0.471),
            ("R-404A", 7.90, 0.508),
            ("R-290", 7.90, 0.246),
            ("R-410A", 10.92, 0.983),
            ("R-410A", 13.84, 1.58),
        ] {
            let substance = Substance::named(fluid).unwrap();
            let ask = ByWeight {
                substance: &substance,
                nameplate: Mass::from_kg(2.0),
                included: Length::from_m(0.0),
                lines: vec![FieldLine {
                    kind: LineKind::Liquid,
                    bore: Length::from_mm(bore),
                    length: Length::from_ft(1.0),
                }],
                rate: None,
                liquid: Temperature::from_celsius(40.0),
                vapour: Temperature::from_celsius(5.0),
                scale: Mass::from_g(5.0),
            };
            let found = Mass::from_kg(ask.weigh_in().unwrap().allowance).as_oz();
            assert!((found / oz - 1.0).abs() < 0.012, "{fluid} {bore}: {found}");
        }
    }

    #[test]
    fn a_makers_rate_goes_first() {
        // facts.md 7.2, example 2: 45 ft of 1/4 in at the 5/16 in rate: 0.40 x 45 - 13.5 = 4.5 oz; included length 33.75 ft.
        let fluid = Substance::named("R-410A").unwrap();
        let ask = ByWeight {
            substance: &fluid,
            nameplate: Mass::from_lb(6.0),
            included: Length::from_ft(33.75),
            lines: vec![FieldLine {
                kind: LineKind::Liquid,
                bore: Length::from_mm(6.31),
                length: Length::from_ft(45.0),
            }],
            rate: Some(LinearDensity::from_oz_per_ft(0.40)),
            liquid: Temperature::from_celsius(40.0),
            vapour: Temperature::from_celsius(5.0),
            scale: Mass::from_g(5.0),
        };
        let found = ask.weigh_in().unwrap();
        assert!(found.by_rate && (Mass::from_kg(found.allowance).as_oz() - 4.5).abs() < 1e-9);
        assert!((found.total.value - Mass::from_lb(6.0).as_kg() - Mass::from_oz(4.5).as_kg()).abs() < 1e-12);
    }

    #[test]
    fn never_added_on_what_could_be_a_restriction() {
        let (now, wanted) = (Uncertain::plain(20.0, 0.5), target(6.0, 11.0));
        assert_eq!(trim(TrimBy::Superheat, &now, &wanted, None).next().step, NextStep::LeaveAlone);
        for (value, standard) in [(12.0, 0.5), (8.0, 0.5), (6.0, 2.0)] {
            let subcooling = Uncertain::plain(value, standard);
            let step = trim(TrimBy::Superheat, &now, &wanted, Some(&subcooling)).next().step;
            assert_eq!(step, NextStep::LeaveAlone, "{value}");
        }
        let low = Uncertain::plain(2.0, 0.5);
        let step = trim(TrimBy::Superheat, &now, &wanted, Some(&low)).next().step;
        assert_eq!(step, NextStep::Add(Mass::from_kg(0.08)));
        let dry = Uncertain::plain(0.5, 0.3);
        let now = Uncertain::plain(1.0, 0.3);
        let trim = Trim { superheat: Some(&dry), ..trim(TrimBy::Subcooling, &now, &wanted, None) };
        assert_eq!(trim.next().step, NextStep::LeaveAlone);
    }

    #[test]
    fn steps_do_not_overshoot() {
        // A made-up system that answers with 10 K of subcooling a kilogram: every step stays short of the middle of the target.
        let wanted = target(5.0, 7.0);
        let (mut held, mut earlier): (f64, Option<EarlierStep>) = (1.5, None);
        let reads = |held: f64| 10.0 * (held - 1.4);
        let mut done = false;
        for _ in 0..12 {
            let now = Uncertain::plain(reads(held), 0.15);
            let advice = Trim { earlier, ..trim(TrimBy::Subcooling, &now, &wanted, None) }.next();
            match advice.step {
                NextStep::Add(mass) => {
                    earlier = Some(EarlierStep { added: mass.as_kg(), before: now.value });
                    held += mass.as_kg();
                    assert!(reads(held) < 6.5, "overshoot to {}", reads(held));
                }
                step => {
                    assert_eq!(step, NextStep::Stop);
                    done = true;
                    break;
                }
            }
        }
        assert!(done && reads(held) > 4.7);
        // A step that the reading does not answer ends it; a full charge too; and time must pass.
        let now = Uncertain::plain(1.0, 0.2);
        let stuck = Trim {
            earlier: Some(EarlierStep { added: 0.1, before: 1.0 }),
            ..trim(TrimBy::Subcooling, &now, &wanted, None)
        };
        assert_eq!(stuck.next().step, NextStep::LeaveAlone);
        let full = Trim { holds: Some(Mass::from_kg(2.0)), ..trim(TrimBy::Subcooling, &now, &wanted, None) };
        assert_eq!(full.next().step, NextStep::LeaveAlone);
        let early =
            Trim { since: Some(Time::from_min(5.0)), ..trim(TrimBy::Subcooling, &now, &wanted, None) };
        assert_eq!(early.next().step, NextStep::Wait(Time::from_min(10.0)));
        let over = Uncertain::plain(12.0, 0.2);
        assert!(matches!(trim(TrimBy::Subcooling, &over, &wanted, None).next().step, NextStep::Recover(_)));
        let near = Uncertain::plain(5.0, 1.0);
        assert_eq!(trim(TrimBy::Subcooling, &near, &wanted, None).next().step, NextStep::Stop);
    }

    #[test]
    fn blends_as_liquid() {
        let blend = as_what(&Substance::named("R-407C").unwrap()).unwrap();
        assert!(blend.liquid && blend.glide > 4.0 && blend.why.contains("as liquid"));
        assert!(!as_what(&Substance::named("R-134a").unwrap()).unwrap().liquid);
        let near = as_what(&Substance::named("R-410A").unwrap()).unwrap();
        assert!(near.liquid && near.glide < 0.2);
    }

    #[test]
    fn a_trickle_keeps_its_superheat() {
        let fluid = Substance::named("R-410A").unwrap();
        let flow = MassFlow::from_kg_per_s(0.05);
        let at = |kelvin| {
            fastest(&fluid, flow, 9.3e5, Temperature::from_k(kelvin), Temperature::from_celsius(25.0))
        };
        let dew = fluid
            .saturation_at_pressure(stemwise_units::Pressure::from_pa(9.3e5))
            .unwrap()
            .dew
            .temperature()
            .as_k();
        assert!(at(dew + 4.0).is_none());
        let fast = at(dew + 12.0).unwrap().as_kg_per_s();
        assert!(fast > 0.001 && fast < 0.005, "{fast}");
    }

    #[test]
    fn a_leaked_blend() {
        let fluid = Substance::named("R-407C").unwrap();
        let found = topped_up(
            &fluid,
            Temperature::from_celsius(25.0),
            Volume::from_l(10.0),
            Mass::from_kg(5.0),
            Mass::from_kg(2.5),
            Draw::Vapour,
        )
        .unwrap();
        assert!(!found.leaked_within);
        let r32 = |content: &Content| content.overall.mass.values().first().copied().unwrap();
        assert!(r32(&found.leaked) < r32(&found.topped_up) && r32(&found.topped_up) < 0.23);
        assert!((found.topped_up.mass.as_kg() - 5.0).abs() < 1e-9);
    }
}
