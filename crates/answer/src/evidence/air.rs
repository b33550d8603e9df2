//! Air in the system, from the standing pressure and the condenser's temperature.

use stemwise_readings::{self as core, Input, Kind, Measured, Seen};
use stemwise_report::Mark;
use stemwise_units::{Temperature, TypedPressure};
use stemwise_wire as wire;

use super::{Basis, Builder, EvidenceCommon, EvidenceError, a_mass, a_volume, instrument};
use crate::Error;

/// A standing system, as people type it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct AirAsk {
    /// The pressure at rest: "142 psig".
    pub pressure: String,
    /// The condenser's temperature: "75 F".
    pub temperature: String,
    /// The room above the liquid, for an amount.
    pub room: Option<String>,
    /// All of the volume, with the charge, for a blend; the circuit's, if left out.
    pub volume: Option<String>,
    /// The charge.
    pub charge: Option<String>,
    /// The gauge.
    pub gauge: Option<String>,
    /// The thermometer.
    pub probe: Option<String>,
}

/// Tells air.
///
/// # Errors
/// [`Error::Evidence`] and [`Error::Typed`].
///
/// ```
/// use stemwise_answer::{AirAsk, EvidenceCommon, air};
/// use stemwise_units::{Pressure, UnitSystem};
/// let common = EvidenceCommon { fluid: Some("R-22".into()), circuit: None, atmosphere: Some(Pressure::from_pa(101_325.0)), measured_atmosphere: false,
///     units: UnitSystem::Ip, page: None, heading: None };
/// let ask = |psig: &str| AirAsk { pressure: psig.into(), temperature: "70 F".into(), gauge: Some("1 psi".into()), probe: Some("0.5 K".into()), ..AirAsk::default() };
/// assert_eq!(air(&common, &ask("121.4 psig"))?.outcome, "good"); // facts.md, section 6: R-22 at 70 °F
/// assert_eq!(air(&common, &ask("140 psig"))?.outcome, "bad");
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn air(common: &EvidenceCommon, ask: &AirAsk) -> Result<wire::EvidenceAnswer, Error> {
    let basis = Basis::new(common)?;
    let substance = basis.substance()?;
    let mut builder = Builder::new(&basis, "air", "Air in the system");
    let pressure = TypedPressure::parse(&ask.pressure)
        .and_then(|typed| typed.existing(basis.atmosphere))
        .map_err(Error::typed("pressure"))?;
    let temperature = Temperature::parse(&ask.temperature).map_err(Error::typed("temperature"))?;
    let gauge = instrument("gauge", ask.gauge.as_deref(), Measured::Pressure, pressure.as_pa())?;
    let probe = instrument("probe", ask.probe.as_deref(), Measured::Temperature, temperature.as_k())?;
    let volume = |what: &'static str, text: &Option<String>| {
        text.as_deref().map(|text| a_volume(what, text)).transpose()
    };
    let all = volume("volume", &ask.volume)?.or_else(|| basis.volume());
    let charge =
        ask.charge.as_deref().map(|text| a_mass("charge", text)).transpose()?.or_else(|| basis.charge());
    let over = pressure.as_pa() - basis.atmosphere.as_pa();
    builder.given(
        "pressure at rest",
        format!(
            "{} (by {})",
            basis.shown.units.gauge_pressure(pressure.gauge(basis.atmosphere)),
            gauge.words
        ),
    );
    builder
        .given("condenser", format!("{} (by {})", basis.shown.units.temperature(temperature), probe.words));
    let question = core::AirAsk {
        substance,
        pressure: Input::new("gauge", pressure.as_pa(), gauge.standard(pressure.as_pa(), over, None)),
        temperature: Input::new(
            "thermometer",
            temperature.as_k(),
            probe.standard(temperature.as_k(), 0.0, None),
        ),
        gas_volume: volume("room", &ask.room)?,
        inside: all.zip(charge),
    };
    let found = question.judge().map_err(EvidenceError::Air)?;
    builder.value(
        "saturation",
        "saturation temperature at that pressure",
        Kind::Temperature,
        &found.saturation,
        "bubble point; for a blend by how much of it is liquid",
    );
    builder.value(
        "over",
        "that over the condenser's temperature",
        Kind::Difference,
        &found.over,
        "more than 3 K (5 °F) is air (NAVEDTRA 14075)",
    );
    builder.value(
        "own",
        "pressure of the refrigerant alone",
        Kind::Pressure,
        &found.own,
        "at the condenser's temperature",
    );
    builder.value(
        "partial",
        "pressure beyond it",
        Kind::PressureDifference,
        &found.partial,
        "measured less the refrigerant's own",
    );
    if let Some(air) = &found.air {
        builder.value("air", "air", Kind::Mass, air, "ideal gas in the room above the liquid");
    }
    judge(&mut builder, &found);
    builder.remark("It holds when the system has stood still until nothing changes, with liquid in the condenser and the same temperature all over it.");
    builder.done()
}

fn judge(builder: &mut Builder<'_>, found: &core::AirFound) {
    let (mark, say) = match found.there {
        _ if found.below => (
            Mark::Open,
            "The pressure is lower than liquid at that temperature has: there is no liquid there, it is colder elsewhere, or it is another refrigerant.",
        ),
        Seen::Yes => (Mark::Bad, "There is air, or another gas that does not condense."),
        Seen::No => (Mark::Good, "No air that counts."),
        Seen::CantTell => (Mark::Open, "So near the line that these instruments can't tell."),
    };
    builder.verdict(mark, say);
    if found.there == Seen::Yes && !found.below {
        builder.advise(
            "Recover the whole charge into a cylinder of its own, evacuate, and charge anew by weight. Refrigerant must not be vented to purge air (40 CFR 82.154, US); a purger belongs to \
             the plants that have one.",
        );
        builder.advise("Look for how it came in: a leak on a low side that runs below the atmosphere, or hoses that were not purged.");
    }
    if found.there == Seen::CantTell {
        builder.advise("Read again with a better gauge and with the thermometer on bare, insulated metal of the condenser.");
    }
}
