//! What follows from which readings, one formula each.

use stemwise_thermo::{Given, RawState};
use stemwise_units::{Pressure, SpecificHeat, Temperature};

use super::{Kind, Reading, Values};
use crate::moist::MoistAir;

/// One derived value.
pub(crate) struct Formula {
    pub(crate) id: &'static str,
    pub(crate) name: &'static str,
    pub(crate) kind: Kind,
    pub(crate) needs: &'static [Reading],
    pub(crate) value: fn(&Values<'_>) -> Option<f64>,
    pub(crate) from: &'static str,
    pub(crate) estimate: bool,
}

const fn plain(
    id: &'static str,
    name: &'static str,
    kind: Kind,
    needs: &'static [Reading],
    value: fn(&Values<'_>) -> Option<f64>,
    from: &'static str,
) -> Formula {
    Formula { id, name, kind, needs, value, from, estimate: false }
}

const fn estimate(
    id: &'static str,
    name: &'static str,
    kind: Kind,
    needs: &'static [Reading],
    value: fn(&Values<'_>) -> Option<f64>,
    from: &'static str,
) -> Formula {
    Formula { id, name, kind, needs, value, from, estimate: true }
}

use Reading as R;

/// Of several with one id the first that has its readings stands.
pub(crate) const FORMULAS: &[Formula] = &[
    plain(
        "evaporating",
        "evaporating temperature, dew point",
        Kind::Temperature,
        &[R::SuctionPressure],
        |v| dew(v, R::SuctionPressure),
        "dew point at the suction pressure",
    ),
    plain(
        "condensing-bubble",
        "condensing temperature, bubble point",
        Kind::Temperature,
        &[R::DischargePressure],
        |v| bubble(v, R::DischargePressure),
        "bubble point at the discharge pressure",
    ),
    plain(
        "condensing-dew",
        "condensing temperature, dew point",
        Kind::Temperature,
        &[R::DischargePressure],
        |v| dew(v, R::DischargePressure),
        "dew point at the discharge pressure",
    ),
    plain(
        "compression-ratio",
        "compression ratio",
        Kind::Ratio,
        &[R::SuctionPressure, R::DischargePressure],
        |v| Some(v.get(R::DischargePressure)? / v.get(R::SuctionPressure)?),
        "absolute discharge pressure over absolute suction pressure",
    ),
    plain(
        "superheat",
        "superheat at the compressor",
        Kind::Difference,
        &[R::SuctionPressure, R::SuctionLine],
        |v| Some(v.get(R::SuctionLine)? - dew(v, R::SuctionPressure)?),
        "suction line less the dew point at the suction pressure",
    ),
    plain(
        "evaporator-superheat",
        "superheat at the evaporator's outlet",
        Kind::Difference,
        &[R::SuctionPressure, R::EvaporatorOutlet],
        |v| Some(v.get(R::EvaporatorOutlet)? - dew(v, R::SuctionPressure)?),
        "evaporator outlet less the dew point at the suction pressure; the suction line's pressure drop is not in it",
    ),
    plain(
        "subcooling",
        "subcooling",
        Kind::Difference,
        &[R::LiquidPressure, R::LiquidLine],
        |v| Some(bubble(v, R::LiquidPressure)? - v.get(R::LiquidLine)?),
        "bubble point at the liquid pressure less the liquid line",
    ),
    plain(
        "subcooling",
        "subcooling",
        Kind::Difference,
        &[R::DischargePressure, R::LiquidLine],
        |v| Some(bubble(v, R::DischargePressure)? - v.get(R::LiquidLine)?),
        "bubble point at the discharge pressure less the liquid line; the condenser's pressure drop is not in it",
    ),
    plain(
        "discharge-superheat",
        "discharge superheat",
        Kind::Difference,
        &[R::DischargePressure, R::DischargeLine],
        |v| Some(v.get(R::DischargeLine)? - dew(v, R::DischargePressure)?),
        "discharge line less the dew point at the discharge pressure",
    ),
    plain(
        "discharge-line",
        "discharge line",
        Kind::Temperature,
        &[R::DischargeLine],
        |v| v.get(R::DischargeLine),
        "as read",
    ),
    plain(
        "condensing-over-air",
        "condensing over the air onto the condenser",
        Kind::Difference,
        &[R::DischargePressure, R::OntoCondenser],
        |v| {
            Some(
                (bubble(v, R::DischargePressure)? + dew(v, R::DischargePressure)?) / 2.0
                    - v.get(R::OntoCondenser)?,
            )
        },
        "mean of bubble and dew point at the discharge pressure less the air onto the condenser",
    ),
    plain(
        "liquid-over-air",
        "liquid line over the air onto the condenser (approach)",
        Kind::Difference,
        &[R::LiquidLine, R::OntoCondenser],
        |v| Some(v.get(R::LiquidLine)? - v.get(R::OntoCondenser)?),
        "liquid line less the air onto the condenser",
    ),
    plain(
        "condenser-air-rise",
        "rise of the air over the condenser",
        Kind::Difference,
        &[R::OntoCondenser, R::OffCondenser],
        |v| Some(v.get(R::OffCondenser)? - v.get(R::OntoCondenser)?),
        "air off less air onto the condenser",
    ),
    plain(
        "air-over-evaporating",
        "air onto the evaporator over evaporating",
        Kind::Difference,
        &[R::SuctionPressure, R::OntoEvaporator],
        |v| Some(v.get(R::OntoEvaporator)? - dew(v, R::SuctionPressure)?),
        "air onto the evaporator less the dew point at the suction pressure",
    ),
    plain(
        "evaporator-approach",
        "air off the evaporator over evaporating (approach)",
        Kind::Difference,
        &[R::SuctionPressure, R::OffEvaporator],
        |v| Some(v.get(R::OffEvaporator)? - dew(v, R::SuctionPressure)?),
        "air off the evaporator less the dew point at the suction pressure",
    ),
    plain(
        "evaporator-air-drop",
        "drop of the air over the evaporator",
        Kind::Difference,
        &[R::OntoEvaporator, R::OffEvaporator],
        |v| Some(v.get(R::OntoEvaporator)? - v.get(R::OffEvaporator)?),
        "air onto less air off the evaporator",
    ),
    plain(
        "liquid-line-drop",
        "temperature drop along the liquid line",
        Kind::Difference,
        &[R::LiquidLine, R::LiquidLineEnd],
        |v| Some(v.get(R::LiquidLine)? - v.get(R::LiquidLineEnd)?),
        "liquid line less its end before the metering device",
    ),
    estimate("power", "electric power", Kind::ElectricPower, &[R::Power], |v| v.get(R::Power), "as read"),
    estimate(
        "power",
        "electric power",
        Kind::ElectricPower,
        &[R::Current, R::Voltage, R::PowerFactor],
        from_current,
        "current by voltage by power factor, by the square root of 3 for three phases",
    ),
    plain(
        "refrigerating-effect",
        "refrigerating effect",
        Kind::SpecificEnergy,
        &[R::SuctionPressure, R::EvaporatorOutlet, R::DischargePressure, R::LiquidLine],
        |v| effect(v, R::EvaporatorOutlet),
        "enthalpy at the evaporator's outlet less that of the liquid",
    ),
    estimate(
        "refrigerating-effect",
        "refrigerating effect, with the suction line's gain",
        Kind::SpecificEnergy,
        &[R::SuctionPressure, R::SuctionLine, R::DischargePressure, R::LiquidLine],
        |v| effect(v, R::SuctionLine),
        "enthalpy of the suction line less that of the liquid; what the suction line takes up is in it",
    ),
    estimate(
        "compressor-work",
        "work of the compressor",
        Kind::SpecificEnergy,
        &[R::SuctionPressure, R::SuctionLine, R::DischargePressure, R::DischargeLine],
        work,
        "enthalpy of the discharge line less that of the suction line; what the shell gives off is not in it",
    ),
    estimate(
        "isentropic-efficiency",
        "isentropic efficiency",
        Kind::Part,
        &[R::SuctionPressure, R::SuctionLine, R::DischargePressure, R::DischargeLine],
        isentropic,
        "ideal work over work; a shell that gives off heat makes it look better",
    ),
    estimate(
        "cop",
        "coefficient of performance of the cycle",
        Kind::Ratio,
        &[R::SuctionPressure, R::SuctionLine, R::DischargePressure, R::DischargeLine, R::LiquidLine],
        |v| Some(effect(v, R::SuctionLine)? / work(v)?),
        "refrigerating effect over work, fans and the shell's heat left out",
    ),
    estimate(
        "mass-flow",
        "mass flow",
        Kind::MassFlow,
        &[R::SuctionPressure, R::SuctionLine, R::DischargePressure, R::DischargeLine, R::Power],
        |v| mass_flow(v, v.get(R::Power)?),
        "power over the compressor's work, nothing lost through the shell (within about 10 %)",
    ),
    estimate(
        "mass-flow",
        "mass flow",
        Kind::MassFlow,
        &[
            R::SuctionPressure,
            R::SuctionLine,
            R::DischargePressure,
            R::DischargeLine,
            R::Current,
            R::Voltage,
            R::PowerFactor,
        ],
        |v| mass_flow(v, from_current(v)?),
        "power over the compressor's work, nothing lost through the shell (within about 10 %)",
    ),
    estimate(
        "capacity",
        "cooling capacity, refrigerant side",
        Kind::Power,
        &[
            R::SuctionPressure,
            R::SuctionLine,
            R::DischargePressure,
            R::DischargeLine,
            R::LiquidLine,
            R::Power,
        ],
        |v| Some(mass_flow(v, v.get(R::Power)?)? * effect(v, R::SuctionLine)?),
        "mass flow from the power by the refrigerating effect (within about 10 %)",
    ),
    estimate(
        "capacity",
        "cooling capacity, refrigerant side",
        Kind::Power,
        &[
            R::SuctionPressure,
            R::SuctionLine,
            R::DischargePressure,
            R::DischargeLine,
            R::LiquidLine,
            R::Current,
            R::Voltage,
            R::PowerFactor,
        ],
        |v| Some(mass_flow(v, from_current(v)?)? * effect(v, R::SuctionLine)?),
        "mass flow from the power by the refrigerating effect (within about 10 %)",
    ),
    estimate(
        "air-capacity",
        "cooling capacity, air side",
        Kind::Power,
        &[R::OntoEvaporator, R::WetBulbOnto, R::OffEvaporator, R::WetBulbOff, R::AirFlow],
        air_total,
        "flow of dry air by the drop of its enthalpy (ASHRAE Fundamentals, psychrometrics)",
    ),
    estimate(
        "air-capacity-sensible",
        "sensible cooling, air side",
        Kind::Power,
        &[R::OntoEvaporator, R::OffEvaporator, R::AirFlow],
        air_sensible,
        "flow of air by its heat capacity by its drop, taken as dry",
    ),
];

fn bubble(v: &Values<'_>, reading: Reading) -> Option<f64> {
    v.saturation(v.get(reading)?).map(|(bubble, _)| bubble)
}

fn dew(v: &Values<'_>, reading: Reading) -> Option<f64> {
    v.saturation(v.get(reading)?).map(|(_, dew)| dew)
}

fn state(v: &Values<'_>, pressure: Reading, temperature: Reading) -> Option<RawState> {
    let (p, t) = (Pressure::from_pa(v.get(pressure)?), Temperature::from_k(v.get(temperature)?));
    v.context.substance.raw_state(Given::TemperaturePressure(t, p)).ok()
}

/// Vapour: nothing where the temperature lies in the dome or below it.
fn vapour(v: &Values<'_>, pressure: Reading, temperature: Reading) -> Option<RawState> {
    (v.get(temperature)? >= dew(v, pressure).unwrap_or(0.0)).then_some(())?;
    state(v, pressure, temperature)
}

fn liquid(v: &Values<'_>) -> Option<RawState> {
    let pressure = if v.get(R::LiquidPressure).is_some() { R::LiquidPressure } else { R::DischargePressure };
    if let Some(bubble) = bubble(v, pressure) {
        (v.get(R::LiquidLine)? <= bubble).then_some(())?;
    }
    state(v, pressure, R::LiquidLine)
}

fn effect(v: &Values<'_>, outlet: Reading) -> Option<f64> {
    Some(vapour(v, R::SuctionPressure, outlet)?.h - liquid(v)?.h)
}

fn work(v: &Values<'_>) -> Option<f64> {
    let out = vapour(v, R::DischargePressure, R::DischargeLine)?;
    let work = out.h - vapour(v, R::SuctionPressure, R::SuctionLine)?.h;
    (work > 0.0).then_some(work)
}

fn isentropic(v: &Values<'_>) -> Option<f64> {
    let start = vapour(v, R::SuctionPressure, R::SuctionLine)?;
    let given = Given::PressureEntropy(
        Pressure::from_pa(v.get(R::DischargePressure)?),
        SpecificHeat::from_j_per_kg_k(start.s),
    );
    let ideal = v.context.substance.raw_state(given).ok()?;
    Some((ideal.h - start.h) / work(v)?)
}

fn mass_flow(v: &Values<'_>, power: f64) -> Option<f64> {
    Some(power / work(v)?)
}

fn from_current(v: &Values<'_>) -> Option<f64> {
    let phases = if v.context.phases == 3 { 3.0_f64.sqrt() } else { 1.0 };
    Some(v.get(R::Current)? * v.get(R::Voltage)? * v.get(R::PowerFactor)? * phases)
}

fn air_total(v: &Values<'_>) -> Option<f64> {
    let onto = MoistAir::by_bulbs(v.get(R::OntoEvaporator)?, v.get(R::WetBulbOnto)?, v.atmosphere())?;
    let off = MoistAir::by_bulbs(v.get(R::OffEvaporator)?, v.get(R::WetBulbOff)?, v.atmosphere())?;
    Some(v.get(R::AirFlow)? / onto.volume * (onto.enthalpy - off.enthalpy))
}

fn air_sensible(v: &Values<'_>) -> Option<f64> {
    let onto = MoistAir::dry(v.get(R::OntoEvaporator)?, v.atmosphere());
    let off = MoistAir::dry(v.get(R::OffEvaporator)?, v.atmosphere());
    Some(v.get(R::AirFlow)? / onto.volume * (onto.enthalpy - off.enthalpy))
}
