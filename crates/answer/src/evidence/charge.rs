//! Charging: by weight, by trimming, and what a top-up makes of a leaked blend.

use stemwise_readings::{
    ByWeight, EarlierStep, FaultKind, FaultRanker, FieldLine, Kind, LineKind, MayAdd, NextStep, Trim, TrimBy,
    Uncertain, as_what, fastest, topped_up,
};
use stemwise_report::Mark;
use stemwise_thermo::{Content, Draw};
use stemwise_units::{Length, LinearDensity, Mass, MassFlow, Temperature, TemperatureDifference, Time, Tube};
use stemwise_wire as wire;

use super::readings::{add_derived, read};
use super::{Basis, Builder, EvidenceCommon, EvidenceError, SetAsk, a_mass, a_volume, name_value};
use crate::Error;

/// A charge, as people type it; each part that is given is answered.
#[derive(Clone, Debug, Default)]
pub struct ChargeAsk {
    /// By weight: the nameplate's charge.
    pub nameplate: Option<String>,
    /// For how much piping the nameplate is.
    pub included: Option<String>,
    /// "liquid=3/8 in, 12 m" or "vapour=3/4 in, 12 m".
    pub lines: Vec<String>,
    /// The maker's rate: "0.6 oz/ft".
    pub rate: Option<String>,
    /// By how much the scale may be off; 5 g if left out.
    pub scale: Option<String>,
    /// By trimming: "subcooling" or "superheat", or by the circuit's running "balance", from the readings.
    pub by: Option<String>,
    /// The readings.
    pub set: SetAsk,
    /// The whole charge, for the size of a step; the nameplate's or the circuit's, if left out.
    pub charge: Option<String>,
    /// What is known to be in there already.
    pub holds: Option<String>,
    /// Since the last change.
    pub since: Option<String>,
    /// What the last step added; a minus for what was recovered.
    pub added: Option<String>,
    /// What the reading was before it: "4 K".
    pub before: Option<String>,
    /// How warm the charging cylinder is; 20 °C if left out.
    pub cylinder: Option<String>,
    /// A leaked blend: what was lost.
    pub lost: Option<String>,
    /// As "vapour", as if left out, or "liquid".
    pub out: Option<String>,
    /// The system's volume; the circuit's, if left out.
    pub volume: Option<String>,
    /// How warm it stood.
    pub at: Option<String>,
}

/// Works out a charge.
///
/// # Errors
/// [`Error::Evidence`] and [`Error::Typed`].
///
/// ```
/// use stemwise_answer::{ChargeAsk, EvidenceCommon, charge};
/// use stemwise_units::{Pressure, UnitSystem};
/// let common = EvidenceCommon { fluid: Some("R-410A".into()), circuit: None, atmosphere: Some(Pressure::from_pa(101_325.0)), measured_atmosphere: false,
///     units: UnitSystem::Ip, page: None, heading: None };
/// let text = |text: &str| Some(text.to_owned());
/// let ask = ChargeAsk { nameplate: text("6 lb"), included: text("50 ft"), lines: vec!["liquid=1/4 in, 25 ft".into()], rate: text("0.27 oz/ft"),
///     ..ChargeAsk::default() };
/// let answer = charge(&common, &ask)?;
/// let total = answer.values.iter().find(|value| value.id == "weigh-in").unwrap().value;
/// assert!((total - (96.0 - 6.75) * 0.028_349_523).abs() < 1e-6); // facts.md 7.2: -6.75 oz
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn charge(common: &EvidenceCommon, ask: &ChargeAsk) -> Result<wire::EvidenceAnswer, Error> {
    let basis = Basis::new(common)?;
    let substance = basis.substance()?;
    let mut builder = Builder::new(&basis, "charge", "Charging");
    builder.verdict(Mark::Open, "Here is how to charge.");
    let mass = |what: &'static str, text: &Option<String>| {
        text.as_deref().map(|text| a_mass(what, text)).transpose()
    };
    let nameplate = mass("nameplate", &ask.nameplate)?;
    if let Some(nameplate) = nameplate {
        by_weight(&mut builder, &basis, ask, nameplate)?;
    }
    let whole = mass("charge", &ask.charge)?.or(nameplate).or_else(|| basis.charge());
    if let Some(by) = ask.by.as_deref() {
        trim(&mut builder, &basis, common, ask, by, whole)?;
    }
    if let Some(lost) = mass("lost", &ask.lost)? {
        leaked(&mut builder, &basis, ask, lost, whole)?;
    }
    if nameplate.is_none() && ask.by.is_none() && ask.lost.is_none() {
        return Err(EvidenceError::Needs {
            what: "a nameplate's charge to weigh in, what to trim by, or what a blend has lost",
        }
        .into());
    }
    let phase = as_what(substance).map_err(EvidenceError::Fractionation)?;
    builder.advise(format!(
        "Out of the cylinder as {}. {}",
        if phase.liquid { "liquid" } else { "liquid or vapour" },
        phase.why
    ));
    super::fire(&mut builder, substance);
    builder.advise("Purge or evacuate the hoses first, weigh the cylinder all the while, and never heat it with a flame.");
    builder.done()
}

fn by_weight(
    builder: &mut Builder<'_>,
    basis: &Basis,
    ask: &ChargeAsk,
    nameplate: Mass,
) -> Result<(), Error> {
    let length = |what: &'static str, text: &Option<String>| {
        text.as_deref().map(|text| Length::parse(text).map_err(Error::typed(what))).transpose()
    };
    let lines = ask.lines.iter().map(|typed| line(typed)).collect::<Result<Vec<_>, _>>()?;
    let question = ByWeight {
        substance: basis.substance()?,
        nameplate,
        included: length("included", &ask.included)?.unwrap_or(Length::from_m(0.0)),
        rate: ask
            .rate
            .as_deref()
            .map(|text| LinearDensity::parse(text).map_err(Error::typed("rate")))
            .transpose()?,
        liquid: Temperature::from_celsius(40.0),
        vapour: Temperature::from_celsius(7.0),
        scale: ask.scale.as_deref().map_or(Ok(Mass::from_g(5.0)), |text| a_mass("scale", text))?,
        lines,
    };
    builder.given("nameplate", basis.shown.units.mass(nameplate));
    let found =
        question.weigh_in().ok_or(EvidenceError::Needs { what: "a refrigerant that condenses at 40 °C" })?;
    if found.total.value <= 0.0 {
        return Err(EvidenceError::Number {
            what: "the charge for less piping than the nameplate includes",
            typed: basis.shown.plain(Kind::Mass, found.total.value),
            wanted: "more than nothing: look at the rate, the included length and the lines once more",
        }
        .into());
    }
    let from = if found.by_rate {
        "nameplate and the maker's rate by the length beyond what the nameplate includes"
    } else {
        "nameplate and what the lines beyond it hold: liquid at 40 °C, vapour at 7 °C; makers' rates lie 15 to 40 % above the liquid alone"
    };
    builder.full_value("weigh-in", "to weigh in", Kind::Mass, &found.total, from, !found.by_rate, None);
    builder.value(
        "allowance",
        "of it for the piping",
        Kind::Mass,
        &Uncertain::plain(found.allowance, 0.0),
        from,
    );
    for (at, kg) in found.lines.iter().enumerate() {
        builder.value(
            "line",
            &format!("line {} holds", at + 1),
            Kind::Mass,
            &Uncertain::plain(*kg, 0.0),
            "its inside by the density of what flows in it",
        );
    }
    builder.verdict(Mark::Good, format!("Weigh in {}.", basis.shown.plain(Kind::Mass, found.total.value)));
    builder.advise(
        "Weigh in nine tenths, let it run, and the rest slowly: what has gone in too much must be recovered.",
    );
    Ok(())
}

/// "liquid=3/8 in, 12 m".
fn line(typed: &str) -> Result<FieldLine, Error> {
    let (kind, text) = name_value("--line", typed)?;
    let kind = match kind {
        "liquid" => LineKind::Liquid,
        "vapour" | "vapor" | "suction" => LineKind::Vapour,
        other => {
            return Err(EvidenceError::UnknownName {
                what: "--line",
                typed: other.chars().take(40).collect(),
                known: "liquid, vapour".into(),
            }
            .into());
        }
    };
    let wrong = || EvidenceError::NameValue {
        what: "--line wants liquid=SIZE, LENGTH",
        typed: typed.chars().take(60).collect(),
    };
    let (size, length) = text.split_once(',').ok_or_else(wrong)?;
    let tube = Tube::parse(size.trim()).map_err(Error::typed("line"))?;
    let length = Length::parse(length.trim()).map_err(Error::typed("line"))?;
    if length.as_m() < 0.0 {
        return Err(EvidenceError::Number {
            what: "--line",
            typed: typed.chars().take(40).collect(),
            wanted: "a length that is not negative",
        }
        .into());
    }
    Ok(FieldLine { kind, bore: tube.bore(), length })
}

fn trim(
    builder: &mut Builder<'_>,
    basis: &Basis,
    common: &EvidenceCommon,
    ask: &ChargeAsk,
    by: &str,
    whole: Option<Mass>,
) -> Result<(), Error> {
    let by = match by {
        "balance" => return by_balance(builder, basis, common, ask),
        "subcooling" => TrimBy::Subcooling,
        "superheat" => TrimBy::Superheat,
        other => {
            return Err(EvidenceError::Choice {
                what: "--by",
                typed: other.chars().take(40).collect(),
                choices: "subcooling, superheat or balance",
            }
            .into());
        }
    };
    let read = read(basis, common, &ask.set, Some(builder))?;
    add_derived(builder, &read.worked);
    let id = if by == TrimBy::Subcooling { "subcooling" } else { "superheat" };
    let value = |id: &str| read.worked.get(id);
    let Some(derived) = value(id) else {
        let what = if by == TrimBy::Subcooling {
            "the liquid line and the liquid or discharge pressure"
        } else {
            "the suction line and the suction pressure"
        };
        return Err(EvidenceError::Needs { what }.into());
    };
    let Some(target) = &derived.target else {
        builder.verdict(Mark::Open, "Nothing says what it should be: no step can be given.");
        builder.advise("Give the maker's value with --target, or weigh the charge in.");
        return Ok(());
    };
    let charge = whole.ok_or(EvidenceError::Needs { what: "the whole charge, for the size of a step" })?;
    let holds = ask.holds.as_deref().map(|text| a_mass("holds", text)).transpose()?;
    let since =
        ask.since.as_deref().map(|text| Time::parse(text).map_err(Error::typed("since"))).transpose()?;
    let question = Trim {
        by,
        metering: read.metering,
        now: &derived.value,
        target,
        subcooling: value("subcooling").map(|it| &it.value),
        superheat: value("superheat").map(|it| &it.value),
        charge,
        holds,
        since,
        earlier: earlier(ask)?,
    };
    let advice = question.next();
    let mass = |mass: Mass| basis.shown.plain(Kind::Mass, mass.as_kg());
    let (mark, say) = match advice.step {
        NextStep::Add(kg) => (Mark::Open, format!("Add {}, wait 15 minutes, and read again.", mass(kg))),
        NextStep::Recover(kg) => {
            (Mark::Open, format!("Recover {}, wait 15 minutes, and read again.", mass(kg)))
        }
        NextStep::Wait(time) => {
            (Mark::Open, format!("Wait {:.0} min before it is read again.", time.as_min()))
        }
        NextStep::Stop => (Mark::Good, "Stop: leave the charge as it is.".to_owned()),
        NextStep::LeaveAlone => (Mark::Bad, "Do not change the charge yet.".to_owned()),
    };
    builder.verdict(mark, say);
    for why in advice.why {
        builder.advise(why);
    }
    if matches!(advice.step, NextStep::Add(_)) {
        how_fast(builder, basis, ask, &read)?;
    }
    Ok(())
}

/// By this circuit's running balance: what is missing or too much, where that is what the readings show and nothing else.
fn by_balance(
    builder: &mut Builder<'_>,
    basis: &Basis,
    common: &EvidenceCommon,
    ask: &ChargeAsk,
) -> Result<(), Error> {
    let read = read(basis, common, &ask.set, Some(builder))?;
    add_derived(builder, &read.worked);
    let ranker =
        read.ranker(basis).ok_or(EvidenceError::Needs { what: "a circuit file with a running balance" })?;
    let ranking = ranker.rank(&read.evidence(&[]));
    super::faults::put_ranking(builder, &ranking);
    let first = ranking.suspects.first();
    let whole = ranker.plant.nameplate_kg();
    let missing = first.filter(|it| it.id == FaultKind::Undercharge.id() && ranking.may_add == MayAdd::Yes);
    let over = first.filter(|it| it.id == FaultKind::Overcharge.id() && it.weight > 0.9);
    let Some(((low, high), adds)) =
        missing.and_then(|it| Some((it.size?, true))).or_else(|| over.and_then(|it| Some((it.size?, false))))
    else {
        if ranking.suspects.first().is_some_and(|it| it.id == "none" && it.weight > 0.7) {
            builder.verdict(
                Mark::Good,
                "Leave the charge as it is: these readings are those of a sound system.",
            );
        } else {
            builder.verdict(
                Mark::Bad,
                "Do not change the charge: these readings do not show that it alone is wrong.",
            );
        }
        return Ok(());
    };
    let kg = Uncertain::plain(0.5 * (low + high) * whole, (high - low) / 3.29 * whole);
    let (id, name) =
        if adds { ("missing", "missing from the charge") } else { ("too-much", "more than the charge") };
    builder.full_value(
        id,
        name,
        Kind::Mass,
        &kg,
        "this circuit's running balance fitted to the readings; the interval holds it with 90 %",
        true,
        None,
    );
    // As when trimming: only part of the way, so that it does not overshoot.
    let step = basis.shown.plain(Kind::Mass, 0.6 * low * whole);
    let say = if adds {
        format!("Add {step} and no more, wait 15 minutes, and read again.")
    } else {
        format!("Recover {step}, wait 15 minutes, and read again.")
    };
    builder.verdict(Mark::Open, say);
    if adds {
        how_fast(builder, basis, ask, &read)?;
    }
    Ok(())
}

fn earlier(ask: &ChargeAsk) -> Result<Option<EarlierStep>, Error> {
    let (Some(added), Some(before)) = (&ask.added, &ask.before) else {
        if ask.added.is_some() || ask.before.is_some() {
            return Err(EvidenceError::Needs {
                what: "both what the last step added and what the reading was before it",
            }
            .into());
        }
        return Ok(None);
    };
    let (sign, text) = added.trim().strip_prefix('-').map_or((1.0, added.trim()), |rest| (-1.0, rest.trim()));
    let kg = a_mass("added", text)?.as_kg();
    let before = TemperatureDifference::parse(before).map_err(Error::typed("before"))?.as_k();
    Ok(Some(EarlierStep { added: sign * kg, before }))
}

/// Where the mass flow is known: how fast liquid may trickle into the suction line.
fn how_fast(
    builder: &mut Builder<'_>,
    basis: &Basis,
    ask: &ChargeAsk,
    read: &super::readings::Read,
) -> Result<(), Error> {
    use stemwise_readings::Reading::{SuctionLine, SuctionPressure};
    let cylinder = ask.cylinder.as_deref().map_or(Ok(Temperature::from_celsius(20.0)), |text| {
        Temperature::parse(text).map_err(Error::typed("cylinder"))
    })?;
    let reading = |wanted| read.values.iter().find(|(it, _)| *it == wanted).map(|(_, value)| *value);
    let flow = read.worked.get("mass-flow").map(|it| it.value.value);
    if let (Some(flow), Some(pressure), Some(line)) = (flow, reading(SuctionPressure), reading(SuctionLine)) {
        match fastest(basis.substance()?, MassFlow::from_kg_per_s(flow), pressure, Temperature::from_k(line), cylinder) {
            Some(fast) => {
                let doubt = Uncertain::plain(fast.as_kg_per_s(), 0.15 * fast.as_kg_per_s());
                builder.full_value("fastest", "liquid into the suction line, no faster than", Kind::MassFlow, &doubt, "all of it boils and 5 K of superheat are left", true, None);
            }
            None => builder.advise("There is no superheat to spare: no liquid into the suction line. Charge through the liquid side, or as vapour where the refrigerant is one substance."),
        }
    } else {
        builder.advise("Throttle it so that the suction pressure rises by no more than a few psi and the suction line never sweats to the compressor: liquid breaks compressors.");
    }
    Ok(())
}

fn leaked(
    builder: &mut Builder<'_>,
    basis: &Basis,
    ask: &ChargeAsk,
    lost: Mass,
    whole: Option<Mass>,
) -> Result<(), Error> {
    let charge = whole.ok_or(EvidenceError::Needs { what: "the whole charge before the leak" })?;
    let volume = match &ask.volume {
        Some(text) => a_volume("volume", text)?,
        None => basis
            .volume()
            .ok_or(EvidenceError::Needs { what: "the system's volume, or a circuit that has it" })?,
    };
    let at = ask.at.as_deref().map_or(Ok(Temperature::from_celsius(20.0)), |text| {
        Temperature::parse(text).map_err(Error::typed("at"))
    })?;
    let out = match ask.out.as_deref() {
        None | Some("vapour" | "vapor") => Draw::Vapour,
        Some("liquid") => Draw::Liquid,
        Some(other) => {
            return Err(EvidenceError::Choice {
                what: "--out",
                typed: other.chars().take(40).collect(),
                choices: "vapour or liquid",
            }
            .into());
        }
    };
    let substance = basis.substance()?;
    let found = topped_up(substance, at, volume, charge, lost, out).map_err(EvidenceError::Fractionation)?;
    let components = substance.components();
    let names = || components.iter().map(|fluid| fluid.name());
    let mut put = |when: &str, content: &Content| {
        for (name, part) in names().zip(content.overall.mass.values()) {
            builder.value(
                "part",
                &format!("{name} {when}"),
                Kind::Part,
                &Uncertain::plain(*part, 0.0),
                "a slow leak at one temperature, at equilibrium at every moment",
            );
        }
    };
    put("after the leak", &found.leaked);
    put("after the top-up", &found.topped_up);
    let (mark, say) = if found.topped_up_within {
        (Mark::Good, "A top-up with fresh liquid brings every part back within its tolerance.")
    } else {
        (
            Mark::Bad,
            "Even topped up, the blend is out of its tolerance: recover all of it and charge fresh liquid by weight.",
        )
    };
    builder.verdict(mark, say);
    builder.advise(format!(
        "Mend the leak first; then {} of fresh liquid.",
        basis.shown.plain(Kind::Mass, lost.as_kg())
    ));
    builder.remark(format!("Tolerances: {}.", found.tolerance_source));
    Ok(())
}
