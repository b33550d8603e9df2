//! What a leak, a recovery, a charge out of a cylinder and a top-up make of a blend.

use stemwise_thermo::{
    Composition, Content, Deviation, Draw, Drawn, Fill, FractionationError, Fresh, Moment, Round, Stage,
    Substance, Until, Vessel,
};
use stemwise_units::{Mass, ParseError, Pressure, Temperature, TypedPressure, Volume, parse_fraction};
use stemwise_wire as wire;

use crate::Error;
use crate::properties::estimated;

/// More rows or rounds than this nobody reads.
const MOST_ROWS: f64 = 1000.0;
const MOST_ROUNDS: u32 = 100;

/// What can be wrong with the question.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ShiftError {
    /// Not two of volume, mass and liquid.
    #[error("{given} of volume, mass and liquid are given; two of them fix how much is in there")]
    NotTwo {
        /// How many.
        given: usize,
    },
    /// Neither how much stays nor the pressure to go down to, or both.
    #[error("say how far it goes: how much is left, or the pressure to go down to, one of them")]
    HowFar,
    /// Not a phase.
    #[error("{what} is \"{typed}\"; it can be vapour or liquid")]
    Phase {
        /// Which option.
        what: &'static str,
        /// What was typed.
        typed: String,
    },
    /// A mass left that is not less than what was there.
    #[error("{kg} kg can't be left of {of_kg:.4} kg: it must be less")]
    MassLeft {
        /// What was to be left.
        kg: f64,
        /// What was there.
        of_kg: f64,
    },
    /// Not a number of rounds.
    #[error("{rounds} rounds; there can be from 1 to {MOST_ROUNDS}")]
    Rounds {
        /// How many.
        rounds: u32,
    },
    /// A step between rows that is too small or nothing.
    #[error("a row at every {part} of the mass makes too many rows, or none; take from 0.1 % to 100 %")]
    Every {
        /// The part.
        part: f64,
    },
    /// The vessel has no answer.
    #[error(transparent)]
    Fractionation(#[from] FractionationError),
}

impl ShiftError {
    /// The kind, stable, kebab-case.
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::NotTwo { .. } => "not-two-values",
            Self::HowFar => "how-far",
            Self::Phase { .. } => "phase",
            Self::MassLeft { .. } => "part-left",
            Self::Rounds { .. } => "rounds",
            Self::Every { .. } => "every",
            Self::Fractionation(error) => error.kind(),
        }
    }

    pub(crate) const fn hint(&self) -> Option<&'static str> {
        match self {
            Self::Fractionation(FractionationError::LiquidFull { .. }) => {
                Some("a larger volume, less mass, or a colder vessel leaves room for vapour")
            }
            Self::Fractionation(FractionationError::NoLiquid { .. }) => {
                Some("a vapour alone leaves as it is, and nothing shifts")
            }
            _ => None,
        }
    }
}

/// A draw and a top-up, as people type them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ShiftAsk {
    /// "25 C", "77 F".
    pub at: String,
    /// "10 L"; two of volume, mass and liquid.
    pub volume: Option<String>,
    /// "5 kg".
    pub mass: Option<String>,
    /// Which part of the volume is liquid: "80 %".
    pub liquid: Option<String>,
    /// What leaves: "vapour" or "liquid".
    pub out: String,
    /// How much is left in the end: "50 %", "2 kg"; or:
    pub left: Option<String>,
    /// The pressure to go down to: "0 psig".
    pub down_to: Option<String>,
    /// What is topped up: "vapour" or "liquid".
    pub top_up: Option<String>,
    /// How much; what has left, if not given.
    pub add: Option<String>,
    /// How often draw and top-up follow each other; once, if not given.
    pub rounds: Option<u32>,
    /// At which part of the mass a row is wanted; 10 %, if not given.
    pub every: Option<String>,
}

/// What a draw, and top-ups, make of a refrigerant; gauge pressures with this atmosphere.
///
/// # Errors
/// [`Error::Typed`] for a value that was not understood, [`Error::Shift`] for a question that has no answer.
///
/// ```
/// use stemwise_answer::{ShiftAsk, shift};
/// use stemwise_units::Pressure;
/// let text = |text: &str| Some(text.to_owned());
/// let ask = ShiftAsk { at: "25 C".into(), volume: text("10 L"), mass: text("5 kg"), out: "vapour".into(),
///     left: text("50 %"), ..ShiftAsk::default() };
/// let answer = shift("R-407C", &ask, Pressure::from_pa(101_325.0))?;
/// assert!(answer.stages.last().unwrap().content.bubble_shift_k > 3.0);
/// assert!(shift("R-407C", &ShiftAsk { left: None, ..ask }, Pressure::from_pa(101_325.0)).is_err());
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn shift(fluid: &str, ask: &ShiftAsk, atmosphere: Pressure) -> Result<wire::ShiftAnswer, Error> {
    let substance = Substance::named(fluid)?;
    let temperature = Temperature::parse(&ask.at).map_err(Error::typed("at"))?;
    let out = phase("out", &ask.out)?;
    let draw = if out == Phase::Vapour { Draw::Vapour } else { Draw::Liquid };
    let fresh = ask.top_up.as_deref().map(|typed| phase("top-up", typed)).transpose()?;
    let add = ask.add.as_deref().map(|typed| Mass::parse(typed).map_err(Error::typed("add"))).transpose()?;
    let times = ask.rounds.unwrap_or(1);
    if !(1..=MOST_ROUNDS).contains(&times) {
        return Err(ShiftError::Rounds { rounds: times }.into());
    }
    let marks = marks(ask.every.as_deref())?;
    let vessel = Vessel::new(&substance, temperature, fill(ask)?).map_err(ShiftError::from)?;
    let until = until(ask, &vessel, atmosphere)?;
    let mut after = vessel.clone();
    let drawn = after.draw(draw, until, &marks).map_err(ShiftError::from)?;
    let end = after.content().map_err(ShiftError::from)?;
    let rounds = match fresh {
        None => Vec::new(),
        Some(phase) => {
            let with = if phase == Phase::Vapour { Fresh::Vapour } else { Fresh::Liquid };
            vessel.clone().rounds((draw, until), (with, add), times).map_err(ShiftError::from)?
        }
    };
    let shown = Shown { substance: &substance, atmosphere };
    let whole = vessel.content().map_err(ShiftError::from)?.mass.as_kg();
    Ok(wire::ShiftAnswer {
        fluid: substance.name(),
        components: substance.components().iter().map(|fluid| fluid.name().to_owned()).collect(),
        temperature_k: temperature.as_k(),
        volume_m3: vessel.volume().as_m3(),
        leaves: out.word().into(),
        changes: substance.mixture().is_some(),
        stages: drawn.stages.iter().map(|stage| shown.stage(stage, whole)).collect(),
        deviation: deviation_of(&shown.deviation(&end)),
        top_up: fresh.map(|phase| phase.word().to_owned()),
        rounds: rounds.iter().map(|round| shown.round(round)).collect(),
        remarks: shown.remarks(&drawn, &rounds),
        steps: drawn.steps,
        equilibria: drawn.equilibria,
        model: substance.model(),
        estimated: estimated(&substance),
    })
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Phase {
    Vapour,
    Liquid,
}

impl Phase {
    const fn word(self) -> &'static str {
        match self {
            Self::Vapour => "vapour",
            Self::Liquid => "liquid",
        }
    }
}

fn phase(what: &'static str, typed: &str) -> Result<Phase, ShiftError> {
    match typed.trim().to_lowercase().as_str() {
        "vapour" | "vapor" | "gas" => Ok(Phase::Vapour),
        "liquid" => Ok(Phase::Liquid),
        _ => Err(ShiftError::Phase { what, typed: typed.chars().take(40).collect() }),
    }
}

fn fill(ask: &ShiftAsk) -> Result<Fill, Error> {
    let volume = |text: &str| Volume::parse(text).map_err(Error::typed("volume"));
    let mass = |text: &str| Mass::parse(text).map_err(Error::typed("mass"));
    let part = |text: &str| parse_fraction(text).map_err(Error::typed("liquid"));
    match (ask.volume.as_deref(), ask.mass.as_deref(), ask.liquid.as_deref()) {
        (Some(v), Some(m), None) => Ok(Fill::VolumeMass(volume(v)?, mass(m)?)),
        (Some(v), None, Some(liquid)) => Ok(Fill::VolumeLiquid(volume(v)?, part(liquid)?)),
        (None, Some(m), Some(liquid)) => Ok(Fill::MassLiquid(mass(m)?, part(liquid)?)),
        (v, m, liquid) => {
            let given = [v, m, liquid].into_iter().flatten().count();
            Err(ShiftError::NotTwo { given }.into())
        }
    }
}

fn until(ask: &ShiftAsk, vessel: &Vessel<'_>, atmosphere: Pressure) -> Result<Until, Error> {
    match (ask.left.as_deref(), ask.down_to.as_deref()) {
        (Some(left), None) => {
            let part = match parse_fraction(left) {
                Ok(part) => part,
                Err(ParseError::UnknownUnit { .. } | ParseError::WrongQuantity { .. }) => {
                    let kg = Mass::parse(left).map_err(Error::typed("left"))?.as_kg();
                    let of_kg = vessel.content().map_err(ShiftError::from)?.mass.as_kg();
                    if kg >= of_kg {
                        return Err(ShiftError::MassLeft { kg, of_kg }.into());
                    }
                    kg / of_kg
                }
                Err(error) => return Err(Error::typed("left")(error)),
            };
            Ok(Until::PartLeft(part))
        }
        (None, Some(pressure)) => {
            let typed = TypedPressure::parse(pressure).and_then(|typed| typed.existing(atmosphere));
            Ok(Until::Pressure(typed.map_err(Error::typed("down-to"))?))
        }
        _ => Err(ShiftError::HowFar.into()),
    }
}

/// The parts of the mass at which a row is wanted.
fn marks(every: Option<&str>) -> Result<Vec<f64>, Error> {
    let part = every.map_or(Ok(0.1), |typed| parse_fraction(typed).map_err(Error::typed("every")))?;
    let count = 1.0 / part;
    if !(1.0..=MOST_ROWS).contains(&count) {
        return Err(ShiftError::Every { part }.into());
    }
    Ok((1..count.ceil() as u32).map(|k| 1.0 - f64::from(k) * part).collect())
}

/// What the answer is about.
struct Shown<'a> {
    substance: &'a Substance,
    atmosphere: Pressure,
}

impl Shown<'_> {
    fn deviation(&self, content: &Content) -> Deviation {
        self.substance.deviation(&content.overall.mass)
    }

    fn stage(&self, stage: &Stage, whole: f64) -> wire::ShiftStage {
        let moment = match stage.moment {
            Moment::Start => "start",
            Moment::Passing => "passing",
            Moment::LastDrop => "last-drop",
            Moment::End => "end",
        };
        wire::ShiftStage {
            moment: moment.into(),
            part_left: stage.content.mass.as_kg() / whole,
            content: self.content(&stage.content),
            leaving: parts(&stage.leaving),
            drawn_kg: stage.drawn.as_kg(),
            drawn: stage.drawn_overall.as_ref().map(parts),
        }
    }

    fn content(&self, content: &Content) -> wire::ShiftContent {
        let shift = &content.shift;
        let part = |now: Pressure, change: f64| change / (now.as_pa() - change);
        wire::ShiftContent {
            mass_kg: content.mass.as_kg(),
            pressure_pa: content.pressure.as_pa(),
            pressure_gauge_pa: content.pressure.gauge(self.atmosphere).as_pa(),
            liquid_kg: content.liquid_mass.as_kg(),
            liquid_part: content.liquid_part,
            overall: parts(&content.overall),
            liquid: content.liquid.as_ref().map(parts),
            vapour: parts(&content.vapour),
            bubble_pa: content.bubble.as_pa(),
            dew_pa: content.dew.as_pa(),
            bubble_shift_k: shift.bubble.as_k(),
            dew_shift_k: shift.dew.as_k(),
            bubble_shift_part: part(content.bubble, shift.bubble_pressure.as_pa()),
            dew_shift_part: part(content.dew, shift.dew_pressure.as_pa()),
            within_tolerance: self.deviation(content).is_within(),
        }
    }

    fn round(&self, round: &Round) -> wire::ShiftRound {
        wire::ShiftRound {
            drawn: self.content(&round.drawn),
            added_kg: round.added.as_kg(),
            topped_up: self.content(&round.topped_up),
            deviation: deviation_of(&self.deviation(&round.topped_up)),
        }
    }

    fn remarks(&self, drawn: &Drawn, rounds: &[Round]) -> Vec<String> {
        if self.substance.mixture().is_none() {
            let name = self.substance.name();
            return vec![format!(
                "{name} is one substance: what leaves and what stays are the same, so nothing shifts."
            )];
        }
        let mut remarks = vec![
            "Worked out for a slow draw: all of it at one temperature, liquid and vapour at equilibrium at every moment. A fast one chills \
             the liquid and shifts the blend somewhat less or more."
                .to_owned(),
        ];
        remarks.extend(self.flammable(drawn, rounds));
        if !rounds.is_empty() {
            remarks.push(
                "The cylinder for the top-up is taken to be nearly full, at the same temperature, and of the nominal composition."
                    .into(),
            );
        }
        remarks
    }

    /// Where flammable components become a larger part than the nominal one.
    fn flammable(&self, drawn: &Drawn, rounds: &[Round]) -> Option<String> {
        let components = self.substance.components();
        let burns =
            |at: usize| components.get(at).is_some_and(|fluid| fluid.safety_class().contains(['2', '3']));
        let part = |composition: &Composition| -> f64 {
            let values = composition.mass.values().iter().enumerate();
            values.filter(|(at, _)| burns(*at)).map(|(_, part)| part).sum()
        };
        let nominal = part(&drawn.stages.first()?.content.overall);
        let stays = drawn.stages.iter().map(|stage| &stage.content);
        let rounds = rounds.iter().flat_map(|round| [&round.drawn, &round.topped_up]);
        let stays = stays.chain(rounds).map(|content| part(&content.overall)).fold(nominal, f64::max);
        let goes = drawn.stages.iter().map(|stage| part(&stage.leaving)).fold(nominal, f64::max);
        if nominal > 0.9995 || stays.max(goes) < nominal + 0.0005 {
            return None;
        }
        let names: Vec<&str> = components
            .iter()
            .enumerate()
            .filter(|(at, _)| burns(*at))
            .map(|(_, fluid)| fluid.name())
            .collect();
        let class = self.substance.safety_class().map_or_else(String::new, |class| format!(" ({class})"));
        Some(format!(
            "Flammable alone: {}; nominally {:.1} % of the mass, here up to {:.1} % of what stays and {:.1} % of what leaves. The safety \
             class{class} is that of the nominal composition.",
            names.join(", "),
            100.0 * nominal,
            100.0 * stays,
            100.0 * goes,
        ))
    }
}

fn parts(composition: &Composition) -> wire::Parts {
    wire::Parts { mole: composition.mole.values().to_vec(), mass: composition.mass.values().to_vec() }
}

fn deviation_of(deviation: &Deviation) -> wire::ShiftDeviation {
    let component = |component: &stemwise_thermo::ComponentDeviation| wire::ComponentShift {
        component: component.name.into(),
        nominal_percent: component.nominal_percent,
        off_percent: component.off_percent,
        below_percent: component.below_percent,
        above_percent: component.above_percent,
        within: component.is_within(),
    };
    wire::ShiftDeviation {
        components: deviation.components.iter().map(component).collect(),
        within: deviation.is_within(),
        source: deviation.source.into(),
        assumed: deviation.assumed,
    }
}
