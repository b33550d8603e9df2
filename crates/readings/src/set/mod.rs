//! A set of readings, any part of a whole one, and everything that follows from it.

mod formulas;

use stemwise_thermo::Substance;
use stemwise_units::{Pressure, Temperature, TemperatureDifference};

use crate::instrument::{Instrument, Measured};
use crate::target::{MeteringKind, Target, Word, published, target_superheat, target_superheat_source};
use crate::uncertain::{Input, Uncertain, propagate, rectangular};
use formulas::{FORMULAS, Formula};

macro_rules! readings {
    ($($(#[$meta:meta])* $name:ident, $word:literal, $measured:ident;)*) => {
        /// What can be read.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Reading { $($(#[$meta])* $name,)* }

        impl Reading {
            /// All of them.
            pub const ALL: [Self; 19] = [$(Self::$name),*];

            /// As it is typed: "suction-pressure".
            pub const fn word(self) -> &'static str {
                match self { $(Self::$name => $word,)* }
            }

            /// What kind of quantity it is.
            pub const fn measured(self) -> Measured {
                match self { $(Self::$name => Measured::$measured,)* }
            }
        }
    };
}

readings! {
    /// Pressure at the suction service port.
    SuctionPressure, "suction-pressure", Pressure;
    /// Pressure at the discharge service port.
    DischargePressure, "discharge-pressure", Pressure;
    /// Pressure at a port on the liquid line.
    LiquidPressure, "liquid-pressure", Pressure;
    /// Suction line near the compressor.
    SuctionLine, "suction-line", Temperature;
    /// Suction line at the evaporator's outlet.
    EvaporatorOutlet, "evaporator-outlet", Temperature;
    /// Liquid line, beside the pressure port that subcooling is worked out with.
    LiquidLine, "liquid-line", Temperature;
    /// Discharge line near the compressor.
    DischargeLine, "discharge-line", Temperature;
    /// Air, or water, onto the condenser.
    OntoCondenser, "onto-condenser", Temperature;
    /// Air, or water, off the condenser.
    OffCondenser, "off-condenser", Temperature;
    /// Air, or water, onto the evaporator.
    OntoEvaporator, "onto-evaporator", Temperature;
    /// Air, or water, off the evaporator.
    OffEvaporator, "off-evaporator", Temperature;
    /// Wet bulb of the air onto the evaporator.
    WetBulbOnto, "wet-bulb-onto-evaporator", Temperature;
    /// Wet bulb of the air off the evaporator.
    WetBulbOff, "wet-bulb-off-evaporator", Temperature;
    /// Electric power of the compressor.
    Power, "power", Power;
    /// Current of the compressor, each phase.
    Current, "current", Current;
    /// Voltage; of three phases, between two of them.
    Voltage, "voltage", Voltage;
    /// Power factor.
    PowerFactor, "power-factor", Part;
    /// Air over the evaporator.
    AirFlow, "air-flow", VolumeFlow;
    /// Pressure drop along the liquid line, as a temperature drop across drier or line.
    LiquidLineEnd, "liquid-line-end", Temperature;
}

impl Reading {
    /// By its word, with or without hyphens, in any case.
    pub fn by_word(typed: &str) -> Option<Self> {
        let plain = |text: &str| text.to_lowercase().replace(['-', '_', ' '], "");
        Self::ALL.into_iter().find(|reading| plain(reading.word()) == plain(typed))
    }
}

/// A value as it was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Value {
    /// Above the atmosphere at the site, Pa.
    Gauge(f64),
    /// Any other quantity, or an absolute pressure, SI.
    Si(f64),
}

/// One reading.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// What was read.
    pub reading: Reading,
    /// The value.
    pub value: Value,
    /// With what; a usual instrument if left out.
    pub instrument: Option<Instrument>,
}

/// A set of readings of one running system.
#[derive(Debug)]
pub struct ReadingSet<'a> {
    /// The refrigerant.
    pub substance: &'a Substance,
    /// The atmosphere at the site.
    pub atmosphere: Pressure,
    /// How far the atmosphere may be off: the weather, where it comes from the altitude.
    pub atmosphere_within: stemwise_units::PressureDifference,
    /// What was read, each once.
    pub items: Vec<Item>,
    /// What meters the refrigerant.
    pub metering: MeteringKind,
    /// How many phases the supply has, 1 or 3, for a power from current and voltage.
    pub phases: u32,
    /// What derived values should be on this system: the derived value's id, and the temperature difference or temperature in K.
    pub given_targets: Vec<(String, f64)>,
}

/// What a derived value is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Kind {
    /// A temperature, K.
    Temperature,
    /// A difference of temperatures, K.
    Difference,
    /// An absolute pressure, Pa.
    Pressure,
    /// A difference of pressures, Pa.
    PressureDifference,
    /// A plain number.
    Ratio,
    /// A part of one.
    Part,
    /// A power, W.
    Power,
    /// A power out of the supply, W; told in kilowatts in every system of units.
    ElectricPower,
    /// An energy per mass, J/kg.
    SpecificEnergy,
    /// A mass per time, kg/s.
    MassFlow,
    /// A mass, kg.
    Mass,
    /// A time, s.
    Time,
    /// A volume, m³.
    Volume,
    /// A flow of gas, Pa m³/s.
    GasFlow,
    /// A volume per time, m³/s.
    VolumeFlow,
    /// A pressure in vacuum, Pa.
    Vacuum,
    /// A small mass per time, kg/s, as it is shown by the year.
    YearlyMass,
}

/// A value that follows from the readings.
#[derive(Clone, Debug, PartialEq)]
pub struct Derived {
    /// Its id: "superheat".
    pub id: &'static str,
    /// What it is, in words.
    pub name: &'static str,
    /// Its kind, and with it the SI unit.
    pub kind: Kind,
    /// Value and uncertainty, SI.
    pub value: Uncertain,
    /// How it follows.
    pub from: &'static str,
    /// What it should be, where somebody says.
    pub target: Option<Target>,
    /// An estimate by assumptions that `from` names, more than a difference of readings.
    pub estimate: bool,
}

/// A derived value that lacks readings.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Missing {
    /// Its id.
    pub id: &'static str,
    /// What it is.
    pub name: &'static str,
    /// What would have to be read besides.
    pub lacks: Vec<Reading>,
}

/// Everything that a set gives.
#[derive(Clone, Debug, PartialEq)]
pub struct WorkedOut {
    /// What follows.
    pub derived: Vec<Derived>,
    /// What lacks one reading only.
    pub missing: Vec<Missing>,
    /// What to know about it.
    pub remarks: Vec<String>,
}

impl WorkedOut {
    /// A derived value by its id.
    pub fn get(&self, id: &str) -> Option<&Derived> {
        self.derived.iter().find(|derived| derived.id == id)
    }
}

/// How the inputs of one set lie in the list: the readings by [`Reading::ALL`], then atmosphere and fluid data.
pub(crate) struct Context<'a> {
    pub(crate) substance: &'a Substance,
    pub(crate) phases: u32,
    /// Which readings are gauge pressures.
    gauge: [bool; READINGS],
}

const READINGS: usize = Reading::ALL.len();
const ATMOSPHERE: usize = READINGS;
const DATA: usize = READINGS + 1;

/// The values of one set, as the formulas see them.
pub(crate) struct Values<'a> {
    pub(crate) context: &'a Context<'a>,
    x: &'a [f64],
}

impl Values<'_> {
    /// A reading, SI; a pressure absolute.
    pub(crate) fn get(&self, reading: Reading) -> Option<f64> {
        let at = reading as usize;
        let value = self.x.get(at).copied().filter(|value| !value.is_nan())?;
        let gauge = self.context.gauge.get(at).copied().unwrap_or(false);
        Some(if gauge { value + self.atmosphere() } else { value })
    }

    pub(crate) fn atmosphere(&self) -> f64 {
        self.x.get(ATMOSPHERE).copied().unwrap_or(101_325.0)
    }

    /// By which part the fluid's vapour pressure may be off.
    pub(crate) fn data(&self) -> f64 {
        self.x.get(DATA).copied().unwrap_or(0.0)
    }

    /// Bubble and dew point at a pressure, K.
    pub(crate) fn saturation(&self, pascal: f64) -> Option<(f64, f64)> {
        let pressure = Pressure::from_pa(pascal * (1.0 + self.data()));
        let substance = self.context.substance;
        if let Substance::Pure(fluid) = substance {
            let t = fluid.saturation_at_pressure(pressure).ok()?.temperature.as_k();
            return Some((t, t));
        }
        let both = substance.saturation_at_pressure(pressure).ok()?;
        Some((both.bubble.temperature().as_k(), both.dew.temperature().as_k()))
    }
}

/// How far the vapour pressure of the fluid data may be off, half the width: 0.1 % for a pure fluid, 0.5 % for a blend, 2 % where a pair of
/// components is estimated. From the papers' own words for the pure equations; for blends from the comparison in docs/properties.md.
fn data_within(substance: &Substance) -> f64 {
    match substance.mixture() {
        None => 0.001,
        Some(mixture) if mixture.estimated_pairs().is_empty() => 0.005,
        Some(_) => 0.02,
    }
}

/// Works out everything that a set gives, with the uncertainty of each.
///
/// ```
/// use stemwise_readings::{Item, MeteringKind, Reading, ReadingSet, Value, work_out};
/// use stemwise_thermo::Substance;
/// use stemwise_units::{GaugePressure, Pressure, PressureDifference, Temperature};
/// let fluid = Substance::named("R-410A")?;
/// let item = |reading, value| Item { reading, value, instrument: None };
/// let set = ReadingSet {
///     substance: &fluid,
///     atmosphere: Pressure::from_pa(101_325.0),
///     atmosphere_within: PressureDifference::from_kpa(2.0),
///     items: vec![
///         item(Reading::SuctionPressure, Value::Gauge(GaugePressure::from_psi(118.4).as_pa())),
///         item(Reading::SuctionLine, Value::Si(Temperature::from_fahrenheit(52.0).as_k())),
///     ],
///     metering: MeteringKind::Unknown,
///     phases: 1,
///     given_targets: Vec::new(),
/// };
/// let worked = work_out(&set);
/// // R-410A: 118.4 psig is 40 °F at the dew point (facts.md, section 6), so the superheat is 12 °F.
/// let superheat = worked.get("superheat").unwrap();
/// assert!((superheat.value.value - 12.0 / 1.8).abs() < 0.03);
/// assert!(worked.get("subcooling").is_none());
/// # Ok::<(), stemwise_thermo::Error>(())
/// ```
pub fn work_out(set: &ReadingSet<'_>) -> WorkedOut {
    let context = Context { substance: set.substance, phases: set.phases, gauge: gauges(set) };
    let inputs = inputs(set);
    let mut derived: Vec<Derived> = Vec::new();
    let mut missing = Vec::new();
    for formula in FORMULAS {
        match lacking(set, formula) {
            lacks if lacks.is_empty() => derived.extend(one(&context, &inputs, formula)),
            lacks if lacks.len() == 1 => {
                missing.push(Missing { id: formula.id, name: formula.name, lacks });
            }
            _ => {}
        }
    }
    // Where a value follows in two ways the first stands.
    let ids: Vec<&str> = derived.iter().map(|it| it.id).collect();
    missing.retain(|it: &Missing| !ids.contains(&it.id));
    let firsts: Vec<bool> =
        ids.iter().enumerate().map(|(at, id)| ids.iter().position(|it| it == id) == Some(at)).collect();
    let mut keep = firsts.into_iter();
    derived.retain(|_| keep.next().unwrap_or(false));
    let mut remarks = remarks(set, &context, &derived);
    targets(set, &mut derived, &mut remarks);
    WorkedOut { derived, missing, remarks }
}

/// What each of these derived values needs, in each way that it can follow.
pub(crate) fn needs(ids: &[&str]) -> Vec<Missing> {
    let wanted = FORMULAS.iter().filter(|formula| ids.contains(&formula.id));
    wanted.map(|it| Missing { id: it.id, name: it.name, lacks: it.needs.to_vec() }).collect()
}

fn gauges(set: &ReadingSet<'_>) -> [bool; READINGS] {
    let mut gauge = [false; READINGS];
    for item in &set.items {
        if let (Value::Gauge(_), Some(place)) = (item.value, gauge.get_mut(item.reading as usize)) {
            *place = true;
        }
    }
    gauge
}

fn item<'a>(set: &'a ReadingSet<'_>, reading: Reading) -> Option<&'a Item> {
    set.items.iter().find(|item| item.reading == reading)
}

const fn si(value: Value) -> f64 {
    match value {
        Value::Gauge(si) | Value::Si(si) => si,
    }
}

/// The air around a pipe: what stands beside it.
fn air_around(set: &ReadingSet<'_>, reading: Reading) -> Option<f64> {
    use Reading::{
        DischargeLine, EvaporatorOutlet, LiquidLine, LiquidLineEnd, OntoCondenser, OntoEvaporator,
        SuctionLine,
    };
    let first = match reading {
        SuctionLine | LiquidLine | DischargeLine | LiquidLineEnd => OntoCondenser,
        EvaporatorOutlet => OntoEvaporator,
        _ => return None,
    };
    // Where nobody read the air, 25 °C is assumed.
    Some(item(set, first).map_or(298.15, |item| si(item.value)))
}

/// The instrument of an item; a usual one where none is named.
pub(crate) fn instrument_of(item: &Item) -> Instrument {
    item.instrument.clone().unwrap_or_else(|| Instrument::usual(item.reading.measured(), si(item.value)))
}

fn inputs(set: &ReadingSet<'_>) -> Vec<Input> {
    let mut inputs: Vec<Input> =
        Reading::ALL.iter().map(|reading| Input::new(reading.word(), f64::NAN, 0.0)).collect();
    for item in &set.items {
        let value = si(item.value);
        let gauge = match item.value {
            Value::Gauge(gauge) => gauge,
            Value::Si(si) => si - set.atmosphere.as_pa(),
        };
        let reads = if item.reading.measured() == Measured::Pressure { gauge } else { value };
        let standard = instrument_of(item).standard(value, reads, air_around(set, item.reading));
        if let Some(input) = inputs.get_mut(item.reading as usize) {
            *input = Input::new(item.reading.word(), value, standard);
        }
    }
    inputs.push(Input::new("atmosphere", set.atmosphere.as_pa(), rectangular(set.atmosphere_within.as_pa())));
    inputs.push(Input::new("refrigerant data", 0.0, rectangular(data_within(set.substance))));
    inputs
}

/// Standard uncertainties of what was read, by the instruments, SI.
pub fn standards(set: &ReadingSet<'_>) -> Vec<(Reading, f64)> {
    let inputs = inputs(set);
    let of = |item: &Item| Some((item.reading, inputs.get(item.reading as usize)?.standard));
    set.items.iter().filter_map(of).collect()
}

fn lacking(set: &ReadingSet<'_>, formula: &Formula) -> Vec<Reading> {
    formula.needs.iter().copied().filter(|reading| item(set, *reading).is_none()).collect()
}

fn one(context: &Context<'_>, inputs: &[Input], formula: &Formula) -> Option<Derived> {
    let value = propagate(inputs, |x| (formula.value)(&Values { context, x }))?;
    Some(Derived {
        id: formula.id,
        name: formula.name,
        kind: formula.kind,
        value,
        from: formula.from,
        target: None,
        estimate: formula.estimate,
    })
}

fn remarks(set: &ReadingSet<'_>, context: &Context<'_>, derived: &[Derived]) -> Vec<String> {
    let mut remarks = Vec::new();
    let assumed: Vec<&str> =
        set.items.iter().filter(|item| item.instrument.is_none()).map(|item| item.reading.word()).collect();
    if !assumed.is_empty() {
        remarks.push(format!(
            "Nobody said with what these were read, so usual instruments are assumed (a dial gauge of EN 837-1 class 1.6, a bare clamp good to \
             1 K): {}.",
            assumed.join(", ")
        ));
    }
    let critical = context.substance.critical_pressure().as_pa();
    if let Some(item) = item(set, Reading::DischargePressure) {
        let pascal = match item.value {
            Value::Gauge(gauge) => gauge + set.atmosphere.as_pa(),
            Value::Si(si) => si,
        };
        if pascal >= critical {
            remarks.push(
                "The discharge pressure lies above the critical one: nothing condenses, and there is no subcooling. The temperature at the gas \
                 cooler's outlet counts instead."
                    .into(),
            );
        }
    }
    if derived.iter().any(|it| it.id == "superheat" && it.value.value < 0.0 && it.value.above(0.0) < 0.05) {
        remarks.push(
            "The suction line is colder than the dew point at its pressure, which can't be: look for the wrong refrigerant, a pressure drop \
             between gauge and sensor, or a sensor that doesn't touch."
                .into(),
        );
    }
    if derived.iter().any(|it| it.id == "subcooling" && it.value.value < 0.0 && it.value.above(0.0) < 0.05) {
        remarks.push(
            "The liquid line is hotter than the bubble point at its pressure: flash gas, the wrong refrigerant, or pressure and temperature read \
             at different places."
                .into(),
        );
    }
    remarks.push(
        "Readings count once the system has run steadily for 15 minutes (California Title 24 RA3.2).".into(),
    );
    remarks
}

/// Puts targets beside what was derived.
fn targets(set: &ReadingSet<'_>, derived: &mut [Derived], remarks: &mut Vec<String>) {
    let table = table_target(set, remarks);
    for it in derived {
        let given = set.given_targets.iter().find(|(id, _)| id == it.id).map(|(_, value)| *value);
        it.target = match (given, it.id) {
            (Some(value), _) => published(it.id, set.metering, Some((value, "as given"))),
            (None, "superheat") if set.metering == MeteringKind::Fixed => table
                .and_then(|value| published(it.id, set.metering, Some((value, target_superheat_source())))),
            (None, _) => published(it.id, set.metering, None),
        };
        if given.is_some()
            && let Some(target) = &mut it.target
        {
            target.word = Word::Given;
        }
    }
}

/// The table's target superheat for these air temperatures, K; says why there is none.
fn table_target(set: &ReadingSet<'_>, remarks: &mut Vec<String>) -> Option<f64> {
    if set.metering != MeteringKind::Fixed {
        return None;
    }
    let read = |reading| item(set, reading).map(|item| Temperature::from_k(si(item.value)));
    let (Some(outdoor), Some(wet)) = (read(Reading::OntoCondenser), read(Reading::WetBulbOnto)) else {
        remarks.push(
            "With a fixed metering device the target superheat follows from the air onto the condenser and the wet bulb onto the evaporator; read \
             both."
                .into(),
        );
        return None;
    };
    match target_superheat(outdoor, wet) {
        Ok(target) => Some(TemperatureDifference::as_k(target)),
        Err(why) => {
            remarks.push(format!("No target superheat: {why}."));
            None
        }
    }
}
